package doseresp

import "math"

// Tails is a link's distribution at one η, for models that are built on a
// link outside this package.
type Tails struct {
	CDF, Survival float64 // F and 1 - F, each accurate in its own tail
	Density       float64 // F'
	Slope         float64 // F″
}

// Tails returns F, 1 - F and the first two derivatives at η with one
// evaluation. Where F' underflows, F″ is 0 as well.
func (l Link) Tails(eta float64) Tails {
	if l == Probit { // without the hazards
		n := normalBeyond(math.Abs(eta))
		t := Tails{1 - n.tail, n.tail, n.density, -eta * n.density}
		if eta < 0 {
			t.CDF, t.Survival = t.Survival, t.CDF
		}
		return t
	}
	t := l.at(eta)
	density := t.density()
	second := 0.0
	if density > 0 {
		second = t.curvature * density
	}
	return Tails{t.cdf, t.survival, density, second}
}
