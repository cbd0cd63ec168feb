package tables_test

import (
	"errors"
	"fmt"
	"os"
	"strings"

	"vialwise/bioassay/tables"
)

// The counts are invented.
func ExampleRead() {
	table, err := tables.Read("counts.csv", strings.NewReader(`assay,acaricide,unit,concentration,exposed,dead
Cove,amitraz,ug/mL,0,20,1
Cove,,,0.5,20,6
Cove,,,2.0,20,15
`))
	if err != nil {
		fmt.Println(err)
		return
	}
	a := table.Assays[0]
	fmt.Println(a.Name, a.Acaricide, a.Role, a.Exposed(), "mites")
	for _, c := range a.Treated() {
		fmt.Println(c.ConcentrationText, a.Unit, c.Dead, "of", c.Exposed)
	}
	// Output:
	// Cove amitraz field 60 mites
	// 0.5 ug/mL 6 of 20
	// 2.0 ug/mL 15 of 20
}

// All errors come at once, each with its place and remedy.
func ExampleRead_errors() {
	_, err := tables.Read("counts.csv", strings.NewReader(`assay,concentration,exposed,dead
Cove,"0,5",20,6
Cove,2,20,25
`))
	fmt.Println(err)
	fmt.Println(errors.Is(err, tables.DecimalComma), errors.Is(err, tables.Negative))
	// Output:
	// counts.csv:2: column 2 (concentration): found "0,5": the number has a decimal comma; write a decimal point: 0.5
	// counts.csv:3: column 4 (dead): found "25": more dead than exposed (20); correct one of the two counts
	// true false
}

func ExampleWrite() {
	table, err := tables.Read("counts.csv", strings.NewReader("dead,exposed,concentration,assay,role\n6,20,0.50,Cove,\n"))
	if err != nil {
		fmt.Println(err)
		return
	}
	if err := tables.Write(os.Stdout, table.Assays); err != nil {
		fmt.Println(err)
	}
	// Output:
	// assay,concentration,exposed,dead
	// Cove,0.50,20,6
}
