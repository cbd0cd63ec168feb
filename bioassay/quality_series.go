package bioassay

import (
	"fmt"
	"math"

	"vialwise/doseresp"
)

// half is the mortality that LC50 means.
const half = 0.5

// judgeSeries looks at whether the doses are many enough, close enough, and
// around LC50.
func (j *judgement) judgeSeries() {
	if len(j.doses) == 0 || j.one() && j.Protocol != nil {
		return // the protocol says what one dose is worth
	}
	j.judgeDoses()
	if j.one() {
		return
	}
	j.judgeSteps()
	j.judgePartials()
	j.judgeSides()
}

func (j *judgement) judgeDoses() {
	b, n := j.Rules.Design.Concentrations, len(j.doses)
	if !b.Set || float64(n) >= b.Value || j.wantsOne() {
		return
	}
	cure := fmt.Sprintf("add %s in geometric series", Plural(int(b.Value)-n, "concentration"))
	if f := j.Rules.Design.StepFactor; f.Set {
		cure += fmt.Sprintf(", each at most %g times the one below", f.Value)
	}
	j.add(Doubt, FewDoses, b.Basis, cure, "%s, fewer than %g", Plural(n, "concentration"), b.Value)
}

// wantsOne reports whether the protocol asks for a single concentration.
func (j *judgement) wantsOne() bool { return j.Protocol != nil && j.Protocol.Series == SeriesSingle }

// stepSlack lets a factor that was rounded in the table pass, as 1 and 2.2 of a
// series by 2.2 do in binary.
const stepSlack = 1 + 1e-9

func (j *judgement) judgeSteps() {
	b := j.Rules.Design.StepFactor
	if !b.Set {
		return
	}
	widest, at := 0.0, 0
	for i := 1; i < len(j.doses); i++ {
		if f := j.doses[i].dose / j.doses[i-1].dose; f > widest {
			widest, at = f, i
		}
	}
	if widest <= b.Value*stepSlack {
		return
	}
	between := int(math.Ceil(math.Log(widest)/math.Log(b.Value*stepSlack))) - 1
	j.add(Doubt, WideSteps, b.Basis, fmt.Sprintf("put %s between %.4g and %.4g%s", Plural(between, "concentration"), j.doses[at-1].dose, j.doses[at].dose, j.unit()),
		"from %.4g to %.4g%s the step is %.3g-fold, wider than %g-fold", j.doses[at-1].dose, j.doses[at].dose, j.unit(), widest, b.Value)
}

func (j *judgement) judgePartials() {
	b, partial := j.Rules.Design.PartialKills, 0
	for _, d := range j.doses {
		if d.partial() {
			partial++
		}
	}
	if !b.Set || float64(partial) >= b.Value {
		return
	}
	j.add(Doubt, FewPartials, b.Basis, j.partialCure(int(b.Value)-partial),
		"%s killed some but not all mites, fewer than %g: the slope rests on little", Plural(partial, "concentration"), b.Value)
}

// partialCure says where doses that kill some must lie.
func (j *judgement) partialCure(lack int) string {
	lowest, highest := j.doses[0], j.doses[len(j.doses)-1]
	switch {
	case highest.dead == 0:
		return fmt.Sprintf("add concentrations above %.4g%s, by factors of 2, until %d of them kill some", highest.dose, j.unit(), lack)
	case lowest.dead == lowest.exposed:
		return fmt.Sprintf("add concentrations below %.4g%s, by factors of 2, until %d of them leave some alive", lowest.dose, j.unit(), lack)
	}
	lower, upper := lowest.dose, highest.dose
	for _, d := range j.doses { // the highest that leaves most alive, the lowest that kills most
		if d.rate() < half {
			lower = d.dose
		}
	}
	for i := len(j.doses) - 1; i >= 0 && j.doses[i].dose > lower; i-- {
		upper = j.doses[i].dose
	}
	return fmt.Sprintf("add %s between %.4g and %.4g%s", Plural(lack, "concentration"), lower, upper, j.unit())
}

// judgeSides says when LC50 is not among the doses.
func (j *judgement) judgeSides() {
	lowest, highest := j.doses[0].dose, j.doses[len(j.doses)-1].dose
	if lc50, ok := j.lc50(); ok {
		switch {
		case lc50 < lowest:
			j.oneSided("above", "below", lowest, "fewer", fmt.Sprintf("LC50, %.4g%s, was extrapolated", lc50, j.unit()))
		case lc50 > highest:
			j.oneSided("below", "above", highest, "more", fmt.Sprintf("LC50, %.4g%s, was extrapolated", lc50, j.unit()))
		}
		return
	}
	above, below := 0, 0
	for _, d := range j.doses {
		switch rate := j.corrected(d); {
		case rate > half:
			above++
		case rate < half:
			below++
		}
	}
	switch len(j.doses) {
	case above:
		j.oneSided("above", "below", lowest, "fewer", "the counts bound it from above only")
	case below:
		j.oneSided("below", "above", highest, "more", "the counts bound it from below only")
	}
}

// oneSided adds the finding: all doses lie on a side of LC50, so go beyond the
// edge on the other until more or fewer than half die.
func (j *judgement) oneSided(side, beyond string, edge float64, more, consequence string) {
	j.add(Doubt, OneSided, Basis{}, fmt.Sprintf("add concentrations %s %.4g%s, by factors of 2, until %s than half die", beyond, edge, j.unit(), more),
		"all %d concentrations lie %s LC50: %s", len(j.doses), side, consequence)
}

// lc50 is the fitted LC50, where there is one.
func (j *judgement) lc50() (float64, bool) {
	if j.analysis == nil || j.analysis.Fit.Status != doseresp.Converged {
		return 0, false
	}
	for _, lc := range j.analysis.Fit.LC {
		if lc.Percent == 50 {
			return lc.Estimate, true
		}
	}
	return 0, false
}
