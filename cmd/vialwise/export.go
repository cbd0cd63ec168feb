package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"

	"github.com/spf13/cobra"

	"vialwise/bioassay"
	"vialwise/bioassay/registry"
)

func newExport() *cobra.Command {
	return copyCommand(&cobra.Command{
		Use:   "export FOLDER",
		Short: "Write the whole registry as CSV tables with a description",
		Long: `Export writes the whole record, history included, to a new folder: one CSV file
for each table, and datapackage.json, which describes them by the Data Package
standard and holds their hashes. Any program can read them. Equal registries
give equal bytes.

  vialwise import --registry new.sqlite FOLDER

makes an identical registry from it. The tables hold the places of the apiaries:
an export is as confidential as the registry.`,
		Example: `  vialwise export exported-2031
  vialwise export --registry programme.sqlite exported-2031`,
	}, "folder", "an export, to be restored with: vialwise import --registry NEW.sqlite %s", (*registry.Registry).Export)
}

func newBackup() *cobra.Command {
	return copyCommand(&cobra.Command{
		Use:   "backup FILE",
		Short: "Write a copy of the registry, complete and of one moment",
		Long: `Backup writes a copy of the registry to a new file. The copy is of one moment,
even while another process imports, it has been read back, and it is complete
once the command ends with exit status 0. It is a registry like any other: name
it with --registry, or put it in the place of a lost one.

Do not copy the file of a registry by other means while a program uses it: what
was written last may still stand in the files beside it.`,
		Example: `  vialwise backup programme-2031-05-09.sqlite
  vialwise backup --registry programme.sqlite programme-2031-05-09.sqlite`,
	}, "file", "a backup, which can be looked at with: vialwise verify --registry %s", (*registry.Registry).Backup)
}

// copyCommand completes a command that copies the registry to a new place.
func copyCommand(cmd *cobra.Command, kind, use string, write func(*registry.Registry, context.Context, string) error) *cobra.Command {
	var flags registryFlags
	var quiet bool
	cmd.Args = func(cmd *cobra.Command, args []string) error {
		if len(args) != 1 || args[0] == "" {
			return usageError{fmt.Errorf("%s needs the name of one new %s, as in: %s", cmd.Name(), kind, "vialwise "+cmd.Use)}
		}
		return nil
	}
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		r, err := flags.read()
		if err != nil {
			return err
		}
		err = write(r, cmd.Context(), args[0])
		var head registry.Event
		if err == nil {
			head, err = newest(cmd.Context(), r)
		}
		if err = errors.Join(err, r.Close()); err != nil || quiet {
			return err
		}
		return sayCopied(cmd.OutOrStdout(), flags.name(), args[0], use, head)
	}
	flags.register(cmd.Flags())
	cmd.Flags().BoolVar(&quiet, "quiet", false, "say nothing")
	return cmd
}

// newest is the newest event, the zero one of an empty history.
func newest(ctx context.Context, r *registry.Registry) (e registry.Event, err error) {
	events, err := r.History(ctx)
	if n := len(events); n > 0 {
		e = events[n-1]
	}
	return e, err
}

func sayCopied(w io.Writer, from, to, use string, head registry.Event) error {
	to = filepath.ToSlash(shown(to))
	_, err := fmt.Fprintf(w, "%s holds %s of %s: "+use+"\nHash of the newest event: %s\n", to, bioassay.Plural(int(head.ID), "event"), from, to, head.Hash)
	return err
}
