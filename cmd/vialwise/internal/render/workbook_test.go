package render

import (
	"bytes"
	"io"
	"math"
	"slices"
	"strconv"
	"testing"

	"vialwise/bioassay"
	"vialwise/bioassay/rules"
	"vialwise/bioassay/tables"
	"vialwise/bioassay/tables/workbook"
)

// judgedBy is what the built-in rules say of an assay.
func judgedBy(a bioassay.Assay) (bioassay.Verdict, bool) { return rules.Builtin().Judge(a, nil), true }

// bookSheets reads a workbook.
func bookSheets(t *testing.T, raw []byte) (names []string, sheets map[string][][]workbook.Cell) {
	t.Helper()
	book, err := workbook.Open(bytes.NewReader(raw), int64(len(raw)), workbook.DefaultLimits())
	if err != nil {
		t.Fatal(err)
	}
	sheets = map[string][][]workbook.Cell{}
	for _, s := range book.Sheets() {
		names = append(names, s.Name)
		rows, err := book.Rows(s)
		if err != nil {
			t.Fatal(err)
		}
		for {
			row, err := rows.Next()
			if err == io.EOF {
				break
			}
			if err != nil {
				t.Fatal(err)
			}
			sheets[s.Name] = append(sheets[s.Name], slices.Clone(row.Cells))
		}
		rows.Close()
	}
	return names, sheets
}

// bookCell returns a cell by the name of its column; blank beyond the last one.
func bookCell(t *testing.T, sheet [][]workbook.Cell, row int, column string) workbook.Cell {
	t.Helper()
	i := slices.IndexFunc(sheet[0], func(c workbook.Cell) bool { return c.Text == column })
	if i < 0 {
		t.Fatalf("there is no column %q in %v", column, sheet[0])
	}
	if i >= len(sheet[row]) {
		return workbook.Cell{}
	}
	return sheet[row][i]
}

// sameBookNumber demands a number cell, or a blank one where it does not exist.
func sameBookNumber(t *testing.T, sheet [][]workbook.Cell, row int, column string, want float64) {
	t.Helper()
	c := bookCell(t, sheet, row, column)
	if math.IsNaN(want) || math.IsInf(want, 0) {
		if c.Kind != workbook.Blank {
			t.Errorf("row %d, %s: %v, want a blank cell", row, column, c)
		}
		return
	}
	got, err := strconv.ParseFloat(c.Text, 64)
	number := c.Kind == workbook.Number || c.Kind == workbook.Shaped || c.Kind == workbook.Percent
	if err != nil || !number || math.Abs(got-want) > bookTolerance*math.Abs(want) {
		t.Errorf("row %d, %s: %v, want %g", row, column, c, want)
	}
}

// bookTolerance: a workbook stores 17 digits.
const bookTolerance = 1e-15

// TestFitsBook compares the cells of the results with the fits, and the counts read
// back with those that went in.
func TestFitsBook(t *testing.T) {
	f := everyAssay(t, []float64{50, 90})
	f.Verdicts = judgedBy
	var b bytes.Buffer
	if err := WriteFitsBook(&b, f); err != nil {
		t.Fatal(err)
	}
	names, sheets := bookSheets(t, b.Bytes())
	if want := []string{"results", "counts", "quality", "methods"}; !slices.Equal(names, want) {
		t.Errorf("sheets %v, want %v", names, want)
	}
	results := sheets["results"]
	if len(results) != len(f.Analyses)+1 {
		t.Fatalf("%d rows for %d assays", len(results), len(f.Analyses))
	}
	findings := 0
	for i, a := range f.Analyses {
		row := i + 1
		sameBookNumber(t, results, row, "treated_mites", float64(a.Fit.TreatedExposed))
		sameBookNumber(t, results, row, "slope", a.Fit.Slope)
		sameBookNumber(t, results, row, "natural_mortality", a.Fit.Natural.Estimate)
		sameBookNumber(t, results, row, "g", a.Fit.G)
		for k, name := range []string{"LC50", "LC90"} {
			r, robust := a.Report(k), a.Limits.Robust[k]
			sameBookNumber(t, results, row, name, noBound(r.Estimate))
			sameBookNumber(t, results, row, name+"_lower", noBound(r.Lower))
			sameBookNumber(t, results, row, name+"_upper", r.Upper)
			sameBookNumber(t, results, row, name+"_robust_lower", noBound(robust.Lower))
			if got := bookCell(t, results, row, name+"_limits").Text; got != source(r) && !math.IsNaN(r.Estimate) {
				t.Errorf("row %d: limits from %q, want %q", row, got, source(r))
			}
		}
		v, _ := judgedBy(a.Assay)
		if got := bookCell(t, results, row, "usable").Text; got != map[bool]string{true: "yes", false: "no"}[v.Usable] {
			t.Errorf("row %d: usable %q", row, got)
		}
		findings += len(f.Findings(a))
	}
	if len(sheets["quality"]) != findings+1 {
		t.Errorf("%d rows of findings, want %d", len(sheets["quality"])-1, findings)
	}
	for name, rows := range sheets {
		for _, cell := range slices.Concat(rows...) {
			if cell.Kind == workbook.Unstored || cell.Kind == workbook.Failed {
				t.Errorf("sheet %s holds the formula %v", name, cell)
			}
		}
	}
}

// noBlanks drops what a workbook does not keep: the places, and how a number was
// spelt.
func noBlanks(assays []bioassay.Assay) []bioassay.Assay {
	out := slices.Clone(assays)
	for i := range out {
		out[i].Containers = slices.Clone(out[i].Containers)
		for k := range out[i].Containers {
			out[i].Containers[k].Source, out[i].Containers[k].ConcentrationText = bioassay.Origin{}, ""
		}
	}
	return out
}

// TestBookCountsReadBack reads the sheet of counts as a count table, hostile names
// and all.
func TestBookCountsReadBack(t *testing.T) {
	const table = "assay,apiary,role,collected_on,acaricide,unit,exposure_h,container,concentration,exposed,dead,moribund,missing,tested_blind,note,colour,=odd\n" +
		"=1+1,A1,baseline,2031-04-09,amitraz,ug/vial,6.5,v1,0.25,9,2,1,,yes,\"''=x\",red,1\n" +
		"=1+1,A1,baseline,2031-04-09,amitraz,ug/vial,6.5,v2,12,9,5,,2,no,-a,,\n" +
		"'b,A2,field,,amitraz,ug/vial,,@c,0,10,0,,,,\"two\nlines\",,+\n'b,A2,field,,amitraz,ug/vial,,,2,10,7,,,,,,\n"
	want := readTable(t, "counts.csv", table)
	f := analysed(t, want, bioassay.AnalysisOptions{})
	var b bytes.Buffer
	if err := WriteFitsBook(&b, f); err != nil {
		t.Fatal(err)
	}
	got, err := tables.Read("book.xlsx", bytes.NewReader(b.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	x, y := noBlanks(want.Assays), noBlanks(got.Assays)
	if len(x) != len(y) {
		t.Fatalf("%d assays came back as %d", len(x), len(y))
	}
	for i := range x {
		if !slices.EqualFunc(x[i].Containers, y[i].Containers, sameContainer) || x[i].Name != y[i].Name || x[i].Role != y[i].Role || x[i].CollectedOn != y[i].CollectedOn || x[i].ExposureHours != y[i].ExposureHours {
			t.Errorf("assay %d:\n%+v came back as\n%+v", i, x[i], y[i])
		}
	}
}

func sameContainer(a, b bioassay.Container) bool {
	extra := slices.Equal(a.Extra, b.Extra)
	a.Extra, b.Extra = nil, nil
	return extra && a.Label == b.Label && a.Concentration == b.Concentration && a.Exposed == b.Exposed && a.Dead == b.Dead &&
		a.Moribund == b.Moribund && a.Missing == b.Missing && a.TestedBlind == b.TestedBlind && a.Note == b.Note
}

// TestComparisonsBook looks at the ratios, the baselines and what was refused.
func TestComparisonsBook(t *testing.T) {
	c := demoComparisons(t)
	c.Verdicts = judgedBy
	var b, again bytes.Buffer
	if err := WriteComparisonsBook(&b, c); err != nil {
		t.Fatal(err)
	}
	if err := WriteComparisonsBook(&again, c); err != nil || !bytes.Equal(b.Bytes(), again.Bytes()) {
		t.Errorf("two runs differ, %v", err)
	}
	names, sheets := bookSheets(t, b.Bytes())
	if want := []string{"results", "baselines", "not compared", "counts", "quality", "methods"}; !slices.Equal(names, want) {
		t.Errorf("sheets %v, want %v", names, want)
	}
	censored := 0
	for i, r := range c.Compared {
		for _, x := range r.Ratios {
			name := ratioName(x.Percent)
			sameBookNumber(t, sheets["results"], i+1, name, noBound(x.Estimate))
			sameBookNumber(t, sheets["results"], i+1, name+"_lower", noBound(x.Mover.Lower))
			sameBookNumber(t, sheets["results"], i+1, name+"_upper", x.Mover.Upper)
			if bookCell(t, sheets["results"], i+1, name+"_above").Kind != workbook.Blank {
				censored++
			}
		}
		for k, band := range c.Options.Bands.Bands {
			sameBookNumber(t, sheets["results"], i+1, "P("+band.Name+")", r.Bands[k].Probability)
		}
		if r.Fraction != nil {
			sameBookNumber(t, sheets["results"], i+1, "resistant_fraction", r.Fraction.Fraction.Estimate)
		}
	}
	if censored == 0 {
		t.Error("no ratio is known by a bound alone; the demo has some")
	}
	for i, x := range c.Baselines {
		lc, _ := x.At(50)
		sameBookNumber(t, sheets["baselines"], i+1, "LC50", lc.Estimate())
		sameBookNumber(t, sheets["baselines"], i+1, "LC50_between_sd", lc.BetweenSD)
	}
	if len(sheets["not compared"]) != len(c.Refused)+1 {
		t.Errorf("%d rows of refusals, want %d", len(sheets["not compared"])-1, len(c.Refused))
	}
	var baselines bytes.Buffer
	if err := WriteBaselinesBook(&baselines, &Baselines{Version: "test", Options: c.Options.Analysis, Baselines: c.Baselines}); err != nil {
		t.Fatal(err)
	}
	if names, _ := bookSheets(t, baselines.Bytes()); !slices.Equal(names, []string{"results", "discriminating", "counts", "quality", "methods"}) {
		t.Errorf("sheets of baselines %v", names)
	}
}

// TestBookTakesAnyText gives a workbook characters that it cannot store.
func TestBookTakesAnyText(t *testing.T) {
	f := analysed(t, readTable(t, "counts.csv", "assay,concentration,exposed,dead\nA,1,10,2\nA,2,10,5\nA,4,10,9\n"), bioassay.AnalysisOptions{})
	f.Analyses[0].Assay.Name = "bell\a, \xff, \uFFFE"
	var b bytes.Buffer
	if err := WriteFitsBook(&b, f); err != nil {
		t.Fatal(err)
	}
	_, sheets := bookSheets(t, b.Bytes())
	if got := bookCell(t, sheets["results"], 1, "assay").Text; got != "bell\uFFFD, \uFFFD, \uFFFD" {
		t.Errorf("the name came back as %q", got)
	}
}
