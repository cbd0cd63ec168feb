package tables

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"vialwise/bioassay"
)

// drafted reads a wide sheet through the mapping drafted from its own header.
func drafted(t *testing.T, file, text string) (*Table, Mapping) {
	t.Helper()
	header, err := ReadHeader(file, strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	m, err := DraftMapping(header, file)
	if err != nil {
		t.Fatal(err)
	}
	// What a person sees is what is used.
	again, err := ReadMapping("m.toml", bytes.NewReader(m.Text(file)))
	if err != nil {
		t.Fatalf("%v\n%s", err, m.Text(file))
	}
	table, err := ReadWide(file, strings.NewReader(text), again)
	if err != nil {
		t.Fatalf("%v\n%s", err, m.Text(file))
	}
	return table, again
}

// rowsOf lists assay, label, concentration, dead of exposed, and line.
func rowsOf(table *Table) string {
	var list []string
	for _, a := range table.Assays {
		for _, c := range a.Containers {
			list = append(list, a.Name+" "+c.Label+" "+c.ConcentrationText+" "+spell(c.Dead)+"/"+spell(c.Exposed)+"@"+spell(c.Source.Line))
		}
	}
	return strings.Join(list, ", ")
}

func spell(n int) string { return string([]rune("0123456789abcdefghijklmnopqrstuvwxyz")[n]) }

// The counts are invented.
func TestDraftedSheets(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"words", "dose,R1 exposed,R1 dead,R2 exposed,R2 dead\n0,9,0,8,1\n2,9,5,8,4\n", "bench R1 0 0/9@2, bench R2 0 1/8@2, bench R1 2 5/9@3, bench R2 2 4/8@3"},
		{"letters", "dose,n1,d1,n2,d2\n2,9,5,8,4\n", "bench 1 2 5/9@2, bench 2 2 4/8@2"},
		{"Spanish and semicolons", "Ensayo;Dosis (ug/vial);Expuestos 1;Muertos 1;Expuestos 2;Muertos 2\nA;0,5;9;5;8;4\n", "A 1 0,5 5/9@2, A 2 0,5 4/8@2"},
		{"several assays", "assay,dose,A_exposed,A_dead,B_exposed,B_dead\nX,1,9,2,8,1\nY,1,9,3,8,2\nX,2,9,5,8,4\n", "X A 1 2/9@2, X B 1 1/8@2, X A 2 5/9@4, X B 2 4/8@4, Y A 1 3/9@3, Y B 1 2/8@3"},
		{"exposed for all", "dose,n,dead rep 1,dead rep 2\n1,9,2,3\n", "bench rep1 1 2/9@2, bench rep2 1 3/9@2"},
		{"both in a cell", "dose,R1,R2\n1,2/9,3/8\n2,5 / 9,\n", "bench R1 1 2/9@2, bench R2 1 3/8@2, bench R1 2 5/9@3"},
		{"both in a cell, named", "dose,R1 exposed/dead,R2 exposed/dead\n1,9/2,8/3\n", "bench R1 1 2/9@2, bench R2 1 3/8@2"},
		{"dose last, a gap between", "n1,d1,,n2,d2,concentration\n9,2,,8,3,1\n", "bench 1 1 2/9@2, bench 2 1 3/8@2"},
		{"a replicate not filled", "dose,n1,d1,n2,d2\n1,9,2,,\n2,9,5,8,4\n", "bench 1 1 2/9@2, bench 1 2 5/9@3, bench 2 2 4/8@3"},
	} {
		t.Run(c.name, func(t *testing.T) {
			table, m := drafted(t, "bench.csv", c.text)
			if got := rowsOf(table); got != c.want {
				t.Errorf("got  %s\nwant %s\n%s", got, c.want, m.Text(""))
			}
		})
	}
}

func TestDraftText(t *testing.T) {
	m, err := DraftMapping([]string{"Dosis (ug/vial)", "R1 exposed", "R1 dead", "R1 moribund", "R1 missing", "vial note"}, "bench 7.csv")
	if err != nil {
		t.Fatal(err)
	}
	const want = `# Drafted from the header of bench 7.csv. Check every line, above all which
# columns are exposed and which are dead.


# The same for the whole sheet.
[fixed]
assay = "bench 7"
unit = "ug/vial"

# Columns of the sheet that hold for every replicate of a row.
[columns]
concentration = "Dosis (ug/vial)"

[[replicate]]
container = "R1"
exposed = "R1 exposed"
dead = "R1 dead"
moribund = "R1 moribund"
missing = "R1 missing"
`
	if got := string(m.Text("bench 7.csv")); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

func TestNoDraft(t *testing.T) {
	for _, header := range [][]string{{"dose", "alive"}, {"n1", "d1"}, {"dose", "R1 exposed", "R2 exposed"}, {}} {
		if m, err := DraftMapping(header, "f.csv"); !errors.Is(err, BadMapping) {
			t.Errorf("%v gives %+v and %v", header, m, err)
		}
	}
}

// Every kind of wrong mapping has its line.
func TestBadMappings(t *testing.T) {
	const good = "[fixed]\nassay = \"A\"\n[columns]\nconcentration = \"dose\"\n[[replicate]]\nexposed = \"n\"\ndead = \"d\"\n"
	if _, err := ReadMapping("m.toml", strings.NewReader(good)); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		text string
		line int
		says string
	}{
		{"sheet = 'x'\nsheets = 'y'\n" + good, 2, `"sheets" is not known`},
		{good + "daed = 'x'\n", 8, `"replicate.daed" is not known`},
		{"cell = 'both'\n" + good, 1, `a cell holds "both"`},
		{"cell =\n" + good, 1, "not valid"},
		{strings.Replace(good, "concentration", "concentratio", 1), 4, `no column "concentratio"`},
		{strings.Replace(good, "[columns]", "dead = '3'\n[columns]", 1), 3, "dead differs between replicates"},
		{strings.Replace(good, "[columns]", "unit = ' '\n[columns]", 1), 3, "no value is given for unit"},
		{strings.Replace(good, "[columns]", "concentration = '3'\n[columns]", 1), 3, "fixed and has a column"},
		{strings.Replace(good, "assay", "unit", 1), 3, "given for assay"},
		{good[:strings.Index(good, "[[")], 0, "no replicate"},
		{good + "counts = 'x'\n", 5, "both counts in one cell"},
		{"cell = 'dead/exposed'\n" + good + "counts = 'x'\n", 6, "counts as well as"},
		{strings.Replace(good, "dead = \"d\"\n", "", 1), 5, "no column for dead"},
		{strings.Replace(good, "exposed = \"n\"\n", "", 1), 5, "no column for exposed"},
		{"[fixed]\nassay = 3\n", 2, "not valid"},
		{strings.Repeat("#", maxMappingBytes+1), 0, "longer than"},
	} {
		_, err := ReadMapping("m.toml", strings.NewReader(c.text))
		var es Errors
		if !errors.As(err, &es) || es[0].Line != c.line || es[0].Code != BadMapping || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%q\ngives %v, want line %d and %q", c.text, err, c.line, c.says)
		}
	}
	if _, err := ReadMappingFile(filepath.Join(t.TempDir(), "none")); !errors.Is(err, os.ErrNotExist) {
		t.Error(err)
	}
}

// Errors have the place in the sheet that they come from.
func TestPlacesInWideSheets(t *testing.T) {
	pairs := Mapping{Fixed: map[string]string{"assay": "A"}, Columns: map[string]string{"concentration": "dose"},
		Replicates: []Replicate{{"1", "n1", "d1", "", "", ""}, {"2", "n2", "d2", "", "", ""}}}
	both := Mapping{Cell: deadFirst, Fixed: map[string]string{"assay": "A"}, Columns: map[string]string{"concentration": "dose"},
		Replicates: []Replicate{{Container: "1", Counts: "R1"}, {Container: "2", Counts: "R2"}}}
	fixed := Mapping{Fixed: map[string]string{"assay": "A", "role": "other", "exposed": "9"}, Columns: pairs.Columns, Replicates: []Replicate{{Dead: "d1"}}}
	for _, c := range []struct {
		name, text string
		m          Mapping
		want       []spot
	}{
		{"above", "dose,n1,d1,n2,d2\n1,9,2,8,9\n", pairs, []spot{{2, 5, DeadAboveExposed}}},
		{"half a pair", "dose,n1,d1,n2,d2\n1,9,,8,1\n", pairs, []spot{{2, 3, MissingValue}}},
		{"dose", "dose,n1,d1,n2,d2\nx,9,1,8,1\n", pairs, []spot{{2, 1, NotANumber}, {2, 1, NotANumber}}},
		{"no column", "dose,n1,d1,n2\n1,9,1,8\n", pairs, []spot{{1, 0, BadMapping}}},
		{"doubled column", "dose,n1,d1,n2,d2,d2\n1,9,1,8,1,1\n", pairs, []spot{{1, 6, DuplicateColumn}}},
		{"both", "dose,R1,R2\n1,2/9,9/8\n2,x,2-9\n3,12-Dec,#REF!\n", both, []spot{{2, 3, DeadAboveExposed}, {3, 2, NotANumber}, {3, 3, NotANumber}, {4, 2, SpreadsheetDate}, {4, 3, SpreadsheetError}}},
		{"fixed", "dose,d1\n1,2\n", fixed, []spot{{2, 0, BadRole}}},
		{"no rows", "dose,n1,d1,n2,d2\n", pairs, []spot{{0, 0, NoData}}},
		{"used twice", "dose,n,d\n1,9,2\n", Mapping{Fixed: both.Fixed, Columns: both.Columns, Replicates: []Replicate{{Exposed: "n", Dead: "d"}, {Exposed: "n", Dead: "d"}}}, []spot{{1, 3, BadMapping}}},
		{"bad mapping", "dose,n,d\n1,9,2\n", Mapping{}, []spot{{0, 0, BadMapping}}},
	} {
		_, err := ReadWide("f.csv", strings.NewReader(c.text), c.m)
		var es Errors
		errors.As(err, &es)
		var got []spot
		for _, e := range es {
			got = append(got, spot{e.Line, e.Column, e.Code})
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%s: got %v, want %v\n%v", c.name, got, c.want, err)
		}
	}
}

func TestFixedExposed(t *testing.T) {
	m := Mapping{Fixed: map[string]string{"assay": "A", "exposed": "9", "unit": "ug/vial", "role": "baseline"}, Columns: map[string]string{"concentration": "dose"},
		Replicates: []Replicate{{Container: "x", Dead: "d1"}, {Container: "y", Dead: "d2"}}}
	table, err := ReadWide("f.csv", strings.NewReader("dose,d1,d2,shelf\n1,2,3,top\n2,,4,\n"), m)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := rowsOf(table), "A x 1 2/9@2, A y 1 3/9@2, A y 2 4/9@3"; got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	a := table.Assays[0]
	if a.Unit != "ug/vial" || a.Role != bioassay.RoleBaseline || !slices.Equal(a.Containers[1].Extra, []bioassay.Field{{Name: "shelf", Value: "top"}}) {
		t.Errorf("got %+v", a)
	}
	if !slices.ContainsFunc(table.Warnings, func(w bioassay.Warning) bool { return w.Code == EmptyReplicate && w.Line == 3 }) {
		t.Errorf("warnings %v", table.Warnings)
	}
}

// Whatever a mapping holds, its text gives it back.
func TestMappingText(t *testing.T) {
	word := rapid.StringN(1, 8, -1).Filter(func(s string) bool { return trim(s) != "" })
	rapid.Check(t, func(t *rapid.T) {
		m := Mapping{Sheet: word.Draw(t, "sheet"), Cell: deadFirst,
			Fixed:   map[string]string{"assay": word.Draw(t, "assay")},
			Columns: map[string]string{"concentration": word.Draw(t, "dose"), "note": word.Draw(t, "note")}}
		for range rapid.IntRange(1, 3).Draw(t, "replicates") {
			m.Replicates = append(m.Replicates, Replicate{Container: word.Draw(t, "label"), Counts: word.Draw(t, "counts")})
		}
		text := m.Text("f.csv")
		back, err := ReadMapping("m.toml", bytes.NewReader(text))
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		if string(back.Text("f.csv")) != string(text) || back.Fixed["assay"] != m.Fixed["assay"] || back.Replicates[0] != m.Replicates[0] {
			t.Fatalf("got %+v, want %+v", back, m)
		}
	})
}

// TestReadHeaderOfMergedCells: a header of two rows, of which the first is
// merged, would draft a mapping that means nothing.
func TestReadHeaderOfMergedCells(t *testing.T) {
	f, err := os.ReadFile(filepath.Join("testdata", "libreoffice", "two-row-header.xlsx"))
	if err != nil {
		t.Fatal(err)
	}
	_, err = ReadHeader("bench.xlsx", bytes.NewReader(f))
	if !errors.Is(err, MergedCells) || !strings.Contains(err.Error(), "B1:C1") {
		t.Errorf("%v", err)
	}
}
