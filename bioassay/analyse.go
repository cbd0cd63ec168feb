package bioassay

import (
	"fmt"

	"vialwise/doseresp"
)

// Analysis is an assay with the line fitted to it, its further limits, and
// every warning about it.
type Analysis struct {
	Assay       Assay
	Moribund    Moribund // how moribund mites were counted
	Fit         *doseresp.Result
	Limits      Limits
	Diagnostics []doseresp.ContainerDiagnostic // of every container in the likelihood
	LackOfFit   doseresp.LackOfFit
	Warnings    []Warning
}

// AnalysisOptions chooses how assays become fits.
type AnalysisOptions struct {
	Fit        doseresp.Options
	Moribund   Moribund
	Limits     LimitSets
	Priors     *doseresp.Priors // nil for doseresp.DefaultPriors
	Exceeds    []float64        // doses of which P(LC50 > dose) is wanted
	Replicates int              // of the bootstrap; 0 for its default
	Seed       uint64           // of the bootstrap
}

// The warnings of an analysis beyond those of its fit.
const (
	WarnMissingMites  WarningCode = "missing-mites"       // more than one mite in ten was not found again
	WarnWrongLink     WarningCode = "wrong-link"          // another link fits, this one does not
	WarnHeterogeneous WarningCode = "heterogeneity"       // containers vary more than binomial
	WarnUndecidedFit  WarningCode = "lack-of-fit"         // the line does not fit, for no reason that shows
	WarnPosteriorUsed WarningCode = "posterior-limits"    // they stand in for fiducial ones
	WarnNoBootstrap   WarningCode = "no-bootstrap-limits" // no line to simulate from
)

// Analyse fits an assay. It fails only where the options and the counts
// contradict each other; counts without a finite line have a status.
func Analyse(a Assay, o AnalysisOptions) (*Analysis, error) {
	var f doseresp.Fitter
	r := new(doseresp.Result)
	counts := a.Counts(o.Moribund)
	fail := func(err error) (*Analysis, error) { return nil, fmt.Errorf("assay %q: %w", a.Name, err) }
	if err := f.Fit(counts, o.Fit, r); err != nil {
		return fail(err)
	}
	analysis := &Analysis{Assay: a, Moribund: o.Moribund, Fit: r, Diagnostics: f.Diagnostics(r, nil)}
	var err error
	if analysis.Limits, err = furtherLimits(&f, r, counts, o); err != nil {
		return fail(err)
	}
	if r.Status == doseresp.Converged {
		if analysis.LackOfFit, err = doseresp.ExplainLackOfFit(counts, o.Fit); err != nil {
			return fail(err)
		}
	}
	analysis.Warnings = analysis.warnings(o)
	return analysis, nil
}

func (a *Analysis) warnings(o AnalysisOptions) []Warning {
	var out []Warning
	for _, w := range a.Fit.Warnings() {
		out = append(out, Warning{Code: WarningCode(w.Code), Message: w.Message, Cure: w.Cure})
	}
	out = append(out, a.Assay.missingWarnings()...)
	if a.Limits.Fallback {
		out = append(out, Warning{
			Code:    WarnPosteriorUsed,
			Message: "bounded fiducial limits do not exist; the limits given are those of the posterior, which rest in part on its priors",
			Cure:    "test more mites, at doses that kill some but not all",
		})
	}
	if o.Limits.Bootstrap && a.Limits.Bootstrap == nil {
		out = append(out, Warning{
			Code:    WarnNoBootstrap,
			Message: "there is no finite rising line to simulate from, so no bootstrap limits",
			Cure:    "use the posterior limits",
		})
	}
	return append(out, a.fitWarnings()...)
}

// fitWarnings say why a line that does not fit does not.
func (a *Analysis) fitWarnings() []Warning {
	l := a.LackOfFit
	switch l.Verdict {
	case doseresp.WrongLink:
		return []Warning{{Code: WarnWrongLink, Message: l.Message, Cure: "fit with --link " + l.BestLink.String()}}
	case doseresp.ExtraVariation:
		return []Warning{{Code: WarnHeterogeneous, Message: l.Message, Cure: "keep the heterogeneity rule when-above-one; use mites of one source and age, and more containers"}}
	case doseresp.UndecidedLackOfFit:
		return []Warning{{Code: WarnUndecidedFit, Message: l.Message, Cure: "look at the residuals by container; test more doses"}}
	}
	return nil
}

// manyMissing is the share of mites not found again above which an assay is
// doubtful (common practice).
const manyMissing = 0.10

// Missing is the number of mites that were not found at the reading.
func (a Assay) Missing() int {
	missing := 0
	for _, c := range a.Containers {
		missing += c.Missing
	}
	return missing
}

func (a Assay) missingWarnings() []Warning {
	missing, placed := a.Missing(), a.Exposed()+a.Missing()
	if float64(missing) <= manyMissing*float64(placed) {
		return nil
	}
	return []Warning{{
		Code:    WarnMissingMites,
		Message: fmt.Sprintf("%d of %d mites placed were not found at the reading and are left out of n", missing, placed),
		Cure:    "seal the containers and search them fully at the reading",
	}}
}
