package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"sync"

	"github.com/spf13/cobra"

	"vialwise/bioassay"
	"vialwise/bioassay/rules"
	"vialwise/bioassay/tables"
	"vialwise/cmd/vialwise/internal/render"
)

func newFit() *cobra.Command {
	var model fitFlags
	output := outputFlags{formats: resultFormats()}
	cmd := &cobra.Command{
		Use:   "fit FILE…",
		Short: "Fit every assay of one or more count tables",
		Long: `Fit reads count tables (CSV, one row per container), fits every assay by
maximum likelihood and prints the standard table: n, slope, LC50 and LC90 with
fiducial limits, chi-squared, heterogeneity h and g. A file named - is read
from standard input.

The smallest table has the columns assay, concentration (0 for controls),
exposed and dead.`,
		Example: `  vialwise fit counts.csv
  vialwise fit --link logit --percent 50,95 counts.csv
  vialwise fit --limits fiducial,profile,posterior counts.csv
  vialwise fit --exceeds 2,5 counts.csv
  vialwise fit --format json --out fits.json spring.csv autumn.csv
  vialwise fit --format html --out report.html counts.csv`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				return usageError{errors.New("fit needs at least one count table, as in: vialwise fit counts.csv, or - for standard input")}
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, files []string) error {
			if err := output.check(files...); err != nil {
				return err
			}
			options, err := model.options(output.format)
			if err != nil {
				return err
			}
			data, err := readCounts(cmd.InOrStdin(), files)
			if err != nil {
				return err
			}
			fits, failed := analyse(data, options)
			fits.Shown = model.limits
			if !output.quiet {
				remark(cmd.ErrOrStderr(), data.warnings)
			}
			if failed != nil && len(fits.Analyses) == 0 {
				return failed // an empty table would only hide it
			}
			err = output.deliver(cmd.OutOrStdout(), func(w io.Writer) error {
				return writeFits(w, fits, output.format, "")
			})
			return errors.Join(err, failed)
		},
	}
	model.register(cmd.Flags())
	output.register(cmd)
	return cmd
}

// counts is what one or more count tables hold.
type counts struct {
	assays   []bioassay.Assay
	inputs   []render.Input
	warnings []bioassay.Warning
}

// readCounts reads every file and reports the errors of all of them at once.
func readCounts(stdin io.Reader, files []string) (*counts, error) {
	data := new(counts)
	var failed []error
	for _, file := range files {
		if err := data.add(stdin, file); err != nil {
			failed = append(failed, err)
		}
	}
	if failed != nil {
		return nil, errors.Join(failed...)
	}
	data.warnAboutRepeats()
	return data, nil
}

func (c *counts) add(stdin io.Reader, file string) error {
	in, err := openInput(stdin, file)
	if err != nil {
		return err
	}
	defer in.close()
	return c.take(file, in)
}

// read adds a count table that is in memory.
func (c *counts) read(file string, raw []byte) error {
	in, err := openInput(bytes.NewReader(raw), "-")
	if err != nil {
		return err
	}
	return c.take(file, in)
}

// take adds an open count table.
func (c *counts) take(file string, in *input) error {
	table, err := tables.Read(file, in.content)
	if err != nil {
		return err
	}
	c.inputs = append(c.inputs, render.Input{File: file, SHA256: in.sha256})
	c.assays = append(c.assays, table.Assays...)
	c.warnings = append(c.warnings, table.Warnings...)
	return nil
}

// warnRepeatedAssay says that two files hold an assay of the same name.
const warnRepeatedAssay bioassay.WarningCode = "repeated-assay"

func (c *counts) warnAboutRepeats() {
	first := map[string]bioassay.Origin{}
	for _, a := range c.assays {
		origin := a.Containers[0].Source
		earlier, seen := first[a.Name]
		if !seen {
			first[a.Name] = origin
			continue
		}
		c.warnings = append(c.warnings, bioassay.Warning{
			Code:    warnRepeatedAssay,
			Message: fmt.Sprintf("assay %q is also in %s, line %d; both are fitted, each by itself", a.Name, earlier.File, earlier.Line),
			Cure:    "give every assay a name of its own, or name each file once",
			Origin:  origin,
		})
	}
}

// analyse fits every assay. Those that contradict the options are left out
// and named in the error.
func analyse(data *counts, options bioassay.AnalysisOptions) (*render.Fits, error) {
	fits := &render.Fits{
		Version: version, Options: options, Inputs: data.inputs, Reading: data.warnings,
		Verdicts: verdicts(data.assays),
	}
	var failed []error
	for _, assay := range data.assays {
		a, err := bioassay.Analyse(assay, options)
		if err != nil {
			failed = append(failed, err)
			continue
		}
		fits.Analyses = append(fits.Analyses, a)
	}
	return fits, errors.Join(failed...)
}

// verdicts judges the assays by the rules that come with the program, once an
// answer asks for it.
func verdicts(assays []bioassay.Assay) render.Verdicts {
	judged := sync.OnceValue(func() *judged { return judge(assays, rules.Builtin()) })
	return func(a bioassay.Assay) (bioassay.Verdict, bool) { return judged().verdict(a) }
}

func remark(stderr io.Writer, warnings []bioassay.Warning) {
	for _, w := range warnings {
		fmt.Fprintf(stderr, "vialwise: %s\n", w)
	}
}
