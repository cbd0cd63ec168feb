package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"time"

	"github.com/spf13/cobra"

	"vialwise/cmd/vialwise/internal/render"
	"vialwise/doseresp/sim"
)

// newCoverage is hidden from the help: it serves those who develop or review
// the methods, and takes long.
func newCoverage() *cobra.Command {
	study := sim.Study{Cells: sim.StudyCells()}
	var folder string
	var quiet bool
	cmd := &cobra.Command{
		Use:    "coverage",
		Hidden: true,
		Short:  "Count how often the limits of every method hold a simulated truth",
		Long: `Coverage simulates assays from known lines and counts how often the limits of
every method hold the true LC50 and LC90. It writes coverage.csv, a row for each
cell, method and LCp, and coverage.md, a report.`,
		Example: "  vialwise coverage --data-sets 50 --out somewhere",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				return usageError{fmt.Errorf("coverage takes no file, not %s; to fit counts run: vialwise fit %[1]s", args[0])}
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := os.MkdirAll(folder, 0o755); err != nil { // before the long run
				return fmt.Errorf("cannot write the study: %w; choose another folder with --out", err)
			}
			start := time.Now()
			study.Clock = func() float64 { return time.Since(start).Seconds() }
			if !quiet {
				study.Progress = cellProgress(cmd.ErrOrStderr())
			}
			results, err := study.Run()
			if errors.Is(err, sim.ErrStudy) {
				return usageError{err}
			}
			if err != nil {
				return err
			}
			return writeCoverage(folder, &render.Coverage{
				Version: version, Command: coverageCommand(&study), Study: study, Results: results,
				Seconds: time.Since(start).Seconds(), Cores: runtime.NumCPU(),
			})
		},
	}
	flags := cmd.Flags()
	flags.IntVar(&study.DataSets, "data-sets", 2000, "data sets of each cell")
	flags.Uint64Var(&study.Seed, "seed", 1, "seed of the random numbers")
	flags.IntVar(&study.Bootstrapped, "bootstrapped", 200, "data sets of each cell that are also bootstrapped")
	flags.IntVar(&study.Replicates, "replicates", 399, "replicates of a bootstrap")
	flags.IntVar(&study.Workers, "workers", runtime.GOMAXPROCS(0), "cells computed at once; no count depends on it")
	flags.StringVar(&folder, "out", "vialwise-coverage", "folder to write")
	flags.BoolVar(&quiet, "quiet", false, "no progress on standard error")
	return cmd
}

// coverageCommand is the command line that repeats the counts of a study.
func coverageCommand(s *sim.Study) string {
	return fmt.Sprintf("vialwise coverage --data-sets %d --seed %d --bootstrapped %d --replicates %d",
		s.DataSets, s.Seed, s.Bootstrapped, s.Replicates)
}

// cellProgress rewrites one line on a terminal, and is nil where there is none.
func cellProgress(stderr io.Writer) func(done, total int) {
	file, ok := stderr.(*os.File)
	if !ok {
		return nil
	}
	if info, err := file.Stat(); err != nil || info.Mode()&os.ModeCharDevice == 0 {
		return nil
	}
	return func(done, total int) {
		fmt.Fprintf(file, "\r%d of %d cells", done, total)
		if done == total {
			fmt.Fprintln(file)
		}
	}
}

// writeCoverage renders both files before it writes either.
func writeCoverage(folder string, c *render.Coverage) error {
	var rows, report bytes.Buffer
	if err := render.WriteCoverageCSV(&rows, c); err != nil {
		return err
	}
	if err := render.WriteCoverageReport(&report, c); err != nil {
		return err
	}
	return errors.Join(
		writeFile(filepath.Join(folder, "coverage.csv"), rows.Bytes()),
		writeFile(filepath.Join(folder, "coverage.md"), report.Bytes()),
	)
}
