package sim

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
)

// fewFractions is a small study with every design.
func fewFractions() Fractions {
	s := Fractions{DataSets: 6, Intervals: 2, Seed: 4}
	for design := range fractionDesigns {
		s.Cells = append(s.Cells,
			FractionCell{20, 60, design, 0, 1, 0.05},
			FractionCell{20, 60, design, 0.2, math.Inf(1), 0})
	}
	return s
}

func runFractions(t testing.TB, s Fractions) []FractionResult {
	t.Helper()
	results, err := FractionStudy(s)
	if err != nil {
		t.Fatal(err)
	}
	return results
}

// TestFractionStudyRepeats gives the work to different numbers of goroutines.
func TestFractionStudyRepeats(t *testing.T) {
	s := fewFractions()
	calls := 0
	s.Progress = func(done, total int) {
		if calls++; done != calls || total != len(s.Cells) {
			t.Errorf("progress %d of %d at call %d", done, total, calls)
		}
	}
	one := fmt.Sprintf("%+v", runFractions(t, s))
	s.Progress, s.Workers = nil, 3
	if three := fmt.Sprintf("%+v", runFractions(t, s)); three != one {
		t.Errorf("three workers found\n%s\none found\n%s", three, one)
	}
	s.Seed = 5
	if other := fmt.Sprintf("%+v", runFractions(t, s)); other == one {
		t.Error("another seed found the same")
	}
}

func TestImpossibleFractionStudies(t *testing.T) {
	for name, change := range map[string]func(*Fractions){
		"no cell":     func(s *Fractions) { s.Cells = nil },
		"no data set": func(s *Fractions) { s.DataSets = 0 },
		"streams":     func(s *Fractions) { s.DataSets = largestStudy + 1 },
		"intervals":   func(s *Fractions) { s.Intervals = -1 },
		"workers":     func(s *Fractions) { s.Workers = -1 },
	} {
		s := fewFractions()
		change(&s)
		if _, err := FractionStudy(s); !errors.Is(err, ErrStudy) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// TestFractionCounts looks at what is counted for which design.
func TestFractionCounts(t *testing.T) {
	for _, r := range runFractions(t, fewFractions()) {
		single := r.Design == FractionAllHigh
		for _, d := range Detectors() {
			want := 6
			if forOneDose := d == DoseTest || d == PlainDoseTest || d == NaiveDoseTest; d != PlateauTest && forOneDose != single {
				want = 0
			}
			if r.Tried[d] != want || r.Found[d] > want {
				t.Errorf("%v: %v found %d of %d, want %d tried", r.Design, d, r.Found[d], r.Tried[d], want)
			}
		}
		want := 2
		if single {
			want = 0
		}
		for _, i := range []IntervalCount{r.Profile, r.Posterior} {
			if i.Given != want || i.Holds+i.TooHigh+i.TooLow != want || (want > 0) == math.IsNaN(i.MedianWidth) {
				t.Errorf("%v: intervals %+v", r.Design, i)
			}
		}
	}
}

// TestFractionDraws counts mites, containers and doses of every design.
func TestFractionDraws(t *testing.T) {
	const lc99 = 85.0
	for _, mites := range []int{60, 120, 300} {
		for design, want := range map[FractionDesign][3]int{ // at LC99, at twice LC99, on the series
			FractionSeries: {0, 0, mites}, FractionSplit: {mites / 2, 0, mites / 2},
			FractionTwoHigh: {mites / 2, mites / 2, 0}, FractionAllHigh: {mites, 0, 0},
		} {
			c := FractionCell{20, mites, design, 0.1, 10, 0.05}
			var at [3]int
			controls := 0
			for _, k := range c.drawField(nil, lc99, NewSource(1, 1)) {
				switch {
				case k.Exposed > fractionInVial || k.Exposed < 1:
					t.Errorf("a container of %d", k.Exposed)
				case k.Dose == 0:
					controls += k.Exposed
				case k.Dose == lc99:
					at[0] += k.Exposed
				case k.Dose == 2*lc99:
					at[1] += k.Exposed
				default:
					at[2] += k.Exposed
				}
			}
			if at != want || controls != 20 {
				t.Errorf("%v of %d: %v and %d untreated, want %v and 20", design, mites, at, controls, want)
			}
		}
	}
	var byDose = map[float64]int{}
	for _, k := range (FractionCell{Baseline: 40, Fold: 1}).drawBaseline(nil, NewSource(1, 1)) {
		byDose[k.Dose] += k.Exposed
	}
	if len(byDose) != 7 || byDose[0] != 40 {
		t.Errorf("a baseline of %v", byDose)
	}
}

func TestFractionCells(t *testing.T) {
	seen := map[FractionCell]bool{}
	level := 0
	for _, c := range FractionCells() {
		seen[c] = true
		if c.Fraction == 0 {
			level++
		}
	}
	if len(seen) != 336 || len(FractionCells()) != 336 || level != 48 {
		t.Errorf("%d cells, %d different, %d without a resistant part", len(FractionCells()), len(seen), level)
	}
}

// TestFractionLevelAndPower is the study in small: the q test keeps its level
// and finds far more than the ratio; the naive test of one dose does not keep
// its own.
func TestFractionLevelAndPower(t *testing.T) {
	const sets = 250
	results := runFractions(t, Fractions{DataSets: sets, Seed: 3, Cells: []FractionCell{
		{20, 120, FractionSplit, 0, 1, 0.05},
		{20, 120, FractionSplit, 0.1, 30, 0},
		{20, 300, FractionAllHigh, 0, 1, 0},
	}})
	level, power, single := &results[0], &results[1], &results[2]
	// three Monte Carlo errors above 5 %
	most := 0.05 + 3*math.Sqrt(0.05*0.95/sets)
	if rate := level.Rate(PlateauTest); rate > most || rate == 0 {
		t.Errorf("level %g", rate)
	}
	if q, ratio := power.Rate(PlateauTest), power.Rate(RatioOneSided); q < 0.6 || q < ratio+0.3 {
		t.Errorf("the q test finds %g, the ratio %g", q, ratio)
	}
	if honest, naive := single.Rate(DoseTest), single.Rate(NaiveDoseTest); honest > most || naive < 0.12 {
		t.Errorf("one dose: level %g, naive %g", honest, naive)
	}
}

// TestFractionTables reads back what is written.
func TestFractionTables(t *testing.T) {
	s := fewFractions()
	results := runFractions(t, s)
	var table, report bytes.Buffer
	if err := WriteFractionCSV(&table, results); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&table).ReadAll()
	if err != nil || len(rows) != 1+len(results) {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	column := map[string]int{}
	for i, name := range rows[0] {
		column[name] = i
	}
	for i, r := range results {
		row := rows[i+1]
		if row[column["design"]] != r.Design.String() || row[column["plateau-test"]] != csvNumber(r.Rate(PlateauTest)) {
			t.Errorf("row %d: %v", i+2, row)
		}
		if (row[column["dose-test"]] == "") == (r.Design == FractionAllHigh) || (row[column["fold"]] == "plateau") != (r.Fraction > 0) {
			t.Errorf("row %d: %v", i+2, row)
		}
	}
	if err := WriteFractionReport(&report, s, results); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"## What was found", "## Level", "## Power", "8 cells of 6 data sets, seed 4", "| two-high | 6 × 20 | 60 | 0.05 |", "| plateau | 6 × 20 | 60 | 0.2 |"} {
		if !strings.Contains(report.String(), want) {
			t.Errorf("the report lacks %q", want)
		}
	}
	if strings.Contains(report.String(), "NaN") || strings.Contains(report.String(), "%!") {
		t.Error("the report has a number that is none")
	}
	columns := 0
	for line := range strings.Lines(report.String()) {
		if !strings.HasPrefix(line, "|") {
			columns = 0
			continue
		}
		if n := strings.Count(line, "|"); columns == 0 {
			columns = n
		} else if n != columns {
			t.Errorf("%d bars where the head has %d: %s", n, columns, line)
		}
	}
}

// TestComparison names the cells in which the first rate is not above.
func TestComparison(t *testing.T) {
	var c comparison
	cell := FractionCell{20, 60, FractionSeries, 0.1, 10, 0}
	c.add(cell, 0.5, 0.2)
	c.add(cell, 0.3, 0.3)
	c.add(cell, math.NaN(), 0.3)
	if want := "in 1 of 2 cells, on average 40.0 against 25.0 %; not at q 0.1, 10-fold, 60 mites, baseline 6 × 20: 30.0 against 30.0 %"; c.words() != want {
		t.Errorf("%s", c.words())
	}
}
