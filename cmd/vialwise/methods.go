package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"vialwise/bioassay"
	"vialwise/cmd/vialwise/internal/render"
)

// methodCommands are the commands whose methods can be told.
var methodCommands = []string{"fit", "compare", "baseline", "track"}

func newMethods() *cobra.Command {
	var model fitFlags
	var flags compareFlags
	output := outputFlags{formats: render.MethodsFormats()}
	var registry registryFlags
	var of string
	cmd := &cobra.Command{
		Use:   "methods [FILE…]",
		Short: "Write the method paragraph of a paper, with its references",
		Long: `Methods writes what a paper must say of how results were made: the methods by
name with their references, the version of the program, the options, and the
SHA-256 of every file that is named. Give it the flags and the files of the run
that it is to describe. The format bibtex gives the references alone; the format
latex cites them by their keys. A reference that was not looked up says so in
its note. Of track it names the state of the registry, where no file is named.`,
		Example: `  vialwise methods counts.csv
  vialwise methods --link logit --limits fiducial,bootstrap --seed 7 counts.csv
  vialwise methods --of compare --format latex --out methods.tex counts.csv
  vialwise methods --of compare --format bibtex --out methods.bib
  vialwise methods --of track --registry programme.sqlite`,
		RunE: func(cmd *cobra.Command, files []string) error {
			if !slices.Contains(methodCommands, of) {
				return usageError{fmt.Errorf("methods of %q? use one of %s", of, strings.Join(methodCommands, ", "))}
			}
			if err := output.check(files...); err != nil {
				return err
			}
			if err := methodFlags(cmd.Flags(), of); err != nil {
				return err
			}
			var m *render.Methods
			var err error
			if of == "track" {
				tracking := trackFlags{model: model, compare: flags, registry: registry}
				m, err = tracking.methods(cmd.Context(), cmd.InOrStdin(), files, cmd.Flags().Changed("moribund"))
			} else {
				m, err = methodsOf(of, &model, &flags, cmd.InOrStdin(), files)
			}
			if err != nil {
				return err
			}
			return output.deliver(cmd.OutOrStdout(), func(w io.Writer) error { return render.WriteMethods(w, m, output.format) })
		},
	}
	cmd.Flags().StringVar(&of, "of", methodCommands[0], "the command that made the results: "+strings.Join(methodCommands, ", "))
	if err := cmd.RegisterFlagCompletionFunc("of", cobra.FixedCompletions(methodCommands, cobra.ShellCompDirectiveNoFileComp)); err != nil {
		panic(err)
	}
	model.register(cmd.Flags())
	output.register(cmd)
	flags.register(cmd.Flags())
	registry.register(cmd.Flags())
	return cmd
}

// methodFlags refuses flags that the command does not have: its methods would tell
// of what it never did.
func methodFlags(flags *pflag.FlagSet, of string) error {
	foreign := []string{"registry"}
	if of == "track" {
		foreign = []string{"percent", "limits", "exceeds", "seed", "replicates"}
	}
	for _, name := range foreign {
		if flags.Changed(name) {
			return usageError{fmt.Errorf("%s has no --%s", of, name)}
		}
	}
	return nil
}

// methodsOf tells how a command would make its results.
func methodsOf(command string, model *fitFlags, flags *compareFlags, stdin io.Reader, files []string) (*render.Methods, error) {
	analysis, err := model.options("text")
	if err != nil {
		return nil, err
	}
	data, programme, err := flags.baseline.read(stdin, files)
	if err != nil {
		return nil, err
	}
	options, err := flags.options(analysis, programme)
	if err != nil {
		return nil, err
	}
	var baselines []*bioassay.Baseline
	if flags.baseline.between != 0 {
		baselines = []*bioassay.Baseline{{BetweenSD: bioassay.Known(flags.baseline.between), BetweenSource: flags.baseline.source}}
	}
	switch command {
	case "compare":
		return (&render.Comparisons{Version: version, Options: options, Inputs: data.inputs, Baselines: baselines}).Methods(), nil
	case "baseline":
		return (&render.Baselines{Version: version, Options: analysis, Inputs: data.inputs, Baselines: baselines}).Methods(), nil
	}
	return (&render.Fits{Version: version, Options: analysis, Inputs: data.inputs}).Methods(), nil
}
