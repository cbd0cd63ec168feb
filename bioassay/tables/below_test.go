package tables

import (
	"bytes"
	"strings"
	"testing"

	"vialwise/bioassay/tables/workbook"
)

const benchNames = "dose,R1 exposed,R1 dead,R2 exposed,R2 dead"

// What newcomers hand in, with the remedy that names the cure. Invented.
func TestRemediesOfCountTables(t *testing.T) {
	const other = least + "A,0,9,0\nA,1,9,2\n"
	for _, c := range []struct{ name, text, want string }{
		{"title", "Spring tests\n\n" + least + "A,1,9,2\n", "line 3 looks like the header; delete lines 1 to 2"},
		{"one title", "Spring tests\n" + least + "A,1,9,2\n", "line 2 looks like the header; delete line 1"},
		{"title of a bench sheet", "Spring tests,,,,\n" + benchNames + "\n1,9,2,9,3\n", "line 2 looks like the header; delete line 1"},
		{"nothing below", "Spring tests\nN1\nN2\n", "the first line must hold the column names"},
		{"bench sheet", benchNames + "\n1,9,2,9,3\n", "check --draft-mapping, make a count table with check --mapping FILE --fix, then fit NAME.cleaned.csv"},
		{"a total", other + "Total,,18,2\n", "delete the row"},
		{"a total for a dose", other + "A,Suma,18,2\n", "delete the row"},
		{"a word for the control", least + "A,Control,9,0\nA,1,9,2\n", "write 0 for an untreated control"},
		{"the same in Spanish", least + "A,testigo,9,0\nA,1,9,2\n", "write 0 for an untreated control"},
		{"the living", "assay,dose,alive,dead\nA,1,7,2\n", "exposed must be given, and is alive + dead"},
	} {
		if _, err := Read("f.csv", strings.NewReader(c.text)); err == nil || !strings.Contains(err.Error(), c.want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: got\n%v\nwant %s", c.name, err, c.want)
		}
	}
}

// A mapping is drafted from a header or not at all.
func TestRemediesOfBenchSheets(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"title", "Spring tests,,,,\nread on Monday,,,,\n" + benchNames + "\n1,9,2,9,3\n", "line 3 looks like the header; delete lines 1 to 2"},
		{"one title", "Spring tests,,,,\n" + benchNames + "\n1,9,2,9,3\n", "line 2 looks like the header; delete line 1"},
		{"two rows", "dose,R1,,R2,\n,exposed,dead,exposed,dead\n1,9,2,9,3\n", "the header stands in two rows; write both into one"},
		{"the living", "dose,R1 alive,R1 dead,R2 alive,R2 dead\n1,7,2,6,3\n", "exposed must be given, and is alive + dead"},
	} {
		header, err := ReadHeader("f.csv", strings.NewReader(c.text))
		if err == nil {
			_, err = DraftMapping(header, "f.csv")
		}
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v, want %s", c.name, err, c.want)
		}
	}
	// marks alone are a header, where no other one stands below
	for _, text := range []string{"dose,R1,R2\n1,2/9,3/9\n", benchNames + "\n1,9,2,9,3\n", "dose,R1,R2\n"} {
		if _, err := ReadHeader("f.csv", strings.NewReader(text)); err != nil {
			t.Errorf("%q: %v", text, err)
		}
	}
}

// A workbook has rows, not lines.
func TestTitleInAWorkbook(t *testing.T) {
	b, err := workbook.NewBuilder()
	if err != nil {
		t.Fatal(err)
	}
	sheet, err := b.Sheet("bench")
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range []string{"Spring tests", "by hand", benchNames, "1,9,2,9,3"} {
		var cells []workbook.Value
		for text := range strings.SplitSeq(row, ",") {
			cells = append(cells, workbook.TextValue(text))
		}
		if err := sheet.Row(cells...); err != nil {
			t.Fatal(err)
		}
	}
	var out bytes.Buffer
	if _, err := b.WriteTo(&out); err != nil {
		t.Fatal(err)
	}
	const want = "row 3 looks like the header; delete rows 1 to 2"
	if _, err := ReadHeader("f.xlsx", bytes.NewReader(out.Bytes())); err == nil || !strings.Contains(err.Error(), want) {
		t.Errorf("header: %v", err)
	}
	if _, err := Read("f.xlsx", bytes.NewReader(out.Bytes())); err == nil || !strings.Contains(err.Error(), want) {
		t.Errorf("table: %v", err)
	}
}
