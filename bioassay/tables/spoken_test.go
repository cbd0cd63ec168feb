package tables

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"vialwise/bioassay"
	"vialwise/bioassay/tables/workbook"
)

// A column of another name that holds roles is not taken for a remark.
func TestRolesInAnUnknownColumn(t *testing.T) {
	const renaming = "if it is the role of the assay, rename it to role"
	for _, c := range []struct {
		name, cells, role string
		said              bool
	}{
		{"English", "baseline", "", true}, {"Spanish", "Línea base", "", true}, {"field", "Campo", "", true}, {"a remark", "baseline of 2031", "", false},
		{"there is a role", "baseline", "role", false},
	} {
		header, row := "assay,concentration,exposed,dead,kind", "A,1,9,2,"
		if c.role != "" {
			header, row = "role,"+header, "field,"+row
		}
		got := warned(mustRead(t, header+"\n"+row+"\n"+row+c.cells+"\n"+row+"field\n"))
		if strings.Contains(got, renaming) != c.said || c.said && !strings.Contains(got, "it holds "+quoted(c.cells)) {
			t.Errorf("%s: %s", c.name, got)
		}
	}
	for _, name := range []string{"papel", "Función"} {
		if a := mustRead(t, name+","+least+"baseline,A,1,9,2\n").Assays[0]; a.Role != bioassay.RoleBaseline {
			t.Errorf("%s: role %v", name, a.Role)
		}
	}
	if a := mustRead(t, "Réplica,fecha de recogida,"+least+"3,2031-04-09,A,1,9,2\n").Assays[0]; a.Containers[0].Label != "3" || a.CollectedOn.Year != 2031 {
		t.Errorf("%+v", a)
	}
}

// Cells are counted, not the changes from one row to the next.
func TestConversionsCountCells(t *testing.T) {
	const dates = "tested_on," + least + "2031/4/9,A,1,9,2\n2031/4/9,A,2,9,3\n,A,3,9,3\n2031/4/9,A,4,9,3\n"
	if got := warned(mustRead(t, dates)); !strings.Contains(got, ": 3 dates that") {
		t.Error(got)
	}
	var book bytes.Buffer
	if err := WriteWorkbook(&book, mustRead(t, "tested_on,"+least+"2031-04-09,A,1,9,2\n2031-04-09,A,2,9,3\n2031-04-09,A,4,9,3\n").Assays); err != nil {
		t.Fatal(err)
	}
	table, err := Read("f.xlsx", &book)
	if err != nil {
		t.Fatal(err)
	}
	if got := warned(table); !strings.Contains(got, `3 dates stored as a day number`) || !strings.Contains(got, `"47947", read as 2031-04-09`) {
		t.Error(got)
	}
}

// A day below a text that reads like it is a day all the same.
func TestDayBelowAText(t *testing.T) {
	b, err := workbook.NewBuilder()
	if err != nil {
		t.Fatal(err)
	}
	sheet, err := b.Sheet("counts")
	if err != nil {
		t.Fatal(err)
	}
	text, number := workbook.TextValue, workbook.NumberValue
	row := func(day workbook.Value) []workbook.Value {
		return []workbook.Value{text("A"), day, number(1), number(9), number(2)}
	}
	for _, cells := range [][]workbook.Value{{text("assay"), text("tested_on"), text("concentration"), text("exposed"), text("dead")},
		row(text("2031-04-09")), row(workbook.DayValue(2031, 4, 9))} {
		if err := sheet.Row(cells...); err != nil {
			t.Fatal(err)
		}
	}
	var out bytes.Buffer
	if _, err := b.WriteTo(&out); err != nil {
		t.Fatal(err)
	}
	table, err := Read("f.xlsx", &out)
	if err != nil || !strings.Contains(warned(table), "1 date stored as a day number") {
		t.Errorf("%v, %v", table, err)
	}
}

// Zeros say that somebody looked; blank cells do not.
func TestZerosAreKept(t *testing.T) {
	for text, want := range map[string][]string{
		"moribund,missing," + least + "0,0,A,1,9,2\n0,0,A,2,9,2\n": {"moribund", "missing"},
		"moribund,missing," + least + "0,,A,1,9,2\n,,A,2,9,2\n":    {"moribund"},
		"moribund,missing," + least + ",,A,1,9,2\n":                nil,
		least + "A,1,9,2\n": nil,
	} {
		table := mustRead(t, text)
		var out bytes.Buffer
		if err := WriteTable(&out, table); err != nil {
			t.Fatal(err)
		}
		header, _, _ := strings.Cut(out.String(), "\n")
		for _, name := range []string{"moribund", "missing"} {
			if wanted := slices.Contains(want, name); slices.Contains(table.Looked, name) != wanted || slices.Contains(strings.Split(header, ","), name) != wanted {
				t.Errorf("%q: looked %v, header %s", text, table.Looked, header)
			}
		}
	}
}
