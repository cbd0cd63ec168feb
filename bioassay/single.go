package bioassay

import (
	"fmt"
	"math"

	"vialwise/doseresp"
)

// Single is what one concentration tells. It holds no LC50.
type Single struct {
	Dose      float64
	Unit      string
	Exposed   int // mites at risk at that concentration
	Dead      int // of these, moribund ones among them as the rule says
	Survivors int
	Level     float64 // of all limits

	Mortality Proportion // exact limits (Clopper & Pearson 1934)
	Survival  Proportion // the same seen from the survivors

	ControlExposed, ControlDead int
	HasCorrected                bool       // false without a surviving control
	Corrected                   Proportion // of the mites that would not have died anyway, see [CorrectedMortality]

	Class     *SingleClass // nil where no class can be given
	NoClass   string       // why not
	Statement string       // what the survivors are compatible with, in words
}

// Proportion is an estimate between 0 and 1 with its limits.
type Proportion struct{ Estimate, Lower, Upper float64 }

// SingleClass is the class of a mortality under a named rule set. The classes
// of the limits say how sure it is.
type SingleClass struct {
	Basis
	At              string // the concentration that the classes were made for, in words
	Class           string // of the estimate
	Lowest, Highest string // of the lower and the upper limit of mortality
	Corrected       bool   // the mortality corrected for the controls was classed
	MitesForBest    int    // without a survivor, they would place the exact lower limit in the best class
}

// Certain reports whether both limits fall into the class of the estimate.
func (c SingleClass) Certain() bool { return c.Lowest == c.Class && c.Highest == c.Class }

// NewSingle reads an assay whose treated mites all met one concentration, with
// limits at a level such as 0.95. It reports false for any other assay, and for
// one with impossible counts.
func NewSingle(a Assay, moribund Moribund, rules RuleSet, level float64) (*Single, bool) {
	for _, c := range a.Containers {
		if c.impossible() != "" {
			return nil, false
		}
	}
	control, doses := sumByDose(a.Counts(moribund))
	if len(doses) != 1 {
		return nil, false
	}
	d := doses[0]
	s := &Single{
		Dose: d.dose, Unit: a.Unit, Exposed: d.exposed, Dead: d.dead, Survivors: d.exposed - d.dead, Level: level,
		Mortality:      exact(d.dead, d.exposed, level),
		Survival:       exact(d.exposed-d.dead, d.exposed, level),
		ControlExposed: control.exposed, ControlDead: control.dead,
	}
	if control.exposed > control.dead {
		s.HasCorrected = true
		s.Corrected = CorrectedMortality(d.dead, d.exposed, control.dead, control.exposed, level)
	}
	s.Statement = fmt.Sprintf("%d of %s is compatible with %s survivors (exact %g %% limits)",
		s.Survivors, Plural(s.Exposed, "survivor"), s.Survival.percentages(), 100*level)
	s.classify(rules)
	return s, true
}

// percentages says the limits as "up to 11.6 %" or "2 to 31 %".
func (p Proportion) percentages() string {
	switch {
	case p.Lower == 0:
		return fmt.Sprintf("up to %.3g %%", 100*p.Upper)
	case p.Upper == 1:
		return fmt.Sprintf("%.3g %% or more", 100*p.Lower)
	}
	return fmt.Sprintf("%.3g to %.3g %%", 100*p.Lower, 100*p.Upper)
}

func exact(r, n int, level float64) Proportion {
	lower, upper := doseresp.ClopperPearson(r, n, level)
	return Proportion{float64(r) / float64(n), lower, upper}
}

// classify gives the class by the rule set. The control mortality decides which
// mortality is classed: as counted up to the limit of correction, corrected
// from there on, none where the controls failed.
func (s *Single) classify(rules RuleSet) {
	m := rules.Classes
	switch {
	case m == nil:
		s.NoClass = "no rule set with classes of mortality applies"
		return
	case rules.Controls != nil && s.ControlExposed > 0 && rules.Controls.Band(s.controlPercent()) == ControlsDiscard:
		s.NoClass = fmt.Sprintf("%d of %d untreated mites died, above the limit of %g %%", s.ControlDead, s.ControlExposed, rules.Controls.DiscardAbove)
		return
	case s.ControlExposed > 0 && !s.HasCorrected:
		s.NoClass = "every untreated mite died"
		return
	}
	p := s.Mortality
	corrected := s.HasCorrected && s.ControlDead > 0 &&
		(rules.Controls == nil || rules.Controls.Band(s.controlPercent()) == ControlsCorrect)
	if corrected {
		p = s.Corrected
	}
	of := func(mortality float64) string { return m.Bands.Of(100 * mortality).Name }
	s.Class = &SingleClass{
		Basis: m.Basis, At: m.At, Class: of(p.Estimate), Lowest: of(p.Lower), Highest: of(p.Upper),
		Corrected: corrected, MitesForBest: mitesForBest(m.Bands[0].From/100, s.Level),
	}
}

func (s *Single) controlPercent() float64 {
	return 100 * float64(s.ControlDead) / float64(s.ControlExposed)
}

// mitesForBest is the number of mites of which, if none survives, the exact
// lower limit of the mortality reaches a bound: ((1-level)/2)^(1/n) >= bound.
func mitesForBest(bound, level float64) int {
	if !(bound > 0 && bound < 1) {
		return 0
	}
	return int(math.Ceil(math.Log((1-level)/2) / math.Log(bound)))
}

// CorrectedMortality returns the mortality that the treatment caused,
// (P - C)/(1 - C) (Abbott 1925, J. Econ. Entomol. 18:265-267), with limits that
// carry the uncertainty of the controls. One minus it is the ratio of two
// proportions of survivors, treated over untreated. The limits of that ratio
// are recovered from the exact limits of either proportion by MOVER-R (Donner
// & Zou 2012, Statistical Methods in Medical Research 21:347-359, from memory):
//
//	lower = l(2a - l) / (ab + sqrt((ab)² - l u' (2a - l)(2b - u')))
//	upper = (ab + sqrt((ab)² - u l' (2a - u)(2b - l'))) / (l'(2b - l'))
//
// with a in [l, u] the survival of the treated and b in [l', u'] that of the
// controls; the lower limit is written so that it also stands where 2b < u'.
// They become the exact limits as the controls grow in number, and
// with controls that all live they are never narrower. A
// mortality below 0 is 0, for a treatment that protects is outside the model.
// It panics unless 0 <= dead <= exposed on both sides, both exposed, some
// control lives, and 0 < level < 1.
func CorrectedMortality(dead, exposed, controlDead, controlExposed int, level float64) Proportion {
	if controlDead >= controlExposed {
		panic("bioassay: a correction needs living controls")
	}
	t := exact(exposed-dead, exposed, level)
	c := exact(controlExposed-controlDead, controlExposed, level)
	a, b := t.Estimate, c.Estimate
	root := func(x, y float64) float64 { // zero where rounding makes it negative
		return math.Sqrt(max(0, a*a*b*b-x*y*(2*a-x)*(2*b-y)))
	}
	lower := 0.0
	if a > 0 {
		lower = t.Lower * (2*a - t.Lower) / (a*b + root(t.Lower, c.Upper))
	}
	upper := (a*b + root(t.Upper, c.Lower)) / (c.Lower * (2*b - c.Lower))
	mortality := func(ratio float64) float64 { return min(1, max(0, 1-ratio)) }
	return Proportion{mortality(a / b), mortality(upper), mortality(lower)}
}
