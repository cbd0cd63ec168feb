package main

import (
	"io"

	"github.com/spf13/cobra"

	"vialwise/doseresp/sim"
)

func newFractionStudy() *cobra.Command {
	study := &sim.Fractions{Cells: sim.FractionCells()}
	c := &studyCommand{
		name: "fraction-study", file: "fraction", instead: "to compare assays run: vialwise compare",
		short: "Count how often a resistant fraction is found while it is rare",
		long: `Fraction-study simulates field populations with and without a resistant part and
counts how often the test of q, the resistance ratio and a single discriminating
dose find it. It writes fraction.csv, a row for each cell, and fraction.md, a
report.`,
		example: "  vialwise fraction-study --data-sets 20 --intervals 5 --out somewhere",
		seed:    &study.Seed, workers: &study.Workers, progress: &study.Progress,
	}
	c.run = func(func() float64) (rows, report func(io.Writer) error, err error) {
		results, err := sim.FractionStudy(*study)
		if err != nil {
			return nil, nil, err
		}
		return func(w io.Writer) error { return sim.WriteFractionCSV(w, results) },
			func(w io.Writer) error { return sim.WriteFractionReport(w, *study, results) }, nil
	}
	cmd := c.command()
	flags := cmd.Flags()
	flags.IntVar(&study.DataSets, "data-sets", 1000, "data sets of each cell")
	flags.IntVar(&study.Intervals, "intervals", 200, "of these, how many get intervals of q too")
	return cmd
}
