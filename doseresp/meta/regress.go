package meta

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Interval is a confidence set. Its ends are infinite where there is none.
type Interval struct{ Lower, Upper float64 }

// nowhere is the set that excludes nothing.
var nowhere = Interval{math.Inf(-1), math.Inf(1)}

func around(middle, half float64) Interval { return Interval{middle - half, middle + half} }

// Between is what a model says of the variation between units.
type Between struct {
	Method     Method
	Tau2       float64  // variance between units; NaN where it cannot be estimated
	Tau2Limits Interval // by the Q-profile, also where Tau2 was given; 0 and +Inf where there are none
	Q          float64  // Cochran's, Σ r²/v at τ² = 0
	DF         int      // of Q, k - p
	P          float64  // P(chi-squared > Q); NaN without a degree of freedom
	I2         float64  // max(0, (Q - DF)/Q), the share of the variation that is not chance (Higgins & Thompson 2002, Statistics in Medicine 21:1539-1558); NaN likewise
	TauP       float64  // P(chi-squared > Q at Tau2), small where Tau2 is too small for the units; NaN likewise
}

// SD is the standard deviation between units, √τ².
func (b *Between) SD() float64 { return math.Sqrt(b.Tau2) }

// SDLimits are the limits of SD.
func (b *Between) SDLimits() Interval {
	return Interval{math.Sqrt(b.Tau2Limits.Lower), math.Sqrt(b.Tau2Limits.Upper)}
}

// Coefficient is one element of β.
type Coefficient struct {
	Estimate float64
	StdErr   float64 // variance factor included; NaN without a degree of freedom
	Limits   Interval
	P        float64 // of the two-sided test against 0; NaN where there are no limits
}

// Regression is a fitted model with random effects.
type Regression struct {
	Between
	Units        int
	Level        float64
	Coefficients []Coefficient // the intercept first
	Cov          [][]float64   // of β, Factor included
	DF           float64       // of the limits: k - p, +Inf where τ² is given
	// Factor is what (XᵀWX)⁻¹ is multiplied by for Cov: max(1, Q(τ²)/(k - p)), or
	// 1 where τ² is given. With Paule & Mandel's τ² it is 1 always.
	Factor   float64
	Fitted   []float64 // x_iᵀβ
	Shrunk   []Shrunk
	Warnings []Warning

	data *units
	at   *weighted
}

// Shrunk is the estimate of one unit, drawn towards what all have in common by
// as much as chance has its part in it (Henderson 1975, Biometrics 31:423-447):
//
//	λy + (1-λ)x'β,   λ = τ²/(τ² + v)
//
// Its standard error is √(λv + (1-λ)² x'Cov x), of the unit's true value; the
// uncertainty of τ² is not in it.
type Shrunk struct {
	Estimate, StdErr float64
	Weight           float64 // λ, 1 for a unit that keeps its own estimate
}

// Regress fits y on an intercept and the covariates of the rows of x, which may
// have none. v are the variances of y. It fails with an *InputError, ErrNoUnits,
// ErrOptions, and with ErrDesign where there are more coefficients than units or
// one covariate is a combination of others. It panics where y, v and x differ in
// length or a row of x is not as long as the first.
//
// With as many units as coefficients only Given has limits.
func Regress(y, v []float64, x [][]float64, o Options) (*Regression, error) {
	if err := o.complete(); err != nil {
		return nil, err
	}
	if err := checkUnits(y, v); err != nil {
		return nil, err
	}
	u, err := newUnits(y, v, x)
	if err != nil {
		return nil, err
	}
	r := &Regression{Units: u.k(), Level: o.Level, data: u}
	r.Between = u.between(o)
	r.at = u.fit(0)
	if r.Tau2 > 0 {
		r.at = u.fit(r.Tau2)
	}
	r.estimate(o)
	r.shrink()
	r.Warnings = r.warnings()
	return r, nil
}

func newUnits(y, v []float64, x [][]float64) (*units, error) {
	if len(x) != len(y) {
		panic(fmt.Sprintf("meta: %d estimates and %d rows of covariates", len(y), len(x)))
	}
	u := &units{y: y, v: v, x: make([][]float64, len(y))}
	for i, row := range x {
		if len(row) != len(x[0]) {
			panic(fmt.Sprintf("meta: %d covariates in row %d and %d in the first", len(row), i, len(x[0])))
		}
		for j, c := range row {
			if math.IsNaN(c) || math.IsInf(c, 0) {
				return nil, fmt.Errorf("%w: covariate %d of unit %d is %g; leave the unit out", ErrDesign, j+1, i+1, c)
			}
		}
		u.x[i] = append([]float64{1}, row...)
	}
	if u.k() < u.p() {
		return nil, fmt.Errorf("%w: %d units for %d coefficients; use fewer covariates", ErrDesign, u.k(), u.p())
	}
	if u.fit(0).singular {
		return nil, fmt.Errorf("%w: a covariate is constant or a combination of others; leave it out", ErrDesign)
	}
	return u, nil
}

// between estimates τ² and tests it.
func (u *units) between(o Options) Between {
	nan := math.NaN()
	b := Between{Method: o.Method, Tau2: nan, Tau2Limits: Interval{0, math.Inf(1)}, Q: u.fit(0).q, DF: u.k() - u.p(), P: nan, I2: nan, TauP: nan}
	if o.Method == Given {
		b.Tau2 = o.Tau2
	}
	if b.DF == 0 {
		b.Q = 0 // but for rounding
		return b
	}
	switch o.Method {
	case PauleMandel:
		b.Tau2 = u.pauleMandel()
	case REML:
		b.Tau2 = u.reml()
	}
	chi := distuv.ChiSquared{K: float64(b.DF)}
	b.P = chi.Survival(b.Q)
	b.I2 = 0
	if b.Q > float64(b.DF) {
		b.I2 = (b.Q - float64(b.DF)) / b.Q
	}
	b.TauP = chi.Survival(u.fit(b.Tau2).q)
	b.Tau2Limits = u.profileQ(o.Level)
	return b
}

// estimate fills in β with its limits.
func (r *Regression) estimate(o Options) {
	r.DF, r.Factor = float64(r.Between.DF), 1
	switch {
	case o.Method == Given:
		r.DF = math.Inf(1)
	case r.DF == 0:
		r.Factor = math.NaN()
	default:
		r.Factor = max(1, r.at.q/r.DF)
	}
	r.Cov = make([][]float64, len(r.at.cov))
	for j, row := range r.at.cov {
		r.Cov[j] = make([]float64, len(row))
		for l := range row {
			r.Cov[j][l] = r.Factor * row[l]
		}
		r.Coefficients = append(r.Coefficients, r.coefficient(r.at.beta[j], math.Sqrt(r.Cov[j][j])))
	}
}

func (r *Regression) coefficient(estimate, se float64) Coefficient {
	c := Coefficient{estimate, se, nowhere, math.NaN()}
	if r.DF > 0 {
		c.Limits = around(estimate, Quantile(0.5+r.Level/2, r.DF)*se)
		c.P = twoSided(estimate/se, r.DF)
	}
	return c
}

// At returns x'β with its limits, for a row of covariates without the 1 of the
// intercept. It panics unless the row has as many as those of the fit.
func (r *Regression) At(row ...float64) Coefficient {
	x := append([]float64{1}, row...)
	if len(x) != len(r.at.beta) {
		panic(fmt.Sprintf("meta: %d covariates for a model of %d", len(row), len(r.at.beta)-1))
	}
	return r.coefficient(dot(x, r.at.beta), math.Sqrt(quadratic(r.Cov, x)))
}

// shrink draws every unit towards the line. Where τ² is not known nothing is
// drawn.
func (r *Regression) shrink() {
	for i, x := range r.data.x {
		y, v := r.data.y[i], r.data.v[i]
		fitted := dot(x, r.at.beta)
		r.Fitted = append(r.Fitted, fitted)
		s := Shrunk{y, math.Sqrt(v), 1}
		if !math.IsNaN(r.Tau2) {
			λ := r.Tau2 / (r.Tau2 + v)
			s = Shrunk{λ*y + (1-λ)*fitted, math.Sqrt(λ*v + (1-λ)*(1-λ)*quadratic(r.Cov, x)), λ}
		}
		r.Shrunk = append(r.Shrunk, s)
	}
}
