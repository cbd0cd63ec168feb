package main

import (
	"fmt"
	"io"
	"runtime"

	"github.com/spf13/cobra"

	"vialwise/cmd/vialwise/internal/render"
	"vialwise/doseresp/sim"
)

func newCoverage() *cobra.Command {
	study := &sim.Study{Cells: sim.StudyCells()}
	c := &studyCommand{
		name: "coverage", file: "coverage", instead: "to fit counts run: vialwise fit",
		short: "Count how often the limits of every method hold a simulated truth",
		long: `Coverage simulates assays from known lines and counts how often the limits of
every method hold the true LC50 and LC90. It writes coverage.csv, a row for each
cell, method and LCp, and coverage.md, a report.`,
		example: "  vialwise coverage --data-sets 50 --out somewhere",
		seed:    &study.Seed, workers: &study.Workers, progress: &study.Progress,
	}
	c.run = func(elapsed func() float64) (rows, report func(io.Writer) error, err error) {
		study.Clock = elapsed
		results, err := study.Run()
		if err != nil {
			return nil, nil, err
		}
		answer := &render.Coverage{
			Version: version, Command: coverageCommand(study), Study: *study, Results: results,
			Seconds: elapsed(), Cores: runtime.NumCPU(),
		}
		return func(w io.Writer) error { return render.WriteCoverageCSV(w, answer) },
			func(w io.Writer) error { return render.WriteCoverageReport(w, answer) }, nil
	}
	cmd := c.command()
	flags := cmd.Flags()
	flags.IntVar(&study.DataSets, "data-sets", 2000, "data sets of each cell")
	flags.IntVar(&study.Bootstrapped, "bootstrapped", 200, "data sets of each cell that are also bootstrapped")
	flags.IntVar(&study.Replicates, "replicates", 399, "replicates of a bootstrap")
	return cmd
}

// coverageCommand is the command line that repeats the counts of a study.
func coverageCommand(s *sim.Study) string {
	return fmt.Sprintf("vialwise coverage --data-sets %d --seed %d --bootstrapped %d --replicates %d",
		s.DataSets, s.Seed, s.Bootstrapped, s.Replicates)
}
