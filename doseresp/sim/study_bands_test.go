package sim

import (
	"fmt"
	"math"
	"testing"
)

// doctored is a study of one cell for each correlation, in which every method
// covers the given number of 1000 data sets.
func doctored(covered int) []CellResult {
	var results []CellResult
	for _, rho := range []float64{0, 0.05, 0.1} {
		r := CellResult{Cell: Cell{5, 3, 8, 2.5, 0.05, rho}, DataSets: 1000}
		for _, m := range Methods() {
			for _, p := range studyPercents {
				r.Scores = append(r.Scores, Score{Method: m, Percent: p, Tried: 1000, Given: 1000, Finite: 1000, Covered: covered})
			}
		}
		results = append(results, r)
	}
	return results
}

// alter changes the score of a method and percent in one cell.
func alter(results []CellResult, cell int, m Method, percent float64, change func(*Score)) []CellResult {
	for i := range results[cell].Scores {
		if s := &results[cell].Scores[i]; s.Method == m && s.Percent == percent {
			change(s)
		}
	}
	return results
}

// TestBreaches doctors the numbers. The standard error of a mean of 93 % in
// 1000 data sets is 0.81 %, of 90 % 0.95 %, of 92 % 0.86 %.
func TestBreaches(t *testing.T) {
	bands := []Band{{FiducialAnswer, 0.93, 0.90}, {PosteriorDefault, 0.93, 0.92}}
	covered := func(n int) func(*Score) { return func(s *Score) { s.Covered = n } }
	for name, c := range map[string]struct {
		results []CellResult
		want    []BreachKind
	}{
		"nominal":                 {doctored(950), nil},
		"all covered":             {doctored(1000), nil},
		"lucky":                   {doctored(906), nil},
		"posterior low":           {alter(doctored(950), 2, PosteriorDefault, 90, covered(893)), []BreachKind{MeanTooLow, CellTooLow}},
		"posterior just held":     {alter(doctored(950), 2, PosteriorDefault, 90, covered(906)), nil},
		"posterior mean alone":    {alter(doctored(950), 2, PosteriorDefault, 50, covered(900)), []BreachKind{MeanTooLow}},
		"fiducial low":            {alter(doctored(950), 0, FiducialAnswer, 50, covered(871)), []BreachKind{MeanTooLow, CellTooLow}},
		"fiducial, cell held":     {alter(doctored(950), 0, FiducialAnswer, 50, covered(872)), []BreachKind{MeanTooLow}},
		"another method":          {alter(doctored(950), 0, DeltaZ, 50, covered(100)), nil},
		"one without limits":      {alter(doctored(950), 1, PosteriorDefault, 50, func(s *Score) { s.Finite-- }), []BreachKind{NotAlwaysFinite}},
		"nothing given, no doubt": {alter(doctored(950), 0, FiducialAnswer, 50, func(s *Score) { s.Given, s.Covered, s.Finite = 0, 0, 0 }), []BreachKind{MeanTooLow, CellTooLow, NotAlwaysFinite}},
	} {
		var got []BreachKind
		for _, b := range Breaches(c.results, bands) {
			got = append(got, b.What)
		}
		if fmt.Sprint(got) != fmt.Sprint(c.want) {
			t.Errorf("%s: breaches %v, want %v", name, got, c.want)
		}
	}
}

// TestPool does the sums by hand.
func TestPool(t *testing.T) {
	results := alter(doctored(900), 1, ProfileF, 90, func(s *Score) { s.Covered, s.TruthAbove, s.Finite, s.MedianFold = 800, 200, 500, 4 })
	alter(results, 0, ProfileF, 90, func(s *Score) { s.MedianFold = 2 })
	p := Pool(results, ProfileF, 90, func(c Cell) bool { return c.Rho < 0.1 })
	// Variances 0.9·0.1/1000 and 0.8·0.2/1000; StdErr √(2.5e-4)/2.
	if p.Cells != 2 || !near(p.Mean, 0.85) || !near(p.StdErr, math.Sqrt(2.5e-4)/2) || p.Lowest != 0.8 || p.LowestCell.Rho != 0.05 {
		t.Errorf("pooled %+v", p)
	}
	if p.Given != 1 || p.Finite != 0.75 || p.TruthBelow != 0 || p.TruthAbove != 0.1 || p.MedianFold != 3 {
		t.Errorf("pooled %+v", p)
	}
	weak := Weakest(results, ProfileF, 2)
	if len(weak) != 2 || weak[0].Percent != 90 || weak[0].Rho != 0.05 || weak[0].Covered != 800 || weak[1].Covered != 900 {
		t.Errorf("weakest %+v", weak)
	}
	if n := len(Weakest(results, ProfileF, 99)); n != 6 {
		t.Errorf("%d cells and percents, want 6", n)
	}
}

// TestCoverageBand is the study in small: twelve cells from the least to the
// most mites, each at every correlation.
func TestCoverageBand(t *testing.T) {
	if testing.Short() {
		t.Skip("3,600 posteriors take several seconds")
	}
	var cells []Cell
	for _, rho := range []float64{0, 0.05, 0.1} {
		cells = append(cells,
			Cell{5, 3, 4, 1.5, 0.05, rho}, Cell{6, 3, 8, 4, 0, rho},
			Cell{5, 3, 12, 2.5, 0.1, rho}, Cell{6, 3, 20, 2.5, 0, rho})
	}
	results, err := Study{Cells: cells, DataSets: 300, Seed: 1, Workers: 2}.Run()
	if err != nil {
		t.Fatal(err)
	}
	known := 0
	for _, b := range Breaches(results, Bands()) {
		if knownBreach(b) {
			known++
			continue
		}
		t.Errorf("%v, LC%v: %v %.3f, less than %.3f beyond chance; ρ %v, cell %+v", b.Method, b.Percent, b.What, b.Found, b.Least, b.Rho, b.Cell)
	}
	if known == 0 {
		t.Error("the fiducial answer holds its band at every ρ: judge it without exemption")
	}
	for _, band := range Bands() {
		for _, p := range studyPercents {
			for _, rho := range []float64{0, 0.05, 0.1} {
				q := Pool(results, band.Method, p, func(c Cell) bool { return c.Rho == rho })
				t.Logf("%v, LC%v, ρ %v: mean %.3f, lowest %.3f", band.Method, p, rho, q.Mean, q.Lowest)
			}
		}
	}
}

// knownBreach exempts what the study has found and coverage.md reports: where
// containers vary, X²/df falls short, because doses that kill nearly none or
// all can hardly show it, and fiducial limits cover less than the band; that is
// why the robust limits stand beside them.
func knownBreach(b Breach) bool {
	return b.Method == FiducialAnswer && b.Rho > 0 && b.What != NotAlwaysFinite && b.Found > 0.8
}
