package bioassay

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"vialwise/doseresp"
	"vialwise/doseresp/meta"
)

// The warnings of a baseline beyond those of its assays.
const (
	WarnOneBaselineAssay  WarningCode = "baseline-one-assay"          // nothing is known of the variation between populations
	WarnFewBaselineAssays WarningCode = "baseline-few-assays"         // little is
	WarnSamePopulation    WarningCode = "baseline-same-population"    // assays of one population count as several
	WarnFieldRole         WarningCode = "baseline-field-role"         // an assay is not marked as baseline
	WarnBaselineCensored  WarningCode = "baseline-censored"           // every mite died
	WarnBaselineSeparated WarningCode = "baseline-separated"          // no finite slope
	WarnBaselinePosterior WarningCode = "baseline-posterior"          // assays enter the summary by their posterior
	WarnBaselineLimits    WarningCode = "baseline-posterior-limits"   // those of a single assay are its posterior's
	WarnVariationUnseen   WarningCode = "baseline-no-variation"       // none is seen, which does not mean none
	WarnVariationExceeds  WarningCode = "baseline-variation-exceeded" // the one that was given is too small
	WarnDoseExtrapolated  WarningCode = "discriminating-extrapolated" // beyond every tested dose
	WarnSurvivorsLikely   WarningCode = "discriminating-survivors"    // susceptible mites outlive it too often
	WarnDependsOnLink     WarningCode = "discriminating-link"         // the links give different doses
)

// Thresholds of the warnings.
const (
	manySurvivors = 0.03 // predicted survival of susceptible mites that spoils a test against 1 %
	linkMatters   = 1.25 // largest LC99 over smallest
)

// unrecorded warns for each field that some assays record and others do not.
func unrecorded(assays []Assay) (warnings []Warning) {
	for _, f := range comparedFields {
		var silent []string
		value := ""
		for _, a := range assays {
			if v := strings.TrimSpace(f.value(a)); v != "" {
				value = v
			} else {
				silent = append(silent, a.Name)
			}
		}
		if value == "" || len(silent) == 0 {
			continue
		}
		warnings = append(warnings, Warning{
			Code:    WarnFieldUnknown,
			Message: fmt.Sprintf("no %s is recorded for %s; it is taken to be %s, as in the other assays of the baseline", f.name, quoted(silent), value),
			Cure:    "record it in the table; with another value the assays could not be combined",
		})
	}
	return warnings
}

// fieldRoles warns of assays that are marked as something else.
func fieldRoles(assays []Assay) []Warning {
	var marked []string
	for _, a := range assays {
		if a.Role != RoleBaseline {
			marked = append(marked, a.Name)
		}
	}
	if len(marked) == 0 {
		return nil
	}
	return []Warning{{
		Code:    WarnFieldRole,
		Message: fmt.Sprintf("the table does not mark %s as baseline", quoted(marked)),
		Cure:    "make sure that these mites are known to be susceptible, and write baseline in the role column",
	}}
}

// quoted lists assays by name.
func quoted(names []string) string {
	var q []string
	for _, n := range names {
		q = append(q, strconv.Quote(n))
	}
	if len(q) == 1 {
		return "assay " + q[0]
	}
	return "assays " + strings.Join(q, ", ")
}

func (b *Baseline) furtherWarnings() []Warning {
	out := b.numberWarnings()
	out = append(out, b.lineWarnings()...)
	out = append(out, b.variationWarnings()...)
	return append(out, b.concentrationWarnings()...)
}

func (b *Baseline) numberWarnings() (out []Warning) {
	k := len(b.Assays)
	switch {
	case b.BetweenSD.Known:
	case k == 1:
		out = append(out, Warning{
			Code:    WarnOneBaselineAssay,
			Message: "one assay speaks for its population alone: how much susceptible populations differ cannot be known from it, and a ratio may differ from 1 for that reason",
			Cure: fmt.Sprintf("add assays of other susceptible populations, %d at least for a band and %d for limits of their mean, or give the standard deviation between them if it is known",
				meta.FewestForPrediction, meta.FewestForLimits),
		})
	case k < meta.FewestForLimits:
		band := ", and there is no band of natural variation"
		if k >= meta.FewestForPrediction {
			band = "; the band of natural variation rests on these few"
		}
		out = append(out, Warning{
			Code:    WarnFewBaselineAssays,
			Message: fmt.Sprintf("%d assays tell little of how much susceptible populations differ: no limits of their mean are shown%s", k, band),
			Cure:    fmt.Sprintf("add assays of other susceptible populations, at least %d in all, or give the standard deviation between them if it is known", meta.FewestForLimits),
		})
	}
	if b.Populations < k {
		out = append(out, Warning{
			Code:    WarnSamePopulation,
			Message: fmt.Sprintf("the %d assays are of %s; the variation between assays then understates that between populations", k, Plural(b.Populations, "population")),
			Cure:    "use one assay of each population, or record apiary and population where they differ",
		})
	}
	return out
}

// lineWarnings say which assays have no ordinary line.
func (b *Baseline) lineWarnings() []Warning {
	if len(b.Assays) > 1 {
		names := b.lines.fromPosterior()
		if len(names) == 0 {
			return nil
		}
		return []Warning{{
			Code:    WarnBaselinePosterior,
			Message: fmt.Sprintf("bounded fiducial limits do not exist for %s, which enters with its posterior, and that rests in part on its priors", quoted(names)),
			Cure:    "test more mites, at doses that kill some but not all, or leave the assay out and say so",
		}}
	}
	switch fit := b.Assays[0].Fit; {
	case fit.Status == doseresp.AllDead:
		return []Warning{{
			Code:    WarnBaselineCensored,
			Message: fmt.Sprintf("every treated mite died, so the LC50 is only known to lie below %g; ratios are lower bounds, and no dose discriminates", fit.LowestDose),
			Cure:    "repeat the assay with lower doses",
		}}
	case fit.Status == doseresp.Separated:
		return []Warning{{
			Code:    WarnBaselineSeparated,
			Message: fmt.Sprintf("no finite line fits: the LC50 lies between %g and %g, and no discriminating concentration can be given", fit.Bracket.Lower, fit.Bracket.Upper),
			Cure:    "repeat the assay with doses between these two",
		}}
	}
	for _, lc := range b.LC {
		if lc.From == BaselinePosterior {
			return []Warning{{
				Code:    WarnBaselineLimits,
				Message: fmt.Sprintf("bounded limits of LC%g do not exist; those of the posterior are used, which rest in part on its priors", lc.Percent),
				Cure:    "test more mites, at doses that kill some but not all",
			}}
		}
	}
	return nil
}

// variationWarnings say what the assays show of the variation between them, at
// LC50 or else at the first LCp.
func (b *Baseline) variationWarnings() []Warning {
	lc, ok := b.At(50)
	if !ok && len(b.LC) > 0 {
		lc, ok = b.LC[0], true
	}
	if !ok || lc.Pooled == nil {
		return nil
	}
	for _, w := range lc.Pooled.Warnings {
		switch w.Code {
		case meta.WarnNoneSeen:
			return []Warning{{
				Code: WarnVariationUnseen,
				Message: fmt.Sprintf("the LC%g of the assays vary no more than chance, which does not show that the populations are alike: a standard deviation of log10 LC%g of up to %.2f between them agrees with the counts",
					lc.Percent, lc.Percent, lc.Pooled.SDLimits().Upper),
				Cure: "add assays, or larger ones",
			}}
		case meta.WarnTau2Exceeded:
			return []Warning{{
				Code: WarnVariationExceeds,
				Message: fmt.Sprintf("the LC%g of the assays vary more than the given standard deviation of %g between populations allows (P = %.2g)",
					lc.Percent, b.BetweenSD.Value, lc.Pooled.TauP),
				Cure: "let the variation be estimated from the assays, or look for the one that stands out",
			}}
		}
	}
	return nil
}

// concentrationWarnings are those of the discriminating concentrations under
// the baseline's own link, and of their dependence on it.
func (b *Baseline) concentrationWarnings() (out []Warning) {
	low, high := math.Inf(1), math.Inf(-1)
	var texts []string
	for _, d := range b.Discriminating {
		if math.IsNaN(d.Dose) {
			continue
		}
		if d.Link == b.lines.link {
			out = append(out, b.doseWarnings(d)...)
		}
		if d.Times == 1 {
			low, high = min(low, d.Dose), max(high, d.Dose)
			texts = append(texts, fmt.Sprintf("%.3g (%v)", d.Dose, d.Link))
		}
	}
	if len(texts) > 1 && high > linkMatters*low {
		out = append(out, Warning{
			Code:    WarnDependsOnLink,
			Message: fmt.Sprintf("LC%g depends on the link: %s", b.options.DiscriminatingPercent, strings.Join(texts, ", ")),
			Cure:    "test more mites near LC99, which tell the links apart, and name the link with the dose",
		})
	}
	return out
}

func (b *Baseline) doseWarnings(d Discriminating) (out []Warning) {
	name := fmt.Sprintf("LC%g", d.Percent)
	if d.Times != 1 {
		name = fmt.Sprintf("%g times LC%g", d.Times, d.Percent)
	}
	if d.Extrapolated {
		out = append(out, Warning{
			Code:    WarnDoseExtrapolated,
			Message: fmt.Sprintf("%s, %.3g, lies above the highest dose tested, %g, and rests on the shape of the line alone", name, d.Dose, b.HighestDose),
			Cure:    "test susceptible mites at that dose before it is used",
		})
	}
	if d.Survival.From != SurvivalNone && d.Survival.Upper > manySurvivors {
		out = append(out, Warning{
			Code: WarnSurvivorsLikely,
			Message: fmt.Sprintf("at %s, %.3g, susceptible mites survive on average at %.1f %%, and %.1f %% agrees with the counts: an exact test of survivors against %.3g %% would call too many susceptible populations resistant",
				name, d.Dose, 100*d.Survival.Mean, 100*d.Survival.Upper, 100-d.Percent),
			Cure: "judge survivors against the predicted survival, use a higher dose, or add susceptible mites near this one",
		})
	}
	return out
}
