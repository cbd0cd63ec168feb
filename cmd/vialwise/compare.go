package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"vialwise/bioassay"
	"vialwise/bioassay/rules"
	"vialwise/cmd/vialwise/internal/render"
	"vialwise/doseresp/mixture"
)

// compareFlags are those of compare beyond the flags of fit.
type compareFlags struct {
	baseline  baselineFlags
	bands     string
	leastFold float64
}

const (
	defaultBands = "fold-bands" // a rule set that comes with the program
	noBands      = "none"       // the word for no bands of the resistance ratio
)

func newCompare() *cobra.Command {
	var model fitFlags
	output := outputFlags{formats: resultFormats()}
	var flags compareFlags
	cmd := &cobra.Command{
		Use:   "compare FILE…",
		Short: "Compare populations with a susceptible baseline: resistance ratios and tests",
		Long: `Compare reads count tables, builds a baseline from the assays whose role is
baseline (or from those that --baseline names) and compares every other assay
with the baseline of its acaricide, protocol, unit, exposure and reading time.

For each it gives the resistance ratio at LC50 and LC90 with limits, tests of
parallel and of equal lines, adjusted for the number of populations, the
fraction of resistant mites that an ordinary LC50 hides, and the probability of
each band of a named rule set. Assays that a quality rule discards are listed
with the reason instead. Assays that differ in protocol, unit or the like from
every baseline are refused and listed, and the exit status is then 1.`,
		Example: `  vialwise compare counts.csv
  vialwise compare --baseline reference-2031 spring.csv autumn.csv
  vialwise compare --percent 50,90 --format json --out ratios.json counts.csv
  vialwise compare --bands none --programme programme.toml counts.csv
  vialwise compare --format html --out ratios.html counts.csv`,
		Args: needFiles("compare"),
		RunE: func(cmd *cobra.Command, files []string) error {
			if err := output.check(files...); err != nil {
				return err
			}
			analysis, err := model.options(output.format)
			if err != nil {
				return err
			}
			data, programme, err := flags.baseline.read(cmd.InOrStdin(), files)
			if err != nil {
				return err
			}
			options, err := flags.options(analysis, programme)
			if err != nil {
				return err
			}
			flags.baseline.moribund = cmd.Flags().Changed("moribund")
			answer, err := compare(data, programme, flags.baseline, options, newProgress(cmd.ErrOrStderr(), output.quiet))
			if err != nil {
				return err
			}
			discarded, refused := discards(answer.Refused)
			if !output.quiet {
				remark(cmd.ErrOrStderr(), data.warnings)
				remarkDiscarded(cmd.ErrOrStderr(), discarded)
			}
			err = output.deliver(cmd.OutOrStdout(), func(w io.Writer) error {
				return writeComparisons(w, answer, output.format, "")
			})
			return errors.Join(err, refusals(refused))
		},
	}
	model.register(cmd.Flags())
	output.register(cmd)
	flags.register(cmd.Flags())
	return cmd
}

func (f *compareFlags) register(flags *pflag.FlagSet) {
	f.baseline.register(flags)
	flags.StringVar(&f.bands, "bands", defaultBands, "rule set whose bands of the resistance ratio get a probability each, or "+noBands)
	flags.Float64Var(&f.leastFold, "least-fold", 0, "smallest shift of a resistant part, as a ratio of doses (default 2)")
}

// needFiles refuses a command line without a file.
func needFiles(command string) cobra.PositionalArgs {
	return func(_ *cobra.Command, args []string) error {
		if len(args) == 0 {
			return usageError{fmt.Errorf("%s needs at least one count table, as in: vialwise %s counts.csv, or - for standard input", command, command)}
		}
		return nil
	}
}

func (f *compareFlags) options(analysis bioassay.AnalysisOptions, programme *bioassay.Programme) (o bioassay.CompareOptions, err error) {
	o = bioassay.CompareOptions{Analysis: analysis, LeastFold: f.leastFold}
	if largest := mixture.DefaultPriors().LargestFold; f.leastFold != 0 && !(f.leastFold > 1 && f.leastFold < largest) {
		return o, usageError{fmt.Errorf("least-fold %g must be above 1 and below %g; a shift of 2 is twice the dose", f.leastFold, largest)}
	}
	if f.bands == noBands {
		return o, nil
	}
	set, ok := programme.RuleSet(f.bands)
	if !ok || set.Ratios == nil {
		return o, usageError{fmt.Errorf("bands %q: there is no rule set of that name with bands of the ratio; use %s or %s", f.bands, strings.Join(bandSets(programme), ", "), noBands)}
	}
	o.Bands = set.Ratios
	return o, nil
}

// bandSets names the rule sets that have bands of the ratio.
func bandSets(p *bioassay.Programme) (names []string) {
	for _, r := range p.RuleSets {
		if r.Ratios != nil {
			names = append(names, r.Name)
		}
	}
	return names
}

// compare builds the baselines and compares every other assay with its own.
func compare(data *counts, programme *bioassay.Programme, flags baselineFlags, o bioassay.CompareOptions, progress *progress) (*render.Comparisons, error) {
	judged := judge(data.assays, programme)
	baselines, fields, refused, err := flags.build(judged, programme, o)
	if err != nil {
		return nil, err
	}
	o.Analysis.Moribund = baselines[0].Assays[0].Moribund // of which the answer speaks
	answer := &render.Comparisons{
		Version: version, Options: o, Inputs: data.inputs, Reading: data.warnings, Baselines: baselines, Refused: refused,
		Verdicts: judged.verdict,
	}
	var comparers []*bioassay.Comparer
	for _, b := range baselines {
		own := o
		own.Analysis.Moribund = b.Assays[0].Moribund
		c, err := bioassay.NewComparer(b, own)
		if err != nil {
			return nil, err
		}
		comparers = append(comparers, c)
	}
	if len(fields) == 0 {
		return nil, errors.Join(errors.New("there is no assay to compare with the baseline: name a table that holds field assays"), refusals(refused))
	}
	progress.begin("comparing", len(fields))
	compared, more := bioassay.CompareAll(fields, comparers, progress.step)
	progress.end()
	for _, r := range compared {
		if v, ok := judged.verdict(r.Field.Assay); ok {
			r.Verdict = &v
		}
	}
	answer.Compared, answer.Refused = compared, append(answer.Refused, more...)
	if len(compared) == 0 {
		return nil, errors.Join(errors.New("no assay could be compared with the baseline"), refusals(answer.Refused))
	}
	return answer, nil
}

// discards parts the assays that a quality rule discards, which is an answer,
// from those that could not be compared as asked, which is a failure.
func discards(all []bioassay.Refusal) (discarded, refused []bioassay.Refusal) {
	for _, r := range all {
		if errors.Is(r.Err, bioassay.ErrDiscarded) {
			discarded = append(discarded, r)
		} else {
			refused = append(refused, r)
		}
	}
	return discarded, refused
}

func remarkDiscarded(stderr io.Writer, discarded []bioassay.Refusal) {
	for _, r := range discarded {
		fmt.Fprintf(stderr, "vialwise: %v\n", r.Err)
	}
}

// refusals joins the reasons of all refusals.
func refusals(refused []bioassay.Refusal) error {
	var all []error
	for _, r := range refused {
		all = append(all, r.Err)
	}
	return errors.Join(all...)
}

// judged are assays with what the quality rules say of each.
type judged struct {
	assays   []bioassay.Assay
	verdicts map[*bioassay.Container]bioassay.Verdict // by the first container, for a file may be named twice
}

// judge applies the quality rules that need no fit.
func judge(assays []bioassay.Assay, programme *bioassay.Programme) *judged {
	j := &judged{assays: assays, verdicts: map[*bioassay.Container]bioassay.Verdict{}}
	var twice bioassay.Duplicates
	var verdicts []bioassay.Verdict
	var of []*bioassay.Container
	for _, a := range assays {
		if len(a.Containers) > 0 {
			verdicts = append(verdicts, programme.Judge(a, nil, twice.Add(a)...))
			of = append(of, &a.Containers[0])
		}
	}
	programme.Settle(verdicts)
	for i, v := range verdicts {
		j.verdicts[of[i]] = v
	}
	return j
}

func (j *judged) verdict(a bioassay.Assay) (bioassay.Verdict, bool) {
	if len(a.Containers) == 0 {
		return bioassay.Verdict{}, false
	}
	v, ok := j.verdicts[&a.Containers[0]]
	return v, ok
}

// usable divides assays into those that may carry a claim and those that are
// discarded.
func (j *judged) usable(assays []bioassay.Assay) (usable []bioassay.Assay, discarded []bioassay.Refusal) {
	for _, a := range assays {
		v, ok := j.verdict(a)
		if !ok || v.Usable {
			usable = append(usable, a)
			continue
		}
		var reasons []string
		for _, f := range v.Reasons {
			reasons = append(reasons, fmt.Sprintf("%s: %s; %s", f.Code, f.Message, f.Cure))
		}
		discarded = append(discarded, bioassay.Refusal{
			Assay: a, Err: fmt.Errorf("assay %q: %w: %s", a.Name, bioassay.ErrDiscarded, strings.Join(reasons, "; ")),
		})
	}
	return usable, discarded
}

// loadProgramme reads a programme's own protocols and rules, or takes the
// built-in ones.
func loadProgramme(path string) (*bioassay.Programme, error) {
	if path == "" {
		return rules.Builtin(), nil
	}
	p, err := rules.Load(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("%w; name a TOML file that exists", err)
	}
	return p, err
}
