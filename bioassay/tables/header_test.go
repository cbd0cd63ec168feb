package tables

import (
	"strings"
	"testing"
)

// zipped is the beginning of a ZIP archive whose first file has this name.
func zipped(name string) string {
	return "PK\x03\x04" + strings.Repeat("\x00", 22) + string(rune(len(name))) + "\x00\x00\x00" + name
}

// The first line or the whole file is wrong: one line says so.
func TestErrorTextOfTheFile(t *testing.T) {
	const (
		letter     = `this is not the header of a count table; the first line must hold the column names assay, concentration, exposed, dead`
		renameMany = `; rename the columns that hold them, or add them`
		notText    = `f.csv: this is not a text file; give the CSV file of the counts`
		workbook   = `f.csv: this is a spreadsheet workbook, not a text file; ` + saveAsUTF8
		choose     = saveAsUTF8 + `; when saving choose the comma as field separator and the point as decimal mark (in a spreadsheet these follow the system's region settings), or replace them in a text editor: first every , by . and then every `
	)
	for _, c := range []struct{ text, want string }{
		// Columns.
		{"assay,dose,n,killed\n", `f.csv:1: there is no column concentration, exposed, dead; found assay, dose, n, killed` + renameMany +
			`; perhaps rename dose to concentration, n to exposed, killed to dead`},
		{"\nassay,Dose (ug/mL),TOTAL,deaths\n", `f.csv:2: there is no column concentration, exposed, dead; found assay, Dose (ug/mL), TOTAL, deaths` + renameMany +
			`; perhaps rename Dose (ug/mL) to concentration, TOTAL to exposed, deaths to dead`},
		{"assay,a,b,,c\n", `f.csv:1: there is no column concentration, exposed, dead; found assay, a, b, c` + renameMany +
			"\n" + `f.csv:1: column 4: the column has no name; name it, or delete the column`},
		{"assay,0123456789," + strings.Repeat("y", 70) + ",\"\u009b\",zzzzzzzz\n",
			`f.csv:1: there is no column concentration, exposed, dead; found assay, 0123456789, ` + strings.Repeat("y", 60) + `…, "\u009b", …` + renameMany},
		{"sample,dose,n,killed\n", `f.csv:1: found "sample,dose,n,killed": ` + letter +
			`; perhaps rename sample to assay, dose to concentration, n to exposed, killed to dead`},

		// No header.
		{"Dear colleague, here are the counts of last week\n", `f.csv:1: found "Dear colleague, here are the …": ` + letter},
		{"\n\nDear colleague\n", `f.csv:3: found "Dear colleague": ` + letter},
		{"Dear \"colleague\", x\n", `f.csv:1: found "Dear \"colleague\", x": ` + letter},
		{strings.Repeat("a", 40) + "\n", `f.csv:1: found "` + strings.Repeat("a", 30) + `…": ` + letter},

		// No text.
		{"\x89PNG\r\n\x1a\n", notText}, {"%PDF-1.4\n%\xe2\xe3\n", notText}, {zipped("a.txt"), notText}, {"\x7fELF\x02\x01", notText},
		{zipped("[Content_Types].xml"), workbook}, {zipped("xl/workbook.xml"), workbook}, {"\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1", workbook},
		{least + "A\x1b[31m,1,10,5\n", `f.csv:2: column 1 (assay): found "A\x1b[31m": the cell contains the invisible control character 1B; delete it, or export the table again`},
		{least + "B\xe2le,1,10,5\n", `f.csv:2: column 1 (assay): found "B?le" (byte E2; "Bâle" in Windows-1252): these bytes are not UTF-8, the file is probably in Windows-1252 or a relative of it; ` + saveAsUTF8},

		// No commas.
		{"assay;dead\n", `f.csv:1: the cells are separated by semicolons, not by commas; ` + choose + `; by ,`},
		{"assay\tdead\n", `f.csv:1: the cells are separated by tabs, not by commas; ` + choose + `tab by ,`},
		{"assay|dead\n", `f.csv:1: the cells are separated by vertical bars, not by commas; ` + choose + `| by ,`},
	} {
		_, err := Read("f.csv", strings.NewReader(c.text))
		if err == nil || err.Error() != c.want {
			t.Errorf("got  %v\nwant %s", err, c.want)
		}
	}
	for text, want := range map[string]string{
		"site,region\n": `-:1: found "site,region": this is not the header of a table of apiaries; the first line must hold the column name apiary; perhaps rename site to apiary`,
		"\x89PNG\n":     `-: this is not a text file; give the CSV file of the apiaries`,
	} {
		want = strings.Replace(want, "-", "standard input", 1)
		if _, err := ReadApiaries("-", strings.NewReader(text)); err == nil || err.Error() != want {
			t.Errorf("got  %v\nwant %s", err, want)
		}
	}
}

// The remedy for semicolons makes a table that can be read.
func TestRemedyForSemicolons(t *testing.T) {
	text := "assay;concentration;exposed;dead\nA;1,5;10;2\n"
	text = strings.ReplaceAll(strings.ReplaceAll(text, ",", "."), ";", ",")
	if got := mustRead(t, text).Assays[0].Containers[0].Concentration; got != 1.5 { // exact in binary
		t.Errorf("got %v", got)
	}
}
