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
		notText    = `f.csv: this is not a text file; give the CSV or XLSX file of the counts`
		damaged    = `f.csv: the workbook is damaged: zip: not a valid zip file; open it in a spreadsheet, save it anew and try again`
	)
	for _, c := range []struct{ text, want string }{
		// Columns.
		{"assay,dosage level,n,kill\n", `f.csv:1: there is no column concentration, exposed, dead; found assay, dosage level, n, kill` + renameMany +
			`; perhaps rename n to exposed, kill to dead`},
		{"\nassay,Dose (ug/mL),TOTAL,deaths\n", `f.csv:2: there is no column exposed; found assay, Dose (ug/mL), TOTAL, deaths; rename the column that holds it, or add it; perhaps rename TOTAL to exposed`},
		{"assay,concentration,exposed,dead,muertos\n", `f.csv:1: column 5 (muertos): found "muertos": column 4 (dead) is another name for dead too; rename or delete one of the two`},
		{"assay,concentration,exposed,killed,dead,Dead\n", `f.csv:1: column 5 (dead): found "dead": column 4 (killed) is another name for dead too; rename or delete one of the two` +
			"\n" + `f.csv:1: column 6 (Dead): found "Dead": column 4 (killed) is another name for dead too; rename or delete one of the two`},
		{"assay,a,b,,c\n", `f.csv:1: there is no column concentration, exposed, dead; found assay, a, b, c` + renameMany +
			"\n" + `f.csv:1: column 4: the column has no name; name it, or delete the column`},
		{"assay,0123456789," + strings.Repeat("y", 70) + ",\"\u009b\",zzzzzzzz\n",
			`f.csv:1: there is no column concentration, exposed, dead; found assay, 0123456789, ` + strings.Repeat("y", 60) + `…, "\u009b", …` + renameMany},
		{"sample,level,n,kill\n", `f.csv:1: found "sample,level,n,kill": ` + letter +
			`; perhaps rename sample to assay, n to exposed, kill to dead`},

		// No header.
		{"Dear colleague, here are the counts of last week\n", `f.csv:1: found "Dear colleague, here are the …": ` + letter},
		{"\n\nDear colleague\n", `f.csv:3: found "Dear colleague": ` + letter},
		{"Dear \"colleague\", x\n", `f.csv:1: found "Dear \"colleague\", x": ` + letter},
		{strings.Repeat("a", 40) + "\n", `f.csv:1: found "` + strings.Repeat("a", 30) + `…": ` + letter},

		// No text.
		{"\x89PNG\r\n\x1a\n", notText}, {"%PDF-1.4\n%\xe2\xe3\n", notText}, {"\x7fELF\x02\x01", notText},
		{zipped("[Content_Types].xml"), damaged}, {zipped("a.txt"), damaged},
		{least + "A\x1b[31m,1,10,5\n", `f.csv:2: column 1 (assay): found "A\x1b[31m": the cell contains the invisible control character 1B; delete it, or export the table again`},
		{least + "B\xe2le,1,10,5\nB\u00e2le,1,10,5\n", `f.csv:2: column 1 (assay): found "B?le" (byte E2; "Bâle" in Windows-1252): these bytes are not UTF-8, though other cells are; ` + saveAsText},
		{least + "B\xe2le,1,10,5\nB\x8d,1,10,5\n", `f.csv:3: column 1 (assay): found "B?" (byte 8D): these bytes are neither UTF-8 nor Windows-1252; ` + saveAsText},

		// No delimiter that is known.
		{"assay|dead\n", `f.csv:1: the cells are separated by vertical bars, not by commas, semicolons or tabs; ` + saveAsText},
	} {
		_, err := Read("f.csv", strings.NewReader(c.text))
		if err == nil || err.Error() != c.want {
			t.Errorf("got  %v\nwant %s", err, c.want)
		}
	}
	for _, text := range []string{"\x89PNG\n", "\x00\x8d\x1f\x9d random\x01\x02", "\x00\x00\xFE\xFF\x00\x00\x00a"} {
		_, err := Read("f.XLSX", strings.NewReader(text))
		if want := "f.XLSX: the file is named .xlsx and holds no workbook; open it in a spreadsheet and save it as an XLSX workbook; if it does not open there, fetch the original again"; err == nil || err.Error() != want {
			t.Errorf("%q: %v", text, err)
		}
	}
	for text, want := range map[string]string{
		"site,region\n": `-:1: found "site,region": this is not the header of a table of apiaries; the first line must hold the column name apiary; perhaps rename site to apiary`,
		"\x89PNG\n":     `-: this is not a text file; give the CSV or XLSX file of the apiaries`,
	} {
		want = strings.Replace(want, "-", "standard input", 1)
		if _, err := ReadApiaries("-", strings.NewReader(text)); err == nil || err.Error() != want {
			t.Errorf("got  %v\nwant %s", err, want)
		}
	}
}
