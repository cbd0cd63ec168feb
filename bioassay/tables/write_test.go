package tables

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"reflect"
	"strings"
	"testing"

	"vialwise/bioassay"
	"vialwise/bioassay/tables/internal/corpus"
)

func written(t testing.TB, assays []bioassay.Assay) string {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, assays); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestWriteCanonical(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"least", "dead,exposed,concentration,assay\n5,9.0,2.50,A\n", least + "A,2.50,9,5\n"},
		{"default role and zero counts are left out", "role,moribund,missing," + least + "field,0,0,A,1,9,5\n", least + "A,1,9,5\n"},
		{"rows brought together", least + "A,1,9,5\nB,1,9,5\nA,2,9,6\n", least + "A,1,9,5\nA,2,9,6\nB,1,9,5\n"},
		{"one baseline", "role," + least + "baseline,A,1,9,5\n,B,1,9,5\n", "assay,role,concentration,exposed,dead\nA,baseline,1,9,5\nB,field,1,9,5\n"},
		{"inherited fields are filled in", "unit,exposure_h," + least + "ug/mL,24.0,A,1,9,5\n,,A,2,9,5\n",
			"assay,unit,concentration,exposed,dead,exposure_h\nA,ug/mL,1,9,5,24\nA,ug/mL,2,9,5,24\n"},
		{"unknown columns by name", "shelf,batch," + least + "top,,A,1,9,5\n,b 2,A,2,9,5\n",
			"assay,concentration,exposed,dead,batch,shelf\nA,1,9,5,,top\nA,2,9,5,b 2,\n"},
		{"answers", "tested_blind," + least + "TRUE,A,1,9,5\n0,A,2,9,5\n,A,3,9,5\n",
			"assay,concentration,exposed,dead,tested_blind\nA,1,9,5,yes\nA,2,9,5,no\nA,3,9,5,\n"},
		{"quotes and breaks", least + "\"A, \"\"b\"\"\r\nc\",1,9,5\n", least + "\"A, \"\"b\"\"\nc\",1,9,5\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			table := mustRead(t, c.text)
			got := written(t, table.Assays)
			if got != c.want {
				t.Errorf("got\n%s\nwant\n%s", got, c.want)
			}
			if err := sameTable(table, mustRead(t, got)); err != nil {
				t.Error(err)
			}
		})
	}
}

// sameTable compares all that a table says, but not on which lines, nor with
// which decimal mark.
func sameTable(a, b *Table) error {
	if len(a.Assays) != len(b.Assays) {
		return fmt.Errorf("%d assays became %d", len(a.Assays), len(b.Assays))
	}
	for i := range a.Assays {
		x, y := a.Assays[i], b.Assays[i]
		for _, v := range [][]bioassay.Container{x.Containers, y.Containers} {
			for j := range v {
				v[j].Source = bioassay.Origin{}
				_, v[j].ConcentrationText, _, _ = decimalMark(v[j].ConcentrationText)
			}
		}
		if !reflect.DeepEqual(x, y) {
			return fmt.Errorf("%+v\nbecame\n%+v", x, y)
		}
	}
	return nil
}

func TestWriteComputedConcentration(t *testing.T) {
	for _, c := range []struct {
		value      float64
		text, want string
	}{{0.30000000000000004, "", "0.30000000000000004"}, {2, "2.0", "2.0"}, {2, "1.0", "2"}, {2, " 2", "2"}, {0, "", "0"}, {1e-9, "", "1e-09"}} {
		a := []bioassay.Assay{{Name: "A", Containers: []bioassay.Container{{Concentration: c.value, ConcentrationText: c.text, Exposed: 9}}}}
		if got, want := written(t, a), least+"A,"+c.want+",9,0\n"; got != want {
			t.Errorf("%v as %q: got %q, want %q", c.value, c.text, got, want)
		}
	}
}

func TestWriteRefuses(t *testing.T) {
	one := func(change func(*bioassay.Assay, *bioassay.Container)) []bioassay.Assay {
		a := bioassay.Assay{Name: "A", Containers: []bioassay.Container{{Concentration: 1, Exposed: 9, Dead: 5}}}
		change(&a, &a.Containers[0])
		return []bioassay.Assay{a}
	}
	type (
		assay     = bioassay.Assay
		container = bioassay.Container
	)
	good := one(func(*assay, *container) {})
	for name, assays := range map[string][]bioassay.Assay{
		"none":                 {},
		"no container":         {{Name: "A"}},
		"no container, second": {good[0], {Name: "B"}},
		"same name":            {good[0], good[0]},
		"no name":              one(func(a *assay, _ *container) { a.Name = "" }),
		"spaces":               one(func(a *assay, _ *container) { a.Unit = " ug" }),
		"carriage return":      one(func(_ *assay, c *container) { c.Note = "a\rb" }),
		"NUL":                  one(func(_ *assay, c *container) { c.Note = "a\x00b" }),
		"not UTF-8":            one(func(_ *assay, c *container) { c.Note = "\xff" }),
		"dead above exposed":   one(func(_ *assay, c *container) { c.Dead = 10 }),
		"negative":             one(func(_ *assay, c *container) { c.Missing = -1 }),
		"infinite":             one(func(_ *assay, c *container) { c.Concentration = 1 / zero }),
		"not a number":         one(func(_ *assay, c *container) { c.Concentration = zero / zero }),
		"no such day":          one(func(a *assay, _ *container) { a.TestedOn = bioassay.Date{Year: 2031, Month: 2, Day: 30} }),
		"unknown column known": one(func(_ *assay, c *container) { c.Extra = []bioassay.Field{{Name: "Dead", Value: "1"}} }),
		"unknown column twice": one(func(_ *assay, c *container) {
			c.Extra = []bioassay.Field{{Name: "x", Value: "1"}, {Name: "X", Value: "2"}}
		}),
		"unknown column unname": one(func(_ *assay, c *container) { c.Extra = []bioassay.Field{{Name: "", Value: "1"}} }),
		"empty unknown cell":    one(func(_ *assay, c *container) { c.Extra = []bioassay.Field{{Name: "x", Value: ""}} }),
	} {
		var b bytes.Buffer
		if err := Write(&b, assays); err == nil || b.Len() > 0 {
			t.Errorf("%s: error %v and %q", name, err, b.String())
		}
	}
	if err := Write(&bytes.Buffer{}, good); err != nil {
		t.Errorf("the unchanged assay: %v", err)
	}
}

var zero = 0.0

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errFull }

var errFull = errors.New("the disk is full")

func TestWriteToFullDisk(t *testing.T) {
	if err := Write(full{}, mustRead(t, least+"A,1,9,5\n").Assays); !errors.Is(err, errFull) {
		t.Errorf("got %v", err)
	}
}

func FuzzRead(f *testing.F) {
	for _, c := range refused {
		f.Add([]byte(c.text))
	}
	for _, text := range []string{
		"assay,a\u009bb," + least + "x", "hello \u202e\n", least + "A,1,9,5\n", least + "A,1e3,9.0,5\nB,0,9,0\nA,.5,9,5",
		"role,unit,exposure_h,tested_on,tested_blind,moribund,missing,note," + least +
			"baseline,ug/mL,24.50,2031-04-09,Yes,1,2,\"a\r\nb\",A,1,9,5\n,,,,,,,\\.,A,2.0,9,5\n",
		"\ufeffX,shelf, b," + least + "1,\"\"\"\",2,A,1,9,5\n,,,,,,\n",
	} {
		f.Add([]byte(text))
	}
	for _, file := range corpus.Quick() {
		if len(file.Data) < 1000 {
			f.Add(file.Data)
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		checkReading(t, data)
	})
}

// FuzzReadWorkbook changes workbooks as archives.
func FuzzReadWorkbook(f *testing.F) {
	for _, file := range corpus.Quick() {
		if isPacked(file.Data) && len(file.Data) < 20_000 {
			f.Add(file.Data)
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		if isPacked(data) {
			checkReading(t, data)
		}
	})
}

// FuzzReadSheet changes the parts of a workbook, which the sums of an archive
// would keep from being reached.
func FuzzReadSheet(f *testing.F) {
	for _, file := range corpus.Quick() {
		sheet, texts, styles, ok := corpus.Parts(file.Data)
		if ok && len(sheet) < 20_000 {
			f.Add(sheet, texts, styles)
		}
	}
	f.Fuzz(func(t *testing.T, sheet, texts, styles string) {
		checkReading(t, corpus.Workbook(sheet, texts, styles))
	})
}

// checkReading reads whatever it is given. An error is fit to print; a table
// can be written and read back, in either kind of file.
func checkReading(t *testing.T, data []byte) {
	table, err := Read("f.csv", strings.NewReader(string(data)))
	if err != nil {
		if err.Error() == "" || table != nil {
			t.Errorf("table %v and error %v", table, err)
		}
		checkPrintable(t, strings.ReplaceAll(err.Error(), "\n", ""))
		return
	}
	for _, w := range table.Warnings {
		checkPrintable(t, w.String())
	}
	first := written(t, table.Assays)
	again, err := Read("f.csv", strings.NewReader(first))
	if err != nil {
		t.Fatalf("what was written cannot be read: %v\n%q", err, first)
	}
	if err := sameTable(table, again); err != nil {
		t.Fatalf("%v\n%q", err, first)
	}
	if second := written(t, again.Assays); second != first {
		t.Fatalf("%q\nwas written again as\n%q", first, second)
	}
	if err := WriteWorkbook(io.Discard, table.Assays); err != nil && !strings.Contains(err.Error(), "the text ") && !strings.Contains(err.Error(), "no day") {
		t.Fatalf("cannot be written as a workbook: %v", err)
	}
}

// manyRows is an invented table of n rows, six to an assay, labelled.
func manyRows(n int) string {
	var b strings.Builder
	b.WriteString("assay,apiary,collected_on,acaricide,unit,container,concentration,exposed,dead\n")
	for i := range n {
		fmt.Fprintf(&b, "A%d,N%d,2031-04-%02d,amitraz,ug/mL,v%d,%g,12,%d\n", i/6, i/60, 1+i/6%28, i%6, float64(i%6)*0.5, 2*(i%6))
	}
	return b.String()
}

func BenchmarkRead100k(b *testing.B) {
	text := manyRows(100_000)
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		mustRead(b, text)
	}
}

func BenchmarkWrite100k(b *testing.B) {
	assays := mustRead(b, manyRows(100_000)).Assays
	b.ReportAllocs()
	for b.Loop() {
		if err := Write(&bytes.Buffer{}, assays); err != nil {
			b.Fatal(err)
		}
	}
}

// A row costs the one allocation of the CSV reader, and a little for its
// assay; a change that allocates for each cell would show here.
func TestAllocationsPerRow(t *testing.T) {
	const rows = 6000
	text := manyRows(rows)
	perRow := testing.AllocsPerRun(3, func() { mustRead(t, text) }) / rows
	if perRow > 4 {
		t.Errorf("%.1f allocations per row", perRow)
	}
}
