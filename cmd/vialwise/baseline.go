package main

import (
	"errors"
	"fmt"
	"io"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"vialwise/bioassay"
	"vialwise/cmd/vialwise/internal/render"
	"vialwise/doseresp"
)

// baselineFlags choose and describe the baseline.
type baselineFlags struct {
	name, programme, source string
	between                 float64
	moribund                bool // given on the command line, so that no protocol decides it
}

func (f *baselineFlags) register(flags *pflag.FlagSet) {
	flags.StringVar(&f.name, "baseline", "", "name of the assay or population of susceptible mites (default: the assays whose role is baseline)")
	flags.StringVar(&f.programme, "programme", "", "TOML file with the programme's own protocols, rule sets and overrides")
	flags.Float64Var(&f.between, "between-sd", 0, "standard deviation of log10 LC50 between susceptible populations, where it is known from elsewhere")
	flags.StringVar(&f.source, "between-source", "", "where --between-sd is known from")
}

func newBaseline() *cobra.Command {
	var model fitFlags
	output := outputFlags{formats: resultFormats()}
	var flags baselineFlags
	cmd := &cobra.Command{
		Use:   "baseline FILE…",
		Short: "Describe susceptible mites: LC50, natural variation, discriminating concentration",
		Long: `Baseline builds a baseline from the assays whose role is baseline, or from
those that --baseline names: LC50, LC90 and LC99 with limits, from several
assays with the variation between them; the band in which a further susceptible
population may lie; and candidates for a discriminating concentration, LC99 and
twice LC99 under each link, with the survival of susceptible mites there.`,
		Example: `  vialwise baseline counts.csv
  vialwise baseline --baseline reference-2031 counts.csv
  vialwise baseline --format json --out baseline.json counts.csv`,
		Args: needFiles("baseline"),
		RunE: func(cmd *cobra.Command, files []string) error {
			if err := output.check(files...); err != nil {
				return err
			}
			options, err := model.options(output.format)
			if err != nil {
				return err
			}
			if model.percent == "" {
				options.Fit.Percents = baselineDefaults()
			}
			data, programme, err := flags.read(cmd.InOrStdin(), files)
			if err != nil {
				return err
			}
			flags.moribund = cmd.Flags().Changed("moribund")
			answer, refused, err := describe(data, programme, flags, options)
			if err != nil {
				return err
			}
			discarded, refused := discards(refused)
			if !output.quiet {
				remark(cmd.ErrOrStderr(), data.warnings)
				remarkDiscarded(cmd.ErrOrStderr(), discarded)
			}
			err = output.deliver(cmd.OutOrStdout(), func(w io.Writer) error {
				return writeBaselines(w, answer, output.format, "")
			})
			return errors.Join(err, refusals(refused))
		},
	}
	model.register(cmd.Flags())
	output.register(cmd)
	flags.register(cmd.Flags())
	cmd.AddCommand(newBaselineDefine(), newBaselineList())
	return cmd
}

// baselineDefaults are the LCp of a baseline unless others are asked for.
func baselineDefaults() []float64 { return []float64{50, 90, 99} }

// describe builds the baselines for their own sake. Of refused are only assays
// of susceptible mites.
func describe(data *counts, programme *bioassay.Programme, flags baselineFlags, o bioassay.AnalysisOptions) (*render.Baselines, []bioassay.Refusal, error) {
	susceptible, _, err := bioassay.SelectBaseline(data.assays, flags.name)
	if err != nil {
		return nil, nil, err
	}
	j := judge(data.assays, programme)
	j.assays = susceptible
	baselines, _, refused, err := flags.build(j, programme, bioassay.CompareOptions{Analysis: o})
	if err != nil {
		return nil, nil, err
	}
	return &render.Baselines{Version: version, Options: o, Inputs: data.inputs, Reading: data.warnings, Baselines: baselines, Verdicts: j.verdict}, refused, nil
}

// read reads the count tables and the programme.
func (f *baselineFlags) read(stdin io.Reader, files []string) (*counts, *bioassay.Programme, error) {
	if (f.between != 0) != (f.source != "") {
		return nil, nil, usageError{errors.New("--between-sd and --between-source belong together: a number needs its source")}
	}
	programme, err := loadProgramme(f.programme)
	if err != nil {
		return nil, nil, err
	}
	data, err := readCounts(stdin, files)
	return data, programme, err
}

// build makes the baselines of the assays and returns the assays to compare
// with them, and those of either kind that are discarded.
func (f *baselineFlags) build(j *judged, programme *bioassay.Programme, o bioassay.CompareOptions) (baselines []*bioassay.Baseline, fields []bioassay.Assay, refused []bioassay.Refusal, err error) {
	susceptible, fields, err := bioassay.SelectBaseline(j.assays, f.name)
	if err != nil {
		return nil, nil, nil, err
	}
	susceptible, refused = j.usable(susceptible)
	fields, more := j.usable(fields)
	refused = append(refused, more...)
	options := bioassay.BaselineOptions{Analysis: o.Analysis}
	options.Analysis.Fit.Percents = baselinePercents(o)
	if f.between != 0 {
		options.BetweenSD, options.BetweenSource = bioassay.Known(f.between), f.source
	}
	groups := bioassay.GroupBaselines(susceptible)
	names := bioassay.GroupNames(groups)
	if f.name != "" && len(groups) == 1 {
		names[0] = f.name
	}
	for i, group := range groups {
		options.Analysis.Moribund = f.moribundOf(group[0], programme, o.Analysis.Moribund)
		b, err := bioassay.BuildBaseline(names[i], group, options)
		if err != nil {
			return nil, nil, nil, err
		}
		baselines = append(baselines, b)
	}
	if len(baselines) == 0 {
		return nil, nil, nil, errors.Join(fmt.Errorf("%w: every assay of susceptible mites is discarded", bioassay.ErrNoBaseline), refusals(refused))
	}
	return baselines, fields, refused, nil
}

// moribundOf is how moribund mites of an assay count: as the command line says
// or, where it says nothing, as the protocol does.
func (f *baselineFlags) moribundOf(a bioassay.Assay, programme *bioassay.Programme, otherwise bioassay.Moribund) bioassay.Moribund {
	if p, ok := programme.Protocol(a.Protocol); ok && !f.moribund {
		return p.Moribund
	}
	return otherwise
}

// baselinePercents are the LCp of the comparison and of its bands.
func baselinePercents(o bioassay.CompareOptions) []float64 {
	percents := o.Analysis.Fit.Percents
	if percents == nil {
		percents = doseresp.DefaultPercents()
	}
	percents = append([]float64{}, percents...)
	add := func(p float64) {
		for _, q := range percents {
			if q == p {
				return
			}
		}
		percents = append(percents, p)
	}
	add(50) // by which the variation between populations is judged
	if o.Bands != nil {
		add(o.Bands.Percent)
	}
	return percents
}
