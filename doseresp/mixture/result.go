package mixture

import (
	"math"

	"vialwise/doseresp"
)

// Form is one form of the model, fitted.
type Form struct {
	Intercept, Slope float64   // of the susceptible line, a + b log10 dose
	Fraction         float64   // q
	Fold             float64   // the shift as a ratio of doses, 10^s; +Inf is the plateau, NaN with q = 0
	Delta            float64   // δ in log10 dose, 0 without Options.Tau
	Natural          []float64 // C of the baseline's assays in their order, then of the field
	LogLik           float64   // with binomial coefficients, less the penalty for δ
	LowerBound       bool      // Fraction is biased low: it assumes that no dose kills the resistant part
}

// Test is a likelihood ratio test of q = 0.
type Test struct {
	LR  float64 // 2 (log-likelihood - that with q = 0), divided by the heterogeneity factor
	Cut float64 // at 5 %: what LR must exceed
	P   float64
}

// Rejects says that the test speaks against q = 0 at 5 %.
func (t Test) Rejects() bool { return t.LR > t.Cut }

// Interval is an estimate with its limits.
type Interval struct{ Estimate, Lower, Upper float64 }

// Result is one population against a baseline. What does not exist is NaN.
type Result struct {
	Link      doseresp.Link
	Level     float64
	LeastFold float64
	Tau       float64

	BaselineAssays   int
	FieldDoses       int // different doses above 0
	Exposed, Dead    int // treated field mites
	FieldControls    int // untreated field mites
	BaselineExposed  int // treated baseline mites
	HighestBaseline  float64
	HighestField     float64
	BaselineLC99     float64
	baselineControls bool // every assay of the baseline has some

	// Identified says that the field has two doses or more: one dose tells
	// the share that survives there, never q.
	Identified bool

	Null, Plateau, Shifted Form

	// Heterogeneity holds h, X²/df over the containers of baseline and field
	// under the shifted form or over those of them that can show variation,
	// whichever is larger; DF is containers less parameters.
	Heterogeneity doseresp.Heterogeneity
	DF            int

	// Fraction is q of the shifted form with its profile limits, NaN unless
	// Identified.
	Fraction Interval

	// Test is of the plateau form against q = 0, one-sided; ShiftedTest lets
	// the shift free and is cut at the quantile of a chi-squared with one
	// degree of freedom.
	Test, ShiftedTest Test

	Posterior *Posterior
	Doses     []Dose // of the field, rising
	Advice    *Advice
	warnings  []doseresp.Warning
}

// Unbounded says that the shifted form found no finite shift: the resistant
// part survives every tested dose.
func (r *Result) Unbounded() bool { return math.IsInf(r.Shifted.Fold, 1) }

// form turns a point into a Form.
func (m *model) form(p []float64, loglik, centre float64) Form {
	f := Form{
		Intercept: p[atA] - p[atB]*centre,
		Slope:     p[atB],
		Fraction:  p[atQ],
		Fold:      math.Pow(10, p[atS]),
		Delta:     p[atD],
		LogLik:    loglik + m.coefficient,
		Natural:   append([]float64(nil), p[atC:]...),
	}
	if f.Fraction == 0 {
		f.Fold = math.NaN()
	}
	return f
}
