package render

import (
	"fmt"
	"math"
	"strings"

	"vialwise/bioassay"
	"vialwise/doseresp"
)

// LimitNames lists the sets of limits that can be asked for.
func LimitNames() []string { return []string{"fiducial", "profile", "posterior", "bootstrap"} }

// onlyFiducial says that the default table is wanted.
func (f *Fits) onlyFiducial() bool {
	return len(f.Shown) == 0 || len(f.Shown) == 1 && f.Shown[0] == "fiducial"
}

// limitSets are the rows of an assay in a table.
func limitSets(f *Fits) []limitSet {
	if f.onlyFiducial() {
		return []limitSet{{"", reportedCell}}
	}
	var sets []limitSet
	for _, name := range f.Shown {
		switch name {
		case "fiducial":
			sets = append(sets, limitSet{"fiducial", fiducialCell})
		case "profile":
			sets = append(sets,
				limitSet{"profile", func(a *bioassay.Analysis, i int) string { return estimateCell(a, i, a.Limits.Profile[i]) }},
				limitSet{"beta-binomial profile", betaBinomialCell})
		case "posterior":
			sets = append(sets, limitSet{"posterior", posteriorCell})
		case "bootstrap":
			sets = append(sets,
				limitSet{"bootstrap, percentile", func(a *bioassay.Analysis, i int) string {
					return bootstrapCell(a, i, func(b doseresp.BootstrapLimits) doseresp.Limits { return b.Percentile })
				}},
				limitSet{"bootstrap, BCa", func(a *bioassay.Analysis, i int) string {
					return bootstrapCell(a, i, func(b doseresp.BootstrapLimits) doseresp.Limits { return b.BCa })
				}})
		}
	}
	return sets
}

// fiducialCell shows the doses that bracket LC50 where there is no line.
func fiducialCell(a *bioassay.Analysis, i int) string {
	if lc := a.Fit.LC[i]; lc.Percent == 50 && math.IsNaN(lc.Estimate) {
		return bracketCell(a.Fit.Bracket)
	}
	return estimateCell(a, i, a.Fit.LC[i].Fiducial)
}

func betaBinomialCell(a *bioassay.Analysis, i int) string {
	b := a.Limits.BetaBinomial
	if b == nil {
		return absent
	}
	return dose(b.LC(a.Fit.LC[i].Percent)) + " (" + limitsCell(a.Limits.BetaBinomialProfile[i]) + ")"
}

func posteriorCell(a *bioassay.Analysis, i int) string {
	if a.Limits.Posterior == nil {
		return absent
	}
	p := a.Limits.PosteriorLC[i]
	return dose(p.Median) + " (" + dose(p.Lower) + "–" + dose(p.Upper) + ")"
}

func bootstrapCell(a *bioassay.Analysis, i int, which func(doseresp.BootstrapLimits) doseresp.Limits) string {
	if a.Limits.Bootstrap == nil {
		return absent
	}
	return estimateCell(a, i, which(a.Limits.Bootstrap.Limits[i]))
}

// limitNotes say how the sets that were asked for were computed.
func limitNotes(f *Fits) []string {
	if f.onlyFiducial() {
		return nil
	}
	var notes []string
	for _, name := range f.Shown {
		switch name {
		case "profile":
			notes = append(notes, "Profile: doses at which the likelihood, maximised over the rest, lies within the cut of its maximum, with h and the F quantile by the rule. "+
				"Beta-binomial profile: the same with variation between containers in the likelihood, and its own maximum likelihood dose; F quantile.")
		case "posterior":
			notes = append(notes, posteriorNote(f)+" Median and equal-tailed limits.")
		case "bootstrap":
			notes = append(notes, fmt.Sprintf("Bootstrap: parametric, %d replicates, seed %d; percentile and bias-corrected accelerated (BCa) limits. Offered for comparison: it covers less than its level in small assays.",
				replicates(f), f.Options.Seed))
		}
	}
	return notes
}

func replicates(f *Fits) int {
	if f.Options.Replicates > 0 {
		return f.Options.Replicates
	}
	return doseresp.DefaultReplicates
}

// posteriorNote states the priors.
func posteriorNote(f *Fits) string {
	return "Posterior: beta-binomial likelihood; priors " + priorWords(f.Options) + "."
}

// exceedsNotes are the probabilities that LC50 exceeds the doses asked for.
func exceedsNotes(f *Fits) []string {
	var notes []string
	for _, a := range f.Analyses {
		var parts []string
		for _, e := range a.Limits.Exceeds {
			parts = append(parts, fmt.Sprintf("%s that LC50 exceeds %.4g", probability(e.Probability), e.Dose))
		}
		if parts != nil {
			notes = append(notes, "Posterior probability, "+oneLine(f.label(a))+": "+strings.Join(parts, ", ")+".")
		}
	}
	return notes
}
