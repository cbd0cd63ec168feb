package mixture

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"vialwise/doseresp"
)

// tail returns P(T > t) of what a root of LR is judged by: Student's t with
// the degrees of freedom of h where the rule can apply it, else the normal.
func (r *Result) tail(t float64) float64 {
	if r.studentised() {
		return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(r.DF)}.CDF(-t)
	}
	return distuv.UnitNormal.CDF(-t)
}

// quantile is where tail is p, at most a half.
func (r *Result) quantile(p float64) float64 {
	if r.studentised() {
		return doseresp.StudentQuantile(1-p, r.DF)
	}
	return -distuv.UnitNormal.Quantile(p)
}

// studentised follows the rule of profile limits: F(1, df) wherever variation
// between containers could have been found, chi-squared else.
func (r *Result) studentised() bool {
	switch r.Heterogeneity.Rule {
	case doseresp.Never:
		return false
	case doseresp.WhenSignificant:
		return r.Heterogeneity.Applied
	}
	return r.DF > 0
}

// test fills in the tests. On the edge of its domain the likelihood ratio of q
// is half a chi-squared with one degree of freedom and half nothing (Self &
// Liang 1987, J. Am. Stat. Assoc. 82:605-610, from memory), so the plateau
// form is cut at 2.706 for 5 %; a free shift, of which nothing is known under
// q = 0, adds to it, and 3.841 is used.
func (j *joint) test(r *Result) {
	h := r.Heterogeneity.Factor()
	ratio := func(f form) float64 { return max(2*(j.top[f].loglik-j.top[none].loglik)/h, 0) }
	half, whole := r.quantile(0.05), r.quantile(0.025)
	lr := ratio(plateau)
	r.Test = Test{LR: lr, Cut: half * half, P: r.tail(math.Sqrt(lr))}
	if lr == 0 {
		r.Test.P = 1
	}
	lr = ratio(shifted)
	r.ShiftedTest = Test{LR: lr, Cut: whole * whole, P: min(2*r.tail(math.Sqrt(lr)), 1)}
}
