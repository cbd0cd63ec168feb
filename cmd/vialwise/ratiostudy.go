package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"time"

	"github.com/spf13/cobra"

	"vialwise/doseresp/sim"
)

// newRatioStudy is hidden from the help: it serves those who develop or review
// the methods, and takes long.
func newRatioStudy() *cobra.Command {
	study := sim.RatioStudy{Cells: sim.RatioCells()}
	var folder string
	var quiet bool
	cmd := &cobra.Command{
		Use:    "ratio-study",
		Hidden: true,
		Short:  "Count how often equal populations are found different",
		Long: `Ratio-study simulates pairs of populations and counts how often the limits of
their ratio exclude 1, and the tests of their lines reject. It writes ratios.csv,
a row for each cell and method, and ratios.md, a report.`,
		Example: "  vialwise ratio-study --data-sets 50 --posteriors 10 --out somewhere",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				return usageError{fmt.Errorf("ratio-study takes no file, not %s; to compare assays run: vialwise compare %[1]s", args[0])}
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := os.MkdirAll(folder, 0o755); err != nil { // before the long run
				return fmt.Errorf("cannot write the study: %w; choose another folder with --out", err)
			}
			start := time.Now()
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
			return writeRatioStudy(folder, &sim.RatioReport{
				Version: version, Command: ratioStudyCommand(&study), Study: study, Results: results,
				Seconds: time.Since(start).Seconds(), Cores: runtime.NumCPU(),
			})
		},
	}
	flags := cmd.Flags()
	flags.IntVar(&study.DataSets, "data-sets", 4000, "pairs of each cell")
	flags.IntVar(&study.Posteriors, "posteriors", 2000, "pairs of each cell that also get a posterior")
	flags.Uint64Var(&study.Seed, "seed", 1, "seed of the random numbers")
	flags.IntVar(&study.Workers, "workers", runtime.GOMAXPROCS(0), "cells computed at once; no count depends on it")
	flags.StringVar(&folder, "out", "vialwise-ratio-study", "folder to write")
	flags.BoolVar(&quiet, "quiet", false, "no progress on standard error")
	return cmd
}

// ratioStudyCommand is the command line that repeats the counts of a study.
func ratioStudyCommand(s *sim.RatioStudy) string {
	return fmt.Sprintf("vialwise ratio-study --data-sets %d --seed %d --posteriors %d", s.DataSets, s.Seed, s.Posteriors)
}

// writeRatioStudy renders both files before it writes either.
func writeRatioStudy(folder string, r *sim.RatioReport) error {
	var rows, report bytes.Buffer
	if err := sim.WriteRatioCSV(&rows, r.Results); err != nil {
		return err
	}
	if err := sim.WriteRatioReport(&report, r); err != nil {
		return err
	}
	return errors.Join(
		writeFile(filepath.Join(folder, "ratios.csv"), rows.Bytes()),
		writeFile(filepath.Join(folder, "ratios.md"), report.Bytes()),
	)
}
