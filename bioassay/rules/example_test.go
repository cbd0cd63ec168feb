package rules_test

import (
	"fmt"
	"strings"

	"vialwise/bioassay"
	"vialwise/bioassay/rules"
)

// The programme and the counts are invented.
func Example() {
	programme, err := rules.Load("testdata/harbour.toml")
	if err != nil {
		fmt.Println(err)
		return
	}
	assay := bioassay.Assay{
		Name: "Pier", Acaricide: "amitraz", Protocol: "harbour-dish", Unit: "ug/dish",
		Containers: []bioassay.Container{
			{Concentration: 0, Exposed: 30, Dead: 6, TestedBlind: bioassay.Yes},
			{Concentration: 2, Exposed: 30, Dead: 9, TestedBlind: bioassay.Yes},
			{Concentration: 4, Exposed: 30, Dead: 20, TestedBlind: bioassay.Yes},
		},
	}
	verdict := programme.Judge(assay, nil)
	fmt.Println("usable:", verdict.Usable)
	for _, f := range verdict.Reasons {
		fmt.Printf("%v (%v): %s\n  rule: %v\n", f.Severity, f.Code, f.Message, f.Rule)
	}
	// Output:
	// usable: false
	// discard (controls-failed): 6 of 30 untreated mites died, 20 % (exact 95 % limits 7.71 to 38.6 %): above the limit of 15 %
	//   rule: harbour-controls (minutes of the programme, 2031-02-11 (invented))
}

// All errors come at once, each with its place and remedy.
func ExampleRead_errors() {
	_, err := rules.Read("ours.toml", strings.NewReader(`
[[rule_set]]
name = "ours"
source = "common practice"
[rule_set.controls]
correct_above = 20
discard_above = 5
[[protocol]]
name = "dish-residue"
`))
	for _, line := range strings.Split(err.Error(), "\n")[:2] {
		fmt.Println(line)
	}
	// Output:
	// ours.toml:7: rule_set[1].controls.discard_above: found 5: the limit is below that of correction, 20; exchange the two, in percent
	// ours.toml:8: protocol[1].surface: there is no surface; add surface = "..."
}
