package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"

	"github.com/spf13/cobra"

	"vialwise/doseresp/sim"
)

// newFractionStudy is hidden from the help, as [newRatioStudy] is.
func newFractionStudy() *cobra.Command {
	study := sim.Fractions{Cells: sim.FractionCells()}
	var folder string
	var quiet bool
	cmd := &cobra.Command{
		Use:    "fraction-study",
		Hidden: true,
		Short:  "Count how often a resistant fraction is found while it is rare",
		Long: `Fraction-study simulates field populations with and without a resistant part and
counts how often the test of q, the resistance ratio and a single discriminating
dose find it. It writes fraction.csv, a row for each cell, and fraction.md, a
report.`,
		Example: "  vialwise fraction-study --data-sets 20 --intervals 5 --out somewhere",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				return usageError{fmt.Errorf("fraction-study takes no file, not %s; to compare assays run: vialwise compare %[1]s", args[0])}
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := os.MkdirAll(folder, 0o755); err != nil { // before the long run
				return fmt.Errorf("cannot write the study: %w; choose another folder with --out", err)
			}
			if !quiet {
				study.Progress = cellProgress(cmd.ErrOrStderr())
			}
			results, err := sim.FractionStudy(study)
			if errors.Is(err, sim.ErrStudy) {
				return usageError{err}
			}
			if err != nil {
				return err
			}
			return writeFractionStudy(folder, study, results)
		},
	}
	flags := cmd.Flags()
	flags.IntVar(&study.DataSets, "data-sets", 1000, "data sets of each cell")
	flags.IntVar(&study.Intervals, "intervals", 200, "of these, how many get intervals of q too")
	flags.Uint64Var(&study.Seed, "seed", 1, "seed of the random numbers")
	flags.IntVar(&study.Workers, "workers", runtime.GOMAXPROCS(0), "cells computed at once; no count depends on it")
	flags.StringVar(&folder, "out", "vialwise-fraction-study", "folder to write")
	flags.BoolVar(&quiet, "quiet", false, "no progress on standard error")
	return cmd
}

// writeFractionStudy renders both files before it writes either.
func writeFractionStudy(folder string, s sim.Fractions, results []sim.FractionResult) error {
	var rows, report bytes.Buffer
	if err := sim.WriteFractionCSV(&rows, results); err != nil {
		return err
	}
	if err := sim.WriteFractionReport(&report, s, results); err != nil {
		return err
	}
	return errors.Join(
		writeFile(filepath.Join(folder, "fraction.csv"), rows.Bytes()),
		writeFile(filepath.Join(folder, "fraction.md"), report.Bytes()),
	)
}
