package main

import (
	"fmt"
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
	limits                                                       []string
	level                                                        float64
	seed                                                         uint64
}

func (f *fitFlags) register(flags *pflag.FlagSet) {
	flags.StringVar(&f.link, "link", "probit", "tolerance distribution: probit, logit or cloglog")
	flags.StringVar(&f.natural, "natural-mortality", "estimated", "mortality without treatment: estimated (jointly, where there are controls), none, fixed:0.05 or abbott")
	flags.StringVar(&f.heterogeneity, "heterogeneity", "when-above-one", "when h = X2/df widens the limits: when-above-one, when-significant or never")
	flags.StringVar(&f.information, "information", "observed", "information matrix behind the standard errors: observed or expected")
	flags.StringVar(&f.percent, "percent", "", "the p of every LCp, comma-separated (default 10,50,90,99; tables for people show 50,90)")
	flags.Float64Var(&f.level, "level", doseresp.DefaultLevel, "confidence level of the limits, as a proportion")
	flags.StringSliceVar(&f.limits, "limits", []string{"fiducial"}, "sets of limits: fiducial")
	flags.Uint64Var(&f.seed, "seed", 1, "seed of methods that draw random numbers; fiducial limits draw none")
	flags.StringVar(&f.moribund, "moribund", "dead", "count moribund mites as dead or alive")
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
	for _, name := range f.limits {
		if name != "fiducial" {
			return fail(fmt.Errorf("unknown limits %q; use fiducial", name))
		}
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
