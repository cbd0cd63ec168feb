package main

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"vialwise/bioassay"
	"vialwise/cmd/vialwise/internal/render"
	"vialwise/doseresp"
)

// fitFlags are the flags that choose a model, shared by every command that
// fits lines.
type fitFlags struct {
	link, natural, heterogeneity, information, percent, moribund string
	limits, exceeds, priors                                      []string
	level                                                        float64
	seed                                                         uint64
	replicates                                                   int
}

func (f *fitFlags) register(flags *pflag.FlagSet) {
	f.registerModel(flags)
	flags.StringVar(&f.percent, "percent", "", "the p of every LCp, comma-separated (default 10,50,90,99; tables for people show 50,90)")
	flags.StringSliceVar(&f.limits, "limits", []string{"fiducial"}, "sets of limits in the table: "+strings.Join(render.LimitNames(), ", ")+"; posterior ones stand in where no fiducial ones exist")
	flags.StringSliceVar(&f.exceeds, "exceeds", nil, "doses of which the posterior probability that LC50 exceeds them is wanted, comma-separated")
	flags.Uint64Var(&f.seed, "seed", 1, "seed of the bootstrap; no other method draws random numbers")
	flags.IntVar(&f.replicates, "replicates", doseresp.DefaultReplicates, "replicates of the bootstrap")
}

// registerModel registers the flags of commands whose LCp and limits are set.
func (f *fitFlags) registerModel(flags *pflag.FlagSet) {
	flags.StringVar(&f.link, "link", "probit", "tolerance distribution: probit, logit or cloglog")
	flags.StringVar(&f.natural, "natural-mortality", "estimated", "mortality without treatment: estimated (jointly, where there are controls), none, fixed:0.05 or abbott")
	flags.StringVar(&f.heterogeneity, "heterogeneity", "when-above-one", "when h = chi-squared/df widens the limits: when-above-one, when-significant or never")
	flags.StringVar(&f.information, "information", "observed", "information matrix behind the standard errors: observed or expected")
	flags.Float64Var(&f.level, "level", doseresp.DefaultLevel, "confidence level of the limits, as a proportion")
	flags.StringSliceVar(&f.priors, "prior", nil, "change a prior of the posterior, as NAME=VALUE, comma-separated: "+strings.Join(priorNames(), ", "))
	flags.StringVar(&f.moribund, "moribund", "dead", "count moribund mites as dead or alive")
	f.seed, f.replicates = 1, doseresp.DefaultReplicates
}

// options reads the flags; a word that no flag knows is a usage error. The
// format decides which LCp are computed where none were asked for.
func (f *fitFlags) options(format string) (o bioassay.AnalysisOptions, err error) {
	fail := func(err error) (bioassay.AnalysisOptions, error) { return o, usageError{err} }
	if o.Fit.Link, err = doseresp.ParseLink(f.link); err != nil {
		return fail(err)
	}
	if o.Fit.Natural, err = doseresp.ParseNaturalMortality(f.natural); err != nil {
		return fail(err)
	}
	if o.Fit.Heterogeneity, err = doseresp.ParseHeterogeneityRule(f.heterogeneity); err != nil {
		return fail(err)
	}
	if o.Fit.Information, err = doseresp.ParseInformation(f.information); err != nil {
		return fail(err)
	}
	if o.Fit.Percents, err = parsePercents(f.percent, render.DefaultPercents(format)); err != nil {
		return fail(err)
	}
	if o.Fit.Level = f.level; !(f.level > 0 && f.level < 1) {
		return fail(fmt.Errorf("level %g must lie above 0 and below 1; 95 %% is 0.95", f.level))
	}
	if err = f.readLimits(&o); err != nil {
		return fail(err)
	}
	switch f.moribund {
	case "dead":
	case "alive":
		o.Moribund = bioassay.MoribundAlive
	default:
		return fail(fmt.Errorf("moribund mites count as %q? use dead or alive", f.moribund))
	}
	return o, nil
}

// parsePercents reads "10,50,90"; nothing means the default.
func parsePercents(text string, preset []float64) ([]float64, error) {
	if text == "" {
		return preset, nil
	}
	var percents []float64
	for field := range strings.SplitSeq(text, ",") {
		p, err := strconv.ParseFloat(strings.TrimSpace(field), 64)
		if err != nil || !(p > 0 && p < 100) {
			return nil, fmt.Errorf("percent %q: every p must be a number above 0 and below 100, as in 10,50,90", field)
		}
		if slices.Contains(percents, p) {
			return nil, fmt.Errorf("percent %q is asked for twice", field)
		}
		percents = append(percents, p)
	}
	return percents, nil
}

// readLimits reads the flags about sets of limits.
func (f *fitFlags) readLimits(o *bioassay.AnalysisOptions) (err error) {
	for i, name := range f.limits {
		if slices.Contains(f.limits[:i], name) {
			return fmt.Errorf("limits %q are asked for twice", name)
		}
		switch name {
		case "fiducial":
		case "profile":
			o.Limits.Profile = true
		case "posterior":
			o.Limits.Posterior = true
		case "bootstrap":
			o.Limits.Bootstrap = true
		default:
			return fmt.Errorf("unknown limits %q; use one or more of %s", name, strings.Join(render.LimitNames(), ", "))
		}
	}
	for _, text := range f.exceeds {
		dose, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
		if err != nil || !(dose > 0) || dose > 1e300 {
			return fmt.Errorf("exceeds %q: every dose must be a number above 0", text)
		}
		o.Exceeds = append(o.Exceeds, dose)
	}
	if f.replicates < 1 {
		return fmt.Errorf("replicates %d: the bootstrap needs at least one", f.replicates)
	}
	o.Seed, o.Replicates = f.seed, f.replicates
	if o.Limits.Bootstrap {
		if err := checkReplicates(o); err != nil {
			return err
		}
	}
	o.Priors, err = parsePriors(f.priors)
	return err
}

// checkReplicates says before any table is read whether the bootstrap has
// enough replicates for the level.
func checkReplicates(o *bioassay.AnalysisOptions) error {
	_, err := doseresp.Bootstrap(nil, o.Fit, doseresp.BootstrapOptions{
		Replicates: o.Replicates,
		NewSampler: func(int) doseresp.Sampler { return nil }, // no container, so none is drawn
	})
	if errors.Is(err, doseresp.ErrOptions) {
		return fmt.Errorf("replicates %d: %w", o.Replicates, err)
	}
	return nil
}

// priorFields names the parameters of the priors.
var priorFields = []struct {
	name  string
	field func(*doseresp.Priors) *float64
}{
	{"log10-lc50-mean", func(p *doseresp.Priors) *float64 { return &p.Log10LC50Mean }},
	{"log10-lc50-sd", func(p *doseresp.Priors) *float64 { return &p.Log10LC50SD }},
	{"slope-median", func(p *doseresp.Priors) *float64 { return &p.SlopeMedian }},
	{"slope-log-sd", func(p *doseresp.Priors) *float64 { return &p.SlopeLogSD }},
	{"natural-a", func(p *doseresp.Priors) *float64 { return &p.NaturalA }},
	{"natural-b", func(p *doseresp.Priors) *float64 { return &p.NaturalB }},
	{"rho-mean", func(p *doseresp.Priors) *float64 { return &p.RhoMean }},
}

func priorNames() []string {
	var names []string
	for _, f := range priorFields {
		names = append(names, f.name)
	}
	return names
}

// parsePriors reads "slope-median=3"; nothing changed gives nil.
func parsePriors(texts []string) (*doseresp.Priors, error) {
	if len(texts) == 0 {
		return nil, nil
	}
	priors := doseresp.DefaultPriors()
	for _, text := range texts {
		name, value, _ := strings.Cut(text, "=")
		i := slices.Index(priorNames(), strings.TrimSpace(name))
		x, err := strconv.ParseFloat(strings.TrimSpace(value), 64)
		switch {
		case i < 0:
			return nil, fmt.Errorf("unknown prior %q; use NAME=VALUE with one of %s", text, strings.Join(priorNames(), ", "))
		case err != nil || math.IsNaN(x) || math.IsInf(x, 0) || i > 0 && x <= 0:
			return nil, fmt.Errorf("prior %q: the value must be a number, above 0 for all but log10-lc50-mean", text)
		}
		*priorFields[i].field(&priors) = x
	}
	return &priors, nil
}
