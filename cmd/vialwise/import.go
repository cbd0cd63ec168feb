package main

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"vialwise/cmd/vialwise/internal/render"
)

// importFlags are the flags of import beyond those of its output.
type importFlags struct {
	registry                  registryFlags
	who                       whoFlag
	apiaries, mapping, reason string
	amend, dryRun             bool
}

func (f *importFlags) register(cmd *cobra.Command) {
	f.registry.register(cmd.Flags())
	f.who.register(cmd)
	flags := cmd.Flags()
	flags.StringVar(&f.apiaries, "apiaries", "", "table of apiaries to import before the other files")
	flags.StringVar(&f.mapping, "mapping", "", "TOML file that says how to read wide bench sheets, one row for each concentration (see check)")
	flags.BoolVar(&f.amend, "amend", false, "accept changed rows as amendments; the earlier values stay in the history")
	flags.StringVar(&f.reason, "reason", "", "why the registered values were wrong, which --amend needs")
	flags.BoolVar(&f.dryRun, "dry-run", false, "say what would be imported, and write nothing")
}

// check looks at the flags before anything is read.
func (f *importFlags) check(files []string) error {
	switch reason := strings.TrimSpace(f.reason) != ""; {
	case f.amend && !reason:
		return usageError{errors.New("--amend needs --reason TEXT: the history must say why the registered values were wrong")}
	case reason && !f.amend:
		return usageError{errors.New("--reason belongs to --amend; without it no registered value changes")}
	case len(files) == 0 && f.apiaries == "":
		return usageError{errors.New("import needs at least one file, as in: vialwise import counts.csv")}
	}
	for i, file := range append(slices.Clone(files), f.apiaries) {
		if file == "-" && slices.Contains(files[:min(i, len(files))], "-") {
			return usageError{errors.New("standard input can be read only once")}
		}
	}
	return nil
}

func newImport() *cobra.Command {
	var output outputFlags
	var flags importFlags
	cmd := &cobra.Command{
		Use:   "import FILE…",
		Short: "Add count tables and apiaries to the registry, whole files or nothing",
		Long: `Import adds count tables (CSV or XLSX) and tables of apiaries to the registry,
one file in which the programme keeps all its counts; it is made when it is not
there. A table of apiaries is known by its header, which has an apiary with
its region, latitude, longitude or contact_code, and no column of counts.

A file is imported as a whole or not at all, each on its own, in the order in
which they are named; the rest go on when one of them fails, and the exit
status is then 1. Rows that are registered already are skipped, so a file can be
imported again at any time. An assay is known by its name. Where the record has
other values for it, both sides are shown and nothing of the file is imported:
correct the file, or name the assay otherwise if it is another one, or accept the
changes with --amend --reason TEXT. Nothing is overwritten: the earlier values
stay in the history, with who changed them, when and why.

An assay must be whole in one file. One that is split over two files is a
conflict with itself: join the rows into one table and import that.

The counts go in as they are, and no quality rule keeps them out: look at a
table with vialwise check first. What check discards stays in the record, and
no claim rests on it.

A folder that vialwise export wrote, or its datapackage.json, is restored into a
new registry, history and all.`,
		Example: `  vialwise import counts.csv
  vialwise import --dry-run counts.csv
  vialwise import --registry programme.sqlite --who "A. Keeper" apiaries.csv spring.xlsx autumn.csv
  vialwise import --amend --reason "vial 7 was read again" corrected.csv
  vialwise import --mapping bench.toml bench.xlsx
  vialwise import --registry restored.sqlite exported-2031`,
		RunE: func(cmd *cobra.Command, files []string) error {
			if err := errors.Join(output.check(files...), flags.registry.spare(&output), flags.check(files)); err != nil {
				return err
			}
			who, err := flags.who.person()
			if err != nil {
				return err
			}
			bar := newProgress(cmd.ErrOrStderr(), output.quiet)
			if folder, ok := exportedFolder(files); ok {
				return flags.restore(cmd, folder, files, who, &output, bar)
			}
			defer spare(false)()
			answer, err := flags.run(cmd.Context(), cmd.InOrStdin(), files, who, bar)
			if err != nil {
				return err
			}
			if !output.quiet {
				remarkImports(cmd.ErrOrStderr(), answer)
			}
			err = output.stream(cmd.OutOrStdout(), func(w io.Writer) error { return render.WriteImports(w, answer, output.format) })
			return errors.Join(err, importComplaint(answer))
		},
	}
	output.register(cmd)
	flags.register(cmd)
	return cmd
}

// remarkImports gives the warnings of all files.
func remarkImports(stderr io.Writer, i *render.Imports) {
	for _, f := range i.Files {
		remark(stderr, f.Reading)
		if f.Result != nil {
			remark(stderr, f.Result.Warnings)
		}
	}
}

// importComplaint names the files that were not imported, each with its reason.
func importComplaint(i *render.Imports) error {
	was := "was not imported"
	if i.DryRun {
		was = "would not be imported"
	}
	var all []error
	for _, f := range i.Files {
		if why := refusalOf(f); why != "" {
			all = append(all, fmt.Errorf("%s %s: %s", render.ShownInput(f.File), was, why))
		}
	}
	return errors.Join(all...)
}
