package main

import (
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"vialwise/bioassay"
	"vialwise/cmd/vialwise/internal/render"
)

// checkFlags are the flags of check beyond those of its output.
type checkFlags struct {
	programme, moribund, mapping string
	rules                        []string
	draft, fix, force            bool
}

func (f *checkFlags) register(flags *pflag.FlagSet) {
	flags.StringVar(&f.programme, "programme", "", "TOML file with the programme's own protocols, rule sets and overrides")
	flags.StringSliceVar(&f.rules, "rules", nil, "further rule sets for every assay, comma-separated; a rule set of its protocol that rules on the same gives way")
	flags.StringVar(&f.moribund, "moribund", "", "count moribund mites as dead or alive (default: as the protocol of the assay says)")
	flags.StringVar(&f.mapping, "mapping", "", "TOML file that says how to read wide bench sheets, one row for each concentration")
	flags.BoolVar(&f.draft, "draft-mapping", false, "draft such a file from the header of one sheet, and do nothing else")
	flags.BoolVar(&f.fix, "fix", false, "write a cleaned copy beside each file, NAME.cleaned.csv, and the list of its changes, NAME.changes.csv")
	flags.BoolVar(&f.force, "force", false, "let --fix replace such files of an earlier run")
}

// check looks at the flags before anything is read.
func (f *checkFlags) check(files []string) error {
	switch {
	case f.moribund != "" && f.moribund != "dead" && f.moribund != "alive":
		return usageError{fmt.Errorf("moribund mites count as %q? use dead or alive", f.moribund)}
	case f.draft && (f.fix || f.mapping != ""):
		return usageError{errors.New("--draft-mapping goes with neither --fix nor --mapping; draft first, look at the draft, then use it")}
	case f.draft && len(files) != 1:
		return usageError{errors.New("--draft-mapping takes one sheet")}
	case f.force && !f.fix:
		return usageError{errors.New("--force belongs to --fix")}
	case f.fix && slices.Contains(files, "-"):
		return usageError{errors.New("--fix writes beside a file, and standard input has no place; name a file")}
	}
	return f.checkCopies(files)
}

// checkCopies refuses files whose cleaned copies would have the same name.
func (f *checkFlags) checkCopies(files []string) error {
	of := map[string]string{}
	for _, file := range files {
		base := baseName(filepath.Clean(file))
		if other, ok := of[base]; ok && f.fix {
			return usageError{fmt.Errorf("%s and %s would both become %s; clean them one by one, in folders of their own", other, file, base+copyEnding)}
		}
		of[base] = file
	}
	return nil
}

func newCheck() *cobra.Command {
	var output outputFlags
	var flags checkFlags
	cmd := &cobra.Command{
		Use:   "check FILE…",
		Short: "Check count tables and the quality of their assays before anything is claimed",
		Long: `Check reads count tables (CSV or XLSX) and says what is wrong with them, cell by
cell, with the remedy; how each was read; and what the quality rules say of
every assay: usable, doubtful, or discarded with the reason. Assays at a single
concentration get their survivors with exact limits and a class by a named rule
set. Every rule names its source.

A discarded assay stays in the report. Only a recorded decision in a programme
file (--programme) can override it:

  [[override]]
  assay   = "N12-3"
  code    = "controls-failed"
  by      = "A. Keeper"
  on      = "2031-05-09"
  because = "the controls stood in the sun; the treated vials did not"

With --fix, a cleaned copy in canonical form is written beside each file that
needs one: UTF-8, commas, decimal points, ISO dates, canonical column names.
The original stays as it is, no count is changed, and every change is listed. A
file with errors is not copied.

The exit status is 0 when every assay is usable, doubts or not; 1 when a file
has an error or an assay is discarded and not overridden; 2 for a mistake on
the command line.`,
		Example: `  vialwise check counts.csv
  vialwise check --format json --out check.json spring.xlsx autumn.csv
  vialwise check --programme programme.toml --rules discriminating-classes counts.csv
  vialwise check --fix counts.csv
  vialwise check --draft-mapping bench.xlsx > bench.toml
  vialwise check --mapping bench.toml --fix bench.xlsx`,
		Args: needFiles("check"),
		RunE: func(cmd *cobra.Command, files []string) error {
			if err := errors.Join(output.check(files...), flags.check(files)); err != nil {
				return err
			}
			if flags.draft {
				return draftMapping(cmd.InOrStdin(), files[0], &output, cmd.OutOrStdout())
			}
			defer spare(!flags.fix)() // a copy is made in memory
			answer, err := flags.run(cmd.InOrStdin(), files, newProgress(cmd.ErrOrStderr(), output.quiet))
			if err != nil {
				return err
			}
			err = output.stream(cmd.OutOrStdout(), func(w io.Writer) error {
				return render.WriteCheck(w, answer, output.format)
			})
			return errors.Join(err, complaint(answer))
		},
	}
	output.register(cmd)
	flags.register(cmd.Flags())
	return cmd
}

// complaint is the error of an answer that is not all well.
func complaint(c *render.Check) error {
	t := c.Tally()
	var parts []string
	if t.Errors > 0 {
		parts = append(parts, bioassay.Plural(t.Errors, "error")+" in the files")
	}
	if t.Discarded > 0 {
		parts = append(parts, bioassay.Plural(t.Discarded, "discarded assay"))
	}
	for _, f := range c.Files {
		if f.Cleaned != nil && f.Cleaned.Failed {
			parts = append(parts, f.Cleaned.Note)
		}
	}
	if parts == nil {
		return nil
	}
	return errors.New(strings.Join(parts, ", "))
}

// stream writes an answer that may be too long to be held in memory. A file is
// replaced whole or not at all.
func (o *outputFlags) stream(stdout io.Writer, write func(io.Writer) error) error {
	if o.out == "" {
		return write(stdout)
	}
	return writeFileBy(o.out, write)
}
