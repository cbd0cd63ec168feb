package bioassay

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"vialwise/doseresp"
)

// findingLevel is the confidence level of the exact limits in messages.
const findingLevel = 0.95

// judgeControls looks at the untreated mites.
func (j *judgement) judgeControls() {
	c, bound := j.control, j.Rules.Design.ControlMites
	if c.exposed == 0 {
		j.add(Doubt, NoControls, Basis{}, fmt.Sprintf("put %.0f or more untreated mites, in two or more containers, into every assay", max(bound.Value, 10)),
			"no untreated mite was read: natural mortality is unknown, and every death is put down to the acaricide")
		return
	}
	if n := float64(c.exposed); bound.Set && n < bound.Value {
		_, upper := doseresp.ClopperPearson(0, c.exposed, findingLevel)
		j.addAt(j.controlOrigin(), Doubt, FewControls, bound.Basis, fmt.Sprintf("add %s", Plural(int(bound.Value-n), "untreated mite")),
			"%s, fewer than %g: even without a death, natural mortality could be %.3g %%", Plural(c.exposed, "untreated mite"), bound.Value, 100*upper)
	}
	j.judgeControlBand()
	j.judgeControlsExceed()
}

// judgeControlBand applies the bands of the rule set.
func (j *judgement) judgeControlBand() {
	limits := j.Rules.Controls
	if limits == nil {
		return
	}
	died := j.control.words("untreated mites")
	switch limits.Band(j.control.percent()) {
	case ControlsDiscard:
		j.addAt(j.controlOrigin(), Discard, ControlsFailed, limits.Basis,
			"repeat the assay with fresh mites; look at how they were collected, at humidity, and at the solvent, which must have dried off",
			"%s: above the limit of %g %%", died, limits.DiscardAbove)
	case ControlsCorrect:
		if j.analysis != nil && j.analysis.Fit.Natural.Mode == doseresp.None {
			j.addAt(j.controlOrigin(), Doubt, ControlsCorrected, limits.Basis, "fit with natural mortality estimated",
				"%s, which calls for a correction (above %g %%), and the fit made none", died, limits.CorrectAbove)
			return
		}
		j.addAt(j.controlOrigin(), Note, ControlsCorrected, limits.Basis, "keep natural mortality in the model, as is the default",
			"%s: above %g %%, so natural mortality must be part of the model", died, limits.CorrectAbove)
	}
}

// clearly is the chance up to which a difference is taken for real.
const clearly = 0.05

// judgeControlsExceed says when treatment seems to protect the mites.
func (j *judgement) judgeControlsExceed() {
	treated := doseSum{}
	for _, d := range j.doses {
		treated.exposed += d.exposed
		treated.dead += d.dead
	}
	if treated.exposed == 0 {
		return
	}
	if p := fewer(treated.dead, treated.exposed, j.control.dead, j.control.exposed); p < clearly {
		j.addAt(j.controlOrigin(), Doubt, ControlsExceed, Basis{}, "look for exchanged labels, or a column of survivors in place of the dead; repeat the assay",
			"%s, of %d treated ones %d (%.3g %%): more died untreated than treated (one-sided P = %.2g)",
			j.control.words("untreated mites"), treated.exposed, treated.dead, treated.percent(), p)
	}
}

// controlOrigin is where the first untreated container stands.
func (j *judgement) controlOrigin() Origin {
	for _, c := range j.assay.Containers {
		if c.IsControl() {
			return c.Source
		}
	}
	return j.origin()
}

// doseSum is the count over all containers of one dose.
type doseSum struct {
	dose          float64
	exposed, dead int
	containers    []doseresp.Container // that hold mites
}

func (d doseSum) rate() float64    { return float64(d.dead) / float64(d.exposed) }
func (d doseSum) percent() float64 { return 100 * float64(d.dead) / float64(d.exposed) }
func (d doseSum) partial() bool    { return d.dead > 0 && d.dead < d.exposed }

// words says how many died, with exact limits.
func (d doseSum) words(mites string) string {
	lower, upper := doseresp.ClopperPearson(d.dead, d.exposed, findingLevel)
	return fmt.Sprintf("%d of %d %s died, %.3g %% (exact 95 %% limits %.3g to %.3g %%)", d.dead, d.exposed, mites, d.percent(), 100*lower, 100*upper)
}

// sumByDose sums the containers that hold individuals: those of dose 0, and
// those of every other dose by rising dose.
func sumByDose(counts []doseresp.Container) (control doseSum, treated []doseSum) {
	at := map[float64]int{}
	for _, c := range counts {
		if c.Exposed == 0 {
			continue
		}
		if c.Dose == 0 {
			control.add(c)
			continue
		}
		i, ok := at[c.Dose]
		if !ok {
			i = len(treated)
			at[c.Dose] = i
			treated = append(treated, doseSum{dose: c.Dose})
		}
		treated[i].add(c)
	}
	slices.SortFunc(treated, func(a, b doseSum) int { return cmp.Compare(a.dose, b.dose) })
	return control, treated
}

func (d *doseSum) add(c doseresp.Container) {
	d.exposed += c.Exposed
	d.dead += c.Dead
	d.containers = append(d.containers, c)
}

// naturalRate is the pooled control mortality, 0 without controls.
func (j *judgement) naturalRate() float64 {
	if j.control.exposed == 0 {
		return 0
	}
	return j.control.rate()
}

// corrected is the mortality of a dose that the acaricide caused, by Abbott's
// formula; NaN when all controls died.
func (j *judgement) corrected(d doseSum) float64 {
	if j.naturalRate() == 1 {
		return math.NaN()
	}
	return doseresp.Abbott(d.rate(), j.naturalRate())
}
