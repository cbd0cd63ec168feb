package bioassay

import (
	"gonum.org/v1/gonum/stat/distuv"
)

// surely is the chance up to which a trend discards an assay.
const surely = 0.01

// judgeTrend looks at whether mortality rises with dose as it should. Noise is
// let pass: every rule here tests before it speaks.
func (j *judgement) judgeTrend() {
	if j.one() {
		j.judgeVariation()
	}
	if len(j.doses) < 2 {
		return
	}
	first, last := j.doses[0], j.doses[len(j.doses)-1]
	p := fallingTrend(j.doses)
	switch {
	case p < surely && j.fromTopToBottom():
		j.add(Discard, DosesReversed, Basis{}, "check the dilution series and which label stands for which concentration; correct the table if the labels were exchanged, else repeat the assay",
			"mortality is highest, %.3g %%, at the lowest concentration, %.4g%s, and lowest, %.3g %%, at the highest, %.4g (P = %.2g): the doses seem to stand in reverse order",
			first.percent(), first.dose, j.unit(), last.percent(), last.dose, p)
	case p < clearly:
		j.add(Doubt, MortalityFalls, Basis{}, "check the dilution series, the labels, and that dead and alive were not exchanged; repeat the assay",
			"mortality falls as the concentration rises, from %.3g %% at %.4g%s to %.3g %% at %.4g (trend test, one-sided P = %.2g)",
			first.percent(), first.dose, j.unit(), last.percent(), last.dose, p)
	default:
		j.judgeDips()
	}
}

// fromTopToBottom reports whether the lowest dose killed the largest share and
// the highest dose the smallest.
func (j *judgement) fromTopToBottom() bool {
	first, last := j.doses[0].rate(), j.doses[len(j.doses)-1].rate()
	for _, d := range j.doses {
		if d.rate() > first || d.rate() < last {
			return false
		}
	}
	return true
}

func (j *judgement) judgeDips() {
	d := clearestDip(j.doses)
	if d.p >= clearly {
		return
	}
	low, high := j.doses[d.from], j.doses[d.to]
	j.add(Doubt, MortalityDips, Basis{}, "check whether the labels or the counts of the two were exchanged; test both concentrations again",
		"at %.4g%s %d of %d died and at %.4g, a higher concentration, only %d of %d (P = %.2g for all pairs together)",
		low.dose, j.unit(), low.dead, low.exposed, high.dose, high.dead, high.exposed, d.p)
}

// judgeVariation says when the containers of a single concentration vary more
// than chance allows: exact limits take every mite for independent. It needs
// one dead and one alive expected in the average container (Cochran 1954,
// Biometrics 10:417-451).
func (j *judgement) judgeVariation() {
	d := j.doses[0]
	n := len(d.containers)
	if n < 2 || min(d.dead, d.exposed-d.dead) < n {
		return
	}
	x2 := d.pearson()
	p := distuv.ChiSquared{K: float64(n - 1)}.Survival(x2)
	if p < clearly {
		j.add(Doubt, ContainersVary, Basis{}, "use mites of one source and age, and more containers with fewer mites in each",
			"the %d treated containers differ more than chance allows (χ² = %.3g, df %d, P = %.2g): the limits of the mortality are too narrow", n, x2, n-1, p)
	}
}
