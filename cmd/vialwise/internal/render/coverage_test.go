package render

import (
	"bytes"
	"encoding/csv"
	"math"
	"strings"
	"testing"

	"vialwise/doseresp"
	"vialwise/doseresp/sim"
)

// inventedCoverage has two cells, in which every method covers 930 of 1000 and
// 880 of 1000, but for the delta limits, which cover 600.
func inventedCoverage() *Coverage {
	c := &Coverage{Version: "9.9.9", Command: "vialwise coverage --anything", Seconds: 600, Cores: 2, Study: sim.Study{DataSets: 1000, Bootstrapped: 100, Replicates: 399}}
	for i, rho := range []float64{0, 0.1} {
		r := sim.CellResult{
			Cell: sim.Cell{Doses: 5, Replicates: 3, Exposed: 4, Slope: 2.5, Natural: 0.05, Rho: rho}, DataSets: 1000, Bootstrapped: 100,
			Statuses: map[doseresp.Status]int{doseresp.Converged: 990, doseresp.Separated: 9}, Unfitted: 1,
		}
		r.Seconds[sim.StagePosterior] = 4
		r.Seconds[sim.StageBootstrap] = 0.7
		for _, m := range sim.Methods() {
			for _, p := range sim.StudyPercents() {
				s := sim.Score{Method: m, Percent: p, Tried: 1000, Given: 1000, Finite: 1000, Covered: 930 - 50*i, TruthBelow: 40, TruthAbove: 30 + 50*i, MedianFold: 2.5}
				switch m {
				case sim.DeltaZ:
					s.Covered, s.TruthAbove = 600, 360
				case sim.BootstrapBCa: // never bounded
					s.Tried, s.Given, s.Finite, s.MedianFold = 0, 0, 0, math.NaN()
				}
				r.Scores = append(r.Scores, s)
			}
		}
		c.Results = append(c.Results, r)
	}
	return c
}

func report(t *testing.T, c *Coverage) string {
	t.Helper()
	var b bytes.Buffer
	if err := WriteCoverageReport(&b, c); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestCoverageReport(t *testing.T) {
	text := report(t, inventedCoverage())
	for _, want := range []string{
		"The fiducial answer held the true LC50 in 93.0 % of the data sets at ρ = 0 and in 88.0 % at ρ = 0.1; in its weakest cell (5 doses, 12 mites per dose, slope 2.5, C = 0.05, ρ = 0.1) in 88.0 %. Its upper limit was a median 2.5 times the lower.",
		"from 60.0 % (delta-z) to 88.0 %",
		"Of the 2000 data sets, 1.0 % gave no finite rising line",
		"Vialwise 9.9.9, 2 cores.",
		"    vialwise coverage --anything\n",
		"2 cells × 1000 data sets, 144000 mites in all",
		"It took 10 minutes.",
		"| delta-z | 0.1 | 60.0 ± 1.5 | 60.0 | 4.0 | 36.0 | 100.0 | 100.0 | 2.50 |",
		"| posterior | LC90 | 12 | 93.0 ± 0.8 | 93.0 | 2.50 | 88.0 ± 1.0 | 88.0 | 2.50 |",
		"| 12 | 99.00 | 0.90 | 0.00 |",
		"| posterior and both its limits | 4000 |",
		"| bootstrap, where it was run | 7000 |",
		"| posterior | LC50 | mean coverage | ρ = 0.1 | 88.0 | 93.0 |",
		"Outside the bands below: 10 numbers.",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the report lacks %q", want)
		}
	}
	for _, wrong := range []string{"NaN", "Inf", "%!", "| bootstrap-bca | 0", "All of this held"} {
		if strings.Contains(text, wrong) {
			t.Errorf("the report has %q", wrong)
		}
	}
}

// TestCoverageReportFollowsTheNumbers lets every method do well.
func TestCoverageReportFollowsTheNumbers(t *testing.T) {
	c := inventedCoverage()
	for i := range c.Results {
		for k := range c.Results[i].Scores {
			c.Results[i].Scores[k].Covered = c.Results[i].Scores[k].Given
		}
	}
	text := report(t, c)
	for _, want := range []string{"No number lies outside the bands below.", "All of this held.", "100.0 % at ρ = 0.1"} {
		if !strings.Contains(text, want) {
			t.Errorf("the report lacks %q", want)
		}
	}
}

func TestEveryMethodIsExplained(t *testing.T) {
	for _, m := range sim.Methods() {
		if methodWords[m] == "" {
			t.Errorf("%v has no words", m)
		}
	}
	for stage, words := range stageWords {
		if words == "" {
			t.Errorf("stage %d has no words", stage)
		}
	}
	if len(stageWords) != len(inventedCoverage().Results[0].Seconds) {
		t.Errorf("%d stages have words", len(stageWords))
	}
}

func TestCoverageCSV(t *testing.T) {
	c := inventedCoverage()
	var b bytes.Buffer
	if err := WriteCoverageCSV(&b, c); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	// a row for each cell, method and LCp, but for those never tried
	if want := 1 + 2*(len(sim.Methods())-1)*2; len(rows) != want {
		t.Errorf("%d rows, want %d", len(rows), want)
	}
	row := map[string]string{}
	for i, name := range rows[0] {
		row[name] = rows[len(rows)-1][i]
	}
	for name, want := range map[string]string{
		"doses": "5", "mites_per_dose": "12", "rho": "0.1", "method": "robust-answer", "p": "90", "data_sets": "1000",
		"covered": "880", "coverage": "0.88", "truth_above": "80", "median_fold": "2.5", "status_converged": "990", "status_separated": "9", "unfitted": "1",
	} {
		if row[name] != want {
			t.Errorf("%s is %q, want %q", name, row[name], want)
		}
	}
}
