package doseresp

import "math"

// Pearson is a Pearson chi-squared statistic of fit with its degrees of
// freedom and upper tail probability, NaN where no degree of freedom is left.
type Pearson struct {
	X2 float64 // Σ (r - nP)²/(n P (1-P))
	DF int     // units - parameters
	P  float64
}

func newPearson(x2 float64, units, parameters int) Pearson {
	df := max(units-parameters, 0)
	if units-parameters <= 0 {
		x2 = max(x2, 0)
	}
	return Pearson{X2: x2, DF: df, P: chiSquaredSurvival(x2, df)}
}

// pearsonTerm is (r - nP)²/(n P Q), 0 where the model is certain and right.
func pearsonTerm(n, r, P, Q float64) float64 {
	d := r - n*P
	if P > 0.5 { // from the side of the survivors, which is then the exact one
		d = n*Q - (n - r)
	}
	if d == 0 {
		return 0
	}
	return d * d / (n * P * Q)
}

// devianceTerm is 2 [r log(r/nP) + (n-r) log((n-r)/nQ)].
func devianceTerm(n, r, logP, logQ float64) float64 {
	s, logN := n-r, logOf(n)
	sum := 0.0
	if r > 0 {
		sum += r * (logOf(r) - logN - logP)
	}
	if s > 0 {
		sum += s * (logOf(s) - logN - logQ)
	}
	return 2 * sum
}

// goodness is what the fitted line leaves unexplained, added up over the
// containers and over the doses in the likelihood.
type goodness struct {
	byContainer, byDose float64
	deviance            float64
	coefficients        float64 // Σ log (n over r) by container
	smallest            float64 // the smallest expected count, dead or alive
	sparse              float64 // the part of byContainer from expected counts below 1
}

// cell is the mortality that the model predicts at one dose.
type cell struct{ dead, alive, logDead, logAlive float64 }

func (m *model) cellAt(p params, g *group) cell {
	eta := p.a + p.b*g.u
	t := m.link.at(eta)
	if p.c == 0 {
		return cell{t.cdf, t.survival, t.logCDF(m.link, eta), t.logSurvival(m.link, eta)}
	}
	dead := p.c + (1-p.c)*t.cdf
	alive := (1 - p.c) * t.survival
	return cell{dead, alive, logMixed(dead, alive), math.Log1p(-p.c) + t.logSurvival(m.link, eta)}
}

// measure compares the fitted summit with every container. c is the rate by
// which Abbott's correction has changed the dead of the treated, else 0.
func (m *model) measure(s *summit, abbott bool, c float64) goodness {
	q := goodness{smallest: math.Inf(1)}
	if n := m.control.exposed; n > 0 {
		control := cell{s.c, 1 - s.c, math.Log(s.c), math.Log1p(-s.c)}
		q.byDose += pearsonTerm(n, m.control.dead, control.dead, control.alive)
		for _, k := range m.sorted[:m.controls] {
			q.add(float64(k.Exposed), float64(k.Dead), &control)
		}
	}
	rest := m.treatedContainers()
	for i := range m.treated {
		g := &m.treated[i]
		predicted := m.cellAt(s.params, g)
		q.byDose += pearsonTerm(g.exposed, g.dead, predicted.dead, predicted.alive)
		for len(rest) > 0 && rest[0].Dose == g.dose {
			r := float64(rest[0].Dead)
			if abbott {
				r = correctedDead(rest[0], c)
			}
			q.add(float64(rest[0].Exposed), r, &predicted)
			rest = rest[1:]
		}
	}
	q.deviance = max(q.deviance, 0)
	return q
}

func (q *goodness) add(n, r float64, p *cell) {
	x2 := pearsonTerm(n, r, p.dead, p.alive)
	q.byContainer += x2
	q.deviance += devianceTerm(n, r, p.logDead, p.logAlive)
	q.coefficients += logCoefficient(n, r)
	if e := n * min(p.dead, p.alive); e > 0 {
		q.smallest = min(q.smallest, e)
		if e < smallExpectedCell {
			q.sparse += x2
		}
	}
}

// HeterogeneityRule names when the variances of the limits are multiplied by
// the heterogeneity factor h = X²/df of the containers (Finney 1971, section
// 4.5), with Student's t in place of the normal quantile. Variances are never
// made smaller.
type HeterogeneityRule uint8

// The heterogeneity rules.
const (
	WhenAboveOne    HeterogeneityRule = iota // h > 1
	WhenSignificant                          // P(X²) < 0.15
	Never
)

// significantHeterogeneity is the level of WhenSignificant.
const significantHeterogeneity = 0.15

var ruleNames = [...]string{WhenAboveOne: "when-above-one", WhenSignificant: "when-significant", Never: "never"}

// String returns the rule's name as flags and results spell it.
func (r HeterogeneityRule) String() string { return nameOf(ruleNames[:], r) }

// ParseHeterogeneityRule returns the rule of that name.
func ParseHeterogeneityRule(name string) (HeterogeneityRule, error) {
	return parseName[HeterogeneityRule](ruleNames[:], name, "heterogeneity rule")
}

// Heterogeneity is the factor of a fit and what the rule made of it.
type Heterogeneity struct {
	Rule    HeterogeneityRule
	H       float64 // X²/df by container; NaN where df is 0
	Applied bool    // the rule multiplied the variances by H
}

// Factor is what variances are multiplied by: H where applied, else 1.
func (h Heterogeneity) Factor() float64 {
	if h.Applied {
		return h.H
	}
	return 1
}

func judgeHeterogeneity(rule HeterogeneityRule, x Pearson) Heterogeneity {
	h := Heterogeneity{Rule: rule, H: math.NaN()}
	if x.DF < 1 {
		return h
	}
	h.H = x.X2 / float64(x.DF)
	switch rule {
	case WhenAboveOne:
		h.Applied = h.H > 1
	case WhenSignificant:
		h.Applied = x.P < significantHeterogeneity && h.H > 1
	}
	return h
}
