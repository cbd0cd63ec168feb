package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"
)

// version is the release that results name.
const version = "0.1.0"

// The exit statuses.
const (
	exitAnswered = 0
	exitFailed   = 1
	exitUsage    = 2
)

// usageError is a mistake on the command line rather than in the data.
type usageError struct{ error }

func (e usageError) Unwrap() error { return e.error }

// run executes one command line and returns the exit status. Answers go to
// stdout, remarks and errors to stderr.
func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	root := newRoot()
	root.SetArgs(args)
	root.SetIn(stdin)
	root.SetOut(stdout)
	root.SetErr(stderr)
	err := root.ExecuteContext(context.Background())
	var usage usageError
	switch {
	case err == nil:
		return exitAnswered
	case errors.As(err, &usage), strings.HasPrefix(err.Error(), "unknown command"): // the library's word, of completion
		fmt.Fprintf(stderr, "vialwise: %v\nRun \"vialwise --help\" for the commands, \"vialwise COMMAND --help\" for one of them.\n", err)
		return exitUsage
	}
	fmt.Fprintf(stderr, "vialwise: %v\n", err)
	return exitFailed
}

func newRoot() *cobra.Command {
	root := &cobra.Command{
		Use:   "vialwise",
		Short: "From vial counts of varroa mites to LC50 with honest limits",
		Long: `Vialwise fits dose-response lines to vial, jar and dish bioassays of varroa
mites: from a table of counts to LC50 and LC90 with fiducial limits.

  vialwise demo              the whole chain on embedded, invented data
  vialwise check counts.csv  what is wrong with a table, and with its assays
  vialwise fit counts.csv    the standard table of your own counts
  vialwise compare counts.csv
                             resistance ratios against the baseline in it
  vialwise import counts.csv
                             your counts into the registry of the programme`,
		Version:       version,
		SilenceUsage:  true,
		SilenceErrors: true,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				return usageError{fmt.Errorf("there is no command %q", args[0])}
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	root.SetFlagErrorFunc(func(_ *cobra.Command, err error) error { return usageError{err} })
	root.AddCommand(newCheck(), newFit(), newCompare(), newBaseline(), newTrack(), newMap(), newProgramme(), newNote(), newImport(), newHistory(), newDecide(), newVerify(), newBackup(), newExport(), newFigures(), newMethods(), newDemo(), newCoverage(), newRatioStudy(), newFractionStudy())
	root.SetHelpCommand(newHelp(root))
	return root
}

// newHelp is the help of a command, which refuses names that are none.
func newHelp(root *cobra.Command) *cobra.Command {
	return &cobra.Command{
		Use:   "help [COMMAND]",
		Short: "Explain a command",
		RunE: func(_ *cobra.Command, args []string) error {
			cmd, rest, err := root.Find(args)
			if err != nil || len(rest) > 0 {
				return usageError{fmt.Errorf("there is no command %q", strings.Join(args, " "))}
			}
			return cmd.Help()
		},
	}
}
