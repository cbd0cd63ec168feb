package doseresp

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Profile returns the profile likelihood limits of the LCp at percent, which
// must lie above 0 and below 100 or it panics. It is valid only directly
// after f.Fit(containers, options, r), whose level and heterogeneity rule it
// uses, and it allocates nothing.
//
// With θ the log10 of LCp and ℓp(θ) the highest log-likelihood of all lines
// η = z + b (x - θ) through (θ, z), z = F⁻¹(percent/100), b >= 0, C as the fit
// treats it, the limits enclose
//
//	{ θ : 2 (ℓmax - ℓp(θ)) <= h q }
//
// (Venzon & Moolgavkar 1988, Applied Statistics 37:87-94, cited from memory).
// h and q follow the heterogeneity rule: 1 and the chi-squared quantile with
// one degree of freedom for Never; max(1, X²/df) by container and the
// quantile of F(1, df) for WhenAboveOne; the same for WhenSignificant where
// the heterogeneity is significant, else as Never. Without a degree of
// freedom it is 1 and chi-squared.
//
// A side is unbounded where the lines that grow level towards it stay as
// likely as the cut demands; that is decided from the limit itself. With
// C = 0 the set is an interval, log F and log(1-F) being concave in η; with C
// above 0 it can have a gap, and the limits then enclose all its parts. The
// estimate always lies within.
//
// Limits exist for Converged and also for Separated, AllDead and NoneDead,
// where the line of greatest likelihood is a step and a limit can be one of
// the tested doses exactly. For the other statuses they are Unbounded.
func (f *Fitter) Profile(r *Result, percent float64) Limits {
	z := f.model.link.Quantile(percent / 100)
	unbounded := Limits{0, math.Inf(1), Unbounded, Bracket{}}
	switch r.Status {
	case Converged, Separated, AllDead, NoneDead:
	default:
		return unbounded
	}
	h, cut := f.profileCut(r)
	if !(h < hopelessH) {
		return unbounded
	}
	p := newProfiler(&f.model, z, h*cut)
	p.begin(r, &f.summit)
	lower, upper := p.limits()
	return f.model.doseLimits(lower, upper, Bounded)
}

// profileCut returns the heterogeneity factor and the quantile by which a
// fall of twice the log-likelihood is judged.
func (f *Fitter) profileCut(r *Result) (h, q float64) {
	z := distuv.UnitNormal.Quantile(0.5 + r.Level/2)
	rule := r.Heterogeneity.Rule
	if rule == Never {
		return 1, z * z
	}
	x := r.PearsonContainer
	if r.Status != Converged {
		x = f.model.stepPearson(r)
	}
	if x.DF < 1 || rule == WhenSignificant && !judgeHeterogeneity(rule, x).Applied {
		return 1, z * z
	}
	t := StudentQuantile(0.5+r.Level/2, x.DF)
	return max(1, x.X2/float64(x.DF)), t * t
}

// stepPearson is the Pearson statistic by container around the step that
// takes the place of a line in data without a finite maximum.
func (m *model) stepPearson(r *Result) Pearson {
	s := step{top: -1, c: m.fixedC}
	switch {
	case r.Status != AllDead:
		s = m.stepLimit()
	case m.freeC:
		s.c = m.control.rate()
	}
	x2, units, parameters := 0.0, m.containers, 2
	if m.freeC {
		parameters = 3
	}
	if m.control.exposed > 0 {
		units += m.controls
		for _, k := range m.sorted[:m.controls] {
			x2 += pearsonTerm(float64(k.Exposed), float64(k.Dead), s.c, 1-s.c)
		}
	}
	m.eachCount(r.Natural, func(i int, exposed, dead float64) {
		P := s.rate(i, &m.treated[i])
		x2 += pearsonTerm(exposed, dead, P, 1-P)
	})
	return newPearson(x2, units, parameters)
}

// rate is the mortality of group i under the step.
func (s step) rate(i int, g *group) float64 {
	switch {
	case i < s.top:
		return s.c
	case i == s.top:
		return max(g.rate(), s.c)
	}
	return 1
}
