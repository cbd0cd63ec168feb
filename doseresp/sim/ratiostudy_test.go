package sim

import (
	"encoding/csv"
	"errors"
	"fmt"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"vialwise/doseresp"
)

// fewRatios is a small study, one cell of which often has no line.
func fewRatios() RatioStudy {
	return RatioStudy{
		Cells:    []RatioCell{{1, 2, 10, 2.5, 0.05, 0, 1}, {1, 1, 3, 5, 0, 0.1, 1}, {2, 2, 10, 2.5, 0.05, 0.05, 2}},
		DataSets: 12, Seed: 3, Posteriors: 2,
	}
}

// TestRatioStudyRepeats gives the work to different numbers of goroutines.
func TestRatioStudyRepeats(t *testing.T) {
	run := func(workers int, seed uint64) string {
		s := fewRatios()
		s.Workers, s.Seed = workers, seed
		calls := 0
		s.Progress = func(done, total int) {
			if calls++; done != calls || total != 3 {
				t.Errorf("progress %d of %d", done, total)
			}
		}
		results, err := s.Run()
		if err != nil || calls != 3 {
			t.Fatal(err, calls)
		}
		for _, r := range results {
			for _, l := range r.Limits {
				want := 12
				if l.Method == RatioPosterior {
					want = 2
				}
				if l.Tried != want || l.Exclude+l.Covered < l.Tried && r.Ratio == 1 {
					t.Errorf("%v at LC%g: %+v, want %d tried", l.Method, l.Percent, l, want)
				}
			}
		}
		return fmt.Sprintf("%+v", results)
	}
	one := run(1, 3)
	if three := run(3, 3); three != one {
		t.Errorf("three workers found\n%s\none found\n%s", three, one)
	}
	if run(0, 4) == one {
		t.Error("another seed found the same")
	}
}

func TestImpossibleRatioStudies(t *testing.T) {
	for name, change := range map[string]func(*RatioStudy){
		"no cell":     func(s *RatioStudy) { s.Cells = nil },
		"no data set": func(s *RatioStudy) { s.DataSets = 0 },
		"negative":    func(s *RatioStudy) { s.Posteriors = -1 },
		"workers":     func(s *RatioStudy) { s.Workers = -1 },
		"streams":     func(s *RatioStudy) { s.DataSets = largestStudy + 1 },
	} {
		s := fewRatios()
		change(&s)
		if _, err := s.Run(); !errors.Is(err, ErrStudy) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// TestRatioCellDraw: both assays have the mites of their cell, and the field's
// doses surround its own LC50.
func TestRatioCellDraw(t *testing.T) {
	c := RatioCell{5, 2, 10, 2.5, 0.05, 0, 8}
	for set := range 50 {
		field, base := c.draw(nil, nil, NewSource(3, uint64(set)))
		if len(field) != 7*5 || len(base) != 7*2 || c.FieldMites() != 300 || c.BaselineMites() != 120 {
			t.Fatalf("%d and %d containers", len(field), len(base))
		}
		for name, beside := range map[string]float64{
			"baseline": 2.5 * math.Log10(math.Sqrt(base[0].Dose*base[11].Dose)/studyLC50),
			"field":    2.5 * math.Log10(math.Sqrt(field[0].Dose*field[29].Dose)/studyLC50/8),
		} {
			if math.Abs(beside) > DoseSpacing/2+exact {
				t.Errorf("%s: the middle of the doses lies %g probits beside the LC50", name, beside)
			}
		}
	}
	seen := map[RatioCell]bool{}
	for _, c := range RatioCells() {
		seen[c] = true
	}
	if len(seen) != 24 {
		t.Errorf("%d different cells", len(seen))
	}
}

// TestRatioScores counts by hand.
func TestRatioScores(t *testing.T) {
	inf := math.Inf(1)
	var s RatioScore
	var folds []float64
	for _, l := range []doseresp.Limits{
		{Lower: 0.5, Upper: 2},                                  // holds 1
		{Lower: 1.5, Upper: 6},                                  // excludes it, holds 2
		{Lower: 3, Upper: inf, Kind: doseresp.UnboundedAbove},   // holds neither
		{Lower: 0, Upper: 0.9, Kind: doseresp.UnboundedBelow},   // likewise
		{Lower: 0, Upper: inf, Kind: doseresp.Unbounded},        // holds both
		{Lower: 1, Upper: 1.9, Kind: doseresp.LimitKind(0)},     // 1 itself is not excluded
		{Lower: 0.1, Upper: inf, Kind: doseresp.UnboundedAbove}, // holds both
	} {
		folds = s.add(l, 2, folds)
	}
	if s.Tried != 7 || s.Finite != 3 || s.Exclude != 3 || s.Covered != 4 || !slices.Equal(folds, []float64{4, 4, 1.9}) {
		t.Errorf("%+v %v", s, folds)
	}
	var x TestScore
	for _, p := range []float64{0.01, 0.0499, 0.05, 0.9, math.NaN()} {
		x.add(p)
	}
	if x.Tried != 5 || x.Untested != 1 || x.Rejected != 2 || x.Rejects() != 0.5 {
		t.Errorf("%+v", x)
	}
}

// TestRatioLevels is the study in little: equal populations, 600 pairs. With
// an error of 0.9 % a share of 5 % stays below 8 %, which delta limits without
// heterogeneity, and chi-squared, exceed once mites of one container are alike.
func TestRatioLevels(t *testing.T) {
	if testing.Short() {
		t.Skip("a simulation of seconds; run without -short")
	}
	s := RatioStudy{Cells: []RatioCell{{2, 4, 10, 2.5, 0.05, 0, 1}, {2, 4, 10, 2.5, 0.05, 0.1, 1}}, DataSets: 600, Seed: 11, Workers: 2}
	results, err := s.Run()
	if err != nil {
		t.Fatal(err)
	}
	plain, alike := results[0], results[1]
	for i, r := range results {
		for _, p := range studyPercents {
			if x := r.Of(RatioProfileShared, p).Excludes(); !(x > 0.015 && x < 0.09) {
				t.Errorf("cell %d: %v at LC%g excludes 1 in %.3f of the pairs", i, RatioProfileShared, p, x)
			}
		}
		for _, m := range []LineTestMethod{ParallelVerdict, EqualVerdict} {
			if x := r.Tests[m].Rejects(); !(x > 0.015 && x < 0.10) {
				t.Errorf("cell %d: %v rejects %.3f of the pairs", i, m, x)
			}
		}
	}
	if z := alike.Of(RatioDeltaZ, 50).Excludes(); z < 0.10 || plain.Of(RatioDeltaZ, 50).Excludes() > 0.09 {
		t.Errorf("delta-z excludes 1 in %.3f of the pairs with correlation", z)
	}
	if x := alike.Tests[EqualX2].Rejects(); x < 0.15 {
		t.Errorf("chi-squared rejects %.3f of the pairs with correlation", x)
	}
}

// TestRatioBreaches finds what lies outside the band, and only there.
func TestRatioBreaches(t *testing.T) {
	s := fewRatios()
	s.Cells = []RatioCell{{2, 2, 10, 2.5, 0.05, 0, 1}, {1, 2, 10, 2.5, 0.05, 0, 1}, {2, 2, 10, 2.5, 0.05, 0.1, 1}, {2, 2, 10, 2.5, 0.05, 0, 2}}
	results, err := s.Run()
	if err != nil {
		t.Fatal(err)
	}
	for i := range results {
		for k := range results[i].Limits {
			results[i].Limits[k].Tried, results[i].Limits[k].Exclude = 1000, 50
		}
		for k := range results[i].Tests {
			results[i].Tests[k] = TestScore{LineTestMethod(k), 1000, 0, 50}
		}
	}
	if b := RatioBreaches(results); len(b) != 0 {
		t.Errorf("breaches of 5 %%: %+v", b)
	}
	for i := range results { // too high in all cells, of which one is in question
		results[i].Tests[EqualVerdict].Rejected = 70
		results[i].Limits[int(RatioAnswer)*len(studyPercents)].Exclude = 30
	}
	b := RatioBreaches(results)
	if len(b) != 2 || b[0].What != "answer at LC50" || b[1].What != "equality" || math.Abs(b[1].StdErr-0.00807) > 1e-5 {
		t.Errorf("%+v", b)
	}
}

// TestRatioReport writes both forms and counts their rows.
func TestRatioReport(t *testing.T) {
	s := fewRatios()
	results, err := s.Run()
	if err != nil {
		t.Fatal(err)
	}
	var table, report strings.Builder
	if err := WriteRatioCSV(&table, results); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(strings.NewReader(table.String())).ReadAll()
	if err != nil || len(rows) != 1+3*(int(ratioMethods)*2+int(lineTestMethods)) {
		t.Errorf("%d rows, %v", len(rows), err)
	}
	if err := WriteRatioReport(&report, &RatioReport{Version: "9.9", Command: "some command", Study: s, Results: results, Seconds: 61, Cores: 3}); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		"Vialwise 9.9, 3 cores", "    some command", "3 cells × 12 pairs", "first 2 of each", "2 minutes",
		"| 60 | 120 | 0 |", "## Width of the limits",
	} {
		if !strings.Contains(report.String(), want) {
			t.Errorf("the report lacks %q", want)
		}
	}
	if strings.Contains(report.String(), "NaN") || strings.Contains(report.String(), "!(") {
		t.Error("the report shows a slip")
	}
	for m := range ratioMethods {
		if m.String() == "" || m.Explanation() == "" {
			t.Errorf("method %d has no name", m)
		}
	}
}

// TestKeptRatioStudy reads ratios.csv: where containers do not vary beyond
// binomial, from 120 field mites on, the answer at LC50 and both tests lie
// within the band, with two Monte Carlo errors for the cells that ratios.md
// names; with correlation they stay below 8.5 %.
func TestKeptRatioStudy(t *testing.T) {
	f, err := os.Open("ratios.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	column := map[string]int{}
	for i, name := range rows[0] {
		column[name] = i
	}
	number := func(row []string, name string) float64 {
		x, err := strconv.ParseFloat(row[column[name]], 64)
		if err != nil {
			t.Fatal(err)
		}
		return x
	}
	seen := 0
	for _, row := range rows[1:] {
		method := row[column["method"]]
		if method != "answer" && method != "parallelism" && method != "equality" || number(row, "true_ratio") != 1 || number(row, "field_mites") < NamedMites {
			continue
		}
		least, greatest := LeastTypeI, GreatestTypeI
		if number(row, "rho") > 0 {
			least, greatest = 0, 0.085
		}
		seen++
		if x, se := number(row, "rejects"), number(row, "rejects_stderr"); !(x > least-2*se && x < greatest+2*se) {
			t.Errorf("%v: %.4f ± %.4f", row, x, se)
		}
	}
	if seen != 12*4 {
		t.Errorf("%d rows of answers and tests", seen)
	}
}
