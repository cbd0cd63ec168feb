package render

import (
	"encoding/csv"
	"io"
	"strconv"

	"vialwise/doseresp"
	"vialwise/doseresp/sim"
)

// Coverage is a finished coverage study with what its report says of the run.
type Coverage struct {
	Version string
	Command string // that repeats the run
	Study   sim.Study
	Results []sim.CellResult
	Seconds float64 // the run took
	Cores   int     // of the machine
}

var coverageHeader = []string{
	"doses", "containers_per_dose", "mites_per_container", "mites_per_dose", "slope", "natural_mortality", "rho",
	"method", "p", "data_sets", "given", "finite", "covered", "coverage", "coverage_se",
	"covered_finite", "truth_below", "truth_above", "truth_in_gap", "median_fold",
}

// WriteCoverageCSV writes a row for each cell, method and LCp, in full
// precision, with the number of fits of each status in the cell. It holds no
// times: the same study gives the same bytes.
func WriteCoverageCSV(w io.Writer, c *Coverage) error {
	out := csv.NewWriter(w)
	header := coverageHeader
	for _, s := range doseresp.Statuses() {
		header = append(header, "status_"+s.String())
	}
	if err := out.Write(append(header, "unfitted")); err != nil {
		return err
	}
	for i := range c.Results {
		r := &c.Results[i]
		for _, s := range r.Scores {
			if s.Tried == 0 {
				continue
			}
			if err := out.Write(coverageRow(r, s)); err != nil {
				return err
			}
		}
	}
	out.Flush()
	return out.Error()
}

func coverageRow(r *sim.CellResult, s sim.Score) []string {
	whole := strconv.Itoa
	row := []string{
		whole(r.Doses), whole(r.Replicates), whole(r.Exposed), whole(r.PerDose()), full(r.Slope), full(r.Natural), full(r.Rho),
		s.Method.String(), full(s.Percent), whole(s.Tried), whole(s.Given), whole(s.Finite),
		whole(s.Covered), full(s.Coverage()), full(s.StdErr()),
		whole(s.CoveredFinite), whole(s.TruthBelow), whole(s.TruthAbove), whole(s.TruthInGap), full(s.MedianFold),
	}
	for _, status := range doseresp.Statuses() {
		row = append(row, whole(r.Statuses[status]))
	}
	return append(row, whole(r.Unfitted))
}
