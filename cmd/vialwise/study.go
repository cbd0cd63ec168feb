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

	"vialwise/doseresp/sim"
)

// studyCommand is a hidden command that runs a simulation study and keeps its
// rows and its report. It serves those who develop or review the methods, and
// takes long.
type studyCommand struct {
	name, short, long, example string
	instead                    string // what to run with a file, as in "to fit counts run: vialwise fit"
	file                       string // of the answers, without ending

	seed     *uint64
	workers  *int
	progress *func(done, total int)

	// run computes the study; the writers then render it. elapsed tells the
	// seconds since it began.
	run func(elapsed func() float64) (rows, report func(io.Writer) error, err error)
}

// command makes the command, but for the flags of its own study.
func (s *studyCommand) command() *cobra.Command {
	var folder string
	var quiet bool
	cmd := &cobra.Command{
		Use: s.name, Hidden: true, Short: s.short, Long: s.long, Example: s.example,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				return usageError{fmt.Errorf("%s takes no file, not %s; %s %[2]s", s.name, args[0], s.instead)}
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := os.MkdirAll(folder, 0o755); err != nil { // before the long run
				return fmt.Errorf("cannot write the study: %w; choose another folder with --out", err)
			}
			if !quiet {
				*s.progress = cellProgress(cmd.ErrOrStderr())
			}
			start := time.Now()
			rows, report, err := s.run(func() float64 { return time.Since(start).Seconds() })
			if errors.Is(err, sim.ErrStudy) {
				return usageError{err}
			}
			if err != nil {
				return err
			}
			return s.keep(folder, rows, report)
		},
	}
	flags := cmd.Flags()
	flags.Uint64Var(s.seed, "seed", 1, "seed of the random numbers")
	flags.IntVar(s.workers, "workers", runtime.GOMAXPROCS(0), "cells computed at once; no count depends on it")
	flags.StringVar(&folder, "out", "vialwise-"+s.name, "folder to write")
	flags.BoolVar(&quiet, "quiet", false, "no progress on standard error")
	return cmd
}

// keep renders both files before it writes either.
func (s *studyCommand) keep(folder string, rows, report func(io.Writer) error) error {
	var table, text bytes.Buffer
	if err := rows(&table); err != nil {
		return err
	}
	if err := report(&text); err != nil {
		return err
	}
	return errors.Join(
		writeFile(filepath.Join(folder, s.file+".csv"), table.Bytes()),
		writeFile(filepath.Join(folder, s.file+".md"), text.Bytes()),
	)
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
