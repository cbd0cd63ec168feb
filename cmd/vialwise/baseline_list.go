package main

import (
	"errors"
	"io"

	"github.com/spf13/cobra"

	"vialwise/bioassay/registry"
	"vialwise/cmd/vialwise/internal/render"
)

func newBaselineList() *cobra.Command {
	var output outputFlags
	var flags registryFlags
	cmd := &cobra.Command{
		Use:   "list",
		Short: "List the baselines that were defined in the registry, every version",
		Long: `List shows every version of every baseline of the registry: its assays, who
defined it and when, and which of the assays were amended since.`,
		Example: `  vialwise baseline list
  vialwise baseline list --registry programme.sqlite --format json`,
		Args: noFiles("baseline list", "to describe the baseline in a file named list run: vialwise baseline ./list"),
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := errors.Join(output.check(), flags.spare(&output)); err != nil {
				return err
			}
			r, err := flags.read()
			if err != nil {
				return err
			}
			defer r.Close()
			list, err := r.Baselines(cmd.Context())
			if err != nil {
				return err
			}
			answer := &render.Record{Version: version, Registry: flags.name(), Baselines: append([]registry.Baseline{}, list...)}
			return output.deliver(cmd.OutOrStdout(), func(w io.Writer) error { return render.WriteRecord(w, answer, output.format) })
		},
	}
	output.register(cmd)
	flags.register(cmd.Flags())
	return cmd
}
