package main

import (
	"fmt"
	"io"
	"runtime"

	"github.com/spf13/cobra"

	"vialwise/doseresp/sim"
)

func newRatioStudy() *cobra.Command {
	study := &sim.RatioStudy{Cells: sim.RatioCells()}
	c := &studyCommand{
		name: "ratio-study", file: "ratios", instead: "to compare assays run: vialwise compare",
		short: "Count how often equal populations are found different",
		long: `Ratio-study simulates pairs of populations and counts how often the limits of
their ratio exclude 1, and the tests of their lines reject. It writes ratios.csv,
a row for each cell and method, and ratios.md, a report.`,
		example: "  vialwise ratio-study --data-sets 50 --posteriors 10 --out somewhere",
		seed:    &study.Seed, workers: &study.Workers, progress: &study.Progress,
	}
	c.run = func(elapsed func() float64) (rows, report func(io.Writer) error, err error) {
		results, err := study.Run()
		if err != nil {
			return nil, nil, err
		}
		answer := &sim.RatioReport{
			Version: version, Command: ratioStudyCommand(study), Study: *study, Results: results,
			Seconds: elapsed(), Cores: runtime.NumCPU(),
		}
		return func(w io.Writer) error { return sim.WriteRatioCSV(w, results) },
			func(w io.Writer) error { return sim.WriteRatioReport(w, answer) }, nil
	}
	cmd := c.command()
	flags := cmd.Flags()
	flags.IntVar(&study.DataSets, "data-sets", 4000, "pairs of each cell")
	flags.IntVar(&study.Posteriors, "posteriors", 2000, "pairs of each cell that also get a posterior")
	return cmd
}

// ratioStudyCommand is the command line that repeats the counts of a study.
func ratioStudyCommand(s *sim.RatioStudy) string {
	return fmt.Sprintf("vialwise ratio-study --data-sets %d --seed %d --posteriors %d", s.DataSets, s.Seed, s.Posteriors)
}
