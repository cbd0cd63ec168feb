package doseresp

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Dispersion gathers from one or more fits what tells how far the containers
// vary beyond binomial. Populations that are compared share one factor: each
// alone has too few containers to estimate its own.
type Dispersion struct {
	X2    float64 // Pearson, by container
	DF    int
	Units int     // containers, controls among them
	Skew  float64 // Σ (1-2P)(r - nP)/(n P (1-P)) over them
}

// leastWeight keeps the factor of Heterogeneity finite where hardly any
// container can show variation: at least a fifth of them always count. It was
// chosen beside the simulation of sim/ratios.md, where it is seldom reached.
const leastWeight = 0.2

// Dispersion returns the dispersion about the line of r, nothing where r has
// none. It is valid only directly after f.Fit(containers, options, r).
func (f *Fitter) Dispersion(r *Result) Dispersion {
	if math.IsNaN(r.Slope) {
		return Dispersion{}
	}
	d := Dispersion{X2: r.PearsonContainer.X2, DF: r.PearsonContainer.DF}
	d.Skew, d.Units = f.model.skew(f.summit.params, r)
	return d
}

// Plus is the dispersion of both together.
func (d Dispersion) Plus(e Dispersion) Dispersion {
	return Dispersion{d.X2 + e.X2, d.DF + e.DF, d.Units + e.Units, d.Skew + e.Skew}
}

// Heterogeneity is the factor with what a rule makes of it,
//
//	H = (X²/df)/(1 + s̄),  s̄ = Skew/Units
//
// (Fletcher 2012, Biometrika 99:230-237, from memory). Where hardly any death,
// or any survivor, is expected a container adds nothing to X² unless the
// unexpected happens; its part of s is then near -1, and so it hardly counts.
// NaN where no degree of freedom is left.
func (d Dispersion) Heterogeneity(rule HeterogeneityRule) Heterogeneity {
	h := judgeHeterogeneity(rule, newPearson(d.X2, d.DF, 0))
	if d.DF < 1 || d.Units < 1 {
		return h
	}
	h.H /= max(1+d.Skew/float64(d.Units), leastWeight)
	switch rule {
	case WhenAboveOne:
		h.Applied = h.H > 1
	case WhenSignificant:
		h.Applied = h.Applied && h.H > 1
	}
	return h
}

// skew sums (1-2P)(r - nP)/(n P (1-P)) over the containers in the likelihood.
func (m *model) skew(p params, r *Result) (sum float64, units int) {
	add := func(n, dead float64, c cell) {
		units++
		if variance := n * c.dead * c.alive; variance > 0 {
			sum += (c.alive - c.dead) * (dead - n*c.dead) / variance
		} else {
			sum--
		}
	}
	if m.control.exposed > 0 {
		for _, k := range m.sorted[:m.controls] {
			add(float64(k.Exposed), float64(k.Dead), cell{dead: p.c, alive: 1 - p.c})
		}
	}
	m.eachCount(r.Natural, func(i int, exposed, dead float64) {
		add(exposed, dead, m.cellAt(p, &m.treated[i]))
	})
	return sum, units
}

// SharedLogDose is LogDose with the factor that several populations share: H
// of shared where r's rule applies it, with Student's t for its degrees of
// freedom, else no factor and the normal quantile. The ratio of two such doses
// that share one dispersion keeps its level best: see sim/ratios.md. It is
// valid only directly after f.Fit(containers, options, r).
func (f *Fitter) SharedLogDose(r *Result, percent float64, shared Dispersion) LogDose {
	h := shared.Heterogeneity(r.Heterogeneity.Rule)
	q := distuv.UnitNormal.Quantile(0.5 + r.Level/2)
	if h.Applied {
		q = StudentQuantile(0.5+r.Level/2, shared.DF)
	}
	d := f.logDose(r, percent, f.profileWithin(r, percent, h.Factor()*q*q))
	d.SE *= math.Sqrt(h.Factor() / r.Heterogeneity.Factor())
	if d.DF = 0; h.Applied {
		d.DF, d.shared = shared.DF, true
	}
	return d
}

// profileWithin is Profile for a fall of twice the log-likelihood that is not
// the fit's own.
func (f *Fitter) profileWithin(r *Result, percent, twiceDrop float64) Limits {
	switch r.Status {
	case Converged, Separated, AllDead, NoneDead:
	default:
		return Limits{0, math.Inf(1), Unbounded, Bracket{}}
	}
	if !(twiceDrop < hopelessH) {
		return Limits{0, math.Inf(1), Unbounded, Bracket{}}
	}
	p := newProfiler(&f.model, f.model.link.Quantile(percent/100), twiceDrop)
	p.begin(r, &f.summit)
	lower, upper := p.limits()
	return f.model.doseLimits(lower, upper, Bounded)
}
