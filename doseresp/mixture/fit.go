package mixture

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"vialwise/doseresp"
)

// joint is one field together with its baseline.
type joint struct {
	*climber
	base    *Baseline
	m       *model
	freeC   []bool
	natural []float64
	top     [3]summit // by form
}

// summit is the highest point of a form.
type summit struct {
	p       []float64
	loglik  float64
	arrived bool
}

// Fit compares a field population with a baseline: NewBaseline and then
// Baseline.Fit.
func Fit(field []doseresp.Container, baseline [][]doseresp.Container, o Options) (*Result, error) {
	b, err := NewBaseline(baseline, o)
	if err != nil {
		return nil, err
	}
	return b.Fit(field)
}

// Fit estimates the resistant fraction of a field population. It fails with a
// *doseresp.CountError, ErrField or ErrAscent. Order of the containers does
// not matter.
func (b *Baseline) Fit(field []doseresp.Container) (*Result, error) {
	r, j, err := b.estimate(field)
	if err != nil {
		return nil, err
	}
	r.Fraction = j.fraction(r)
	r.Posterior = j.posterior(r)
	j.describeDoses(r)
	r.Advice = j.advise(r)
	r.warn(j)
	return r, nil
}

// Estimate is Fit without the posterior, the information by dose, the advice
// and the warnings.
func (b *Baseline) Estimate(field []doseresp.Container) (*Result, error) {
	r, j, err := b.estimate(field)
	if err == nil {
		r.Fraction = j.fraction(r)
	}
	return r, err
}

// Test is Estimate without the limits of q: what a simulation of the tests
// needs by the thousand.
func (b *Baseline) Test(field []doseresp.Container) (*Result, error) {
	r, _, err := b.estimate(field)
	return r, err
}

func (b *Baseline) estimate(field []doseresp.Container) (*Result, *joint, error) {
	// The core checks the counts, and says what there is of them.
	plain, err := doseresp.Fit(field, doseresp.Options{Natural: doseresp.NaturalMortality{Mode: doseresp.None}})
	if err != nil {
		return nil, nil, err
	}
	if plain.TreatedExposed == 0 {
		return nil, nil, ErrField
	}
	j := b.with(field)
	if !j.maximise() {
		return nil, nil, ErrAscent
	}
	r := &Result{
		Link: b.options.Link, Level: b.options.Level, LeastFold: b.options.LeastFold, Tau: b.options.Tau,
		BaselineAssays: b.assays, FieldDoses: plain.Doses, Exposed: plain.TreatedExposed, Dead: plain.TreatedDead,
		FieldControls: plain.ControlExposed, BaselineExposed: b.exposed,
		HighestBaseline: b.highest, HighestField: plain.HighestDose,
		BaselineLC99: b.LC(99), baselineControls: b.full,
		Identified: plain.Doses > 1,
		Null:       j.m.form(j.top[none].p, j.top[none].loglik, b.centre),
		Plateau:    j.m.form(j.top[plateau].p, j.top[plateau].loglik, b.centre),
		Shifted:    j.m.form(j.top[shifted].p, j.top[shifted].loglik, b.centre),
		Fraction:   Interval{math.NaN(), math.NaN(), math.NaN()},
	}
	r.Plateau.LowerBound = true
	r.Heterogeneity, r.DF = j.heterogeneity()
	j.test(r)
	return r, j, nil
}

// LC returns the LCp of the pooled baseline. It panics unless 0 < percent < 100.
func (b *Baseline) LC(percent float64) float64 {
	return math.Pow(10, (b.options.Link.Quantile(percent/100)-b.line.Intercept)/b.line.Slope)
}

// start is the baseline's own line with the natural mortality that each
// assay's controls suggest.
func (j *joint) start() []float64 {
	p := make([]float64, j.m.size())
	p[atB] = j.base.line.Slope
	p[atA] = j.base.line.Intercept + p[atB]*j.base.centre
	p[atS] = math.Inf(1)
	for k := range j.freeC {
		p[atC+k] = j.natural[k]
		if j.freeC[k] {
			dead, alive := j.m.control(k)
			p[atC+k] = min((dead+0.25)/(dead+alive+0.5), 0.5)
		}
	}
	return p
}

// ascend climbs from p in one form and keeps the point if it is the highest.
func (j *joint) ascend(f form, p []float64) {
	j.setForm(f, j.freeC)
	loglik, arrived := j.climb(p)
	if t := &j.top[f]; t.p == nil || loglik > t.loglik+likelihoodTolerance {
		*t = summit{p, loglik, arrived}
	}
}

// likelihoodTolerance is a difference of log-likelihoods that no experiment
// tells from none.
const likelihoodTolerance = 1e-7

// maximise finds the highest point of every form; false if an ascent failed.
func (j *joint) maximise() bool {
	start := j.start()
	j.ascend(none, slices.Clone(start))
	null := j.top[none].p
	for _, from := range [][]float64{start, null} {
		p := slices.Clone(from)
		p[atQ] = max(j.bestFraction(p), 0.01)
		j.ascend(plateau, p)
	}
	for _, from := range [][]float64{start, null, j.top[plateau].p} {
		var best [2]candidate
		j.survey(from, false, best[:])
		for _, k := range best {
			p := slices.Clone(from)
			p[atQ], p[atS] = max(k.q, 0.01), k.s
			j.ascend(shifted, p)
		}
	}
	// The plateau is the end of the shifts, and q = 0 of either.
	j.inherit(plateau, none)
	j.inherit(shifted, none)
	j.inherit(shifted, plateau)
	return j.top[none].arrived && j.top[plateau].arrived && j.top[shifted].arrived
}

// inherit gives a form the point of one that it contains, where that is as
// high to within the tolerance: the simpler one is then the answer.
func (j *joint) inherit(f, simpler form) {
	if j.top[simpler].loglik >= j.top[f].loglik-likelihoodTolerance {
		j.top[f] = j.top[simpler]
	}
}

// heterogeneity is the factor h and the degrees of freedom of tests and limits:
// containers less parameters, the line, q, s and every C, also where they lie
// at a bound.
//
// h is Pearson's X²/df under the shifted form, over all containers or over the
// telling ones, whichever is larger. Containers in which less than one mite is
// expected to die, or to live, hardly ever show what they vary by, and at high
// doses there are many of them: over all containers alone the test's level at
// a correlation of 0.05 was 5.3 to 7.1 %, with the larger of the two 2.8 to
// 5.4 % (six designs, 1000 data sets each), at the price of some 5 % of power.
func (j *joint) heterogeneity() (doseresp.Heterogeneity, int) {
	p := j.top[shifted].p
	var all, telling sums
	for i, k := range j.m.containers {
		g := &j.m.groups[j.m.of[i]]
		P, Q := j.m.mortality(p, g)
		n := float64(k.Exposed)
		x2 := 0.0
		if d := float64(k.Dead)*Q - (n-float64(k.Dead))*P; d != 0 {
			x2 = d * d / (n * P * Q)
		}
		all.add(x2)
		if n*min(P, Q) >= tellingCount {
			telling.add(x2)
		}
	}
	parameters := 4
	for _, free := range j.freeC {
		if free {
			parameters++
		}
	}
	df := max(all.n-parameters, 0)
	h := doseresp.Heterogeneity{Rule: j.base.options.Heterogeneity, H: math.NaN()}
	if df == 0 {
		return h, 0
	}
	h.H = all.x2 / float64(df)
	if n := telling.n - tellingParameters; n > 0 {
		h.H = max(h.H, telling.x2/float64(n))
	}
	h.Applied = h.H > 1 && h.Rule != doseresp.Never
	if h.Rule == doseresp.WhenSignificant {
		h.Applied = h.Applied && distuv.ChiSquared{K: float64(df)}.Survival(all.x2) < significant
	}
	return h, df
}

// sums is Pearson's X² over n containers.
type sums struct {
	x2 float64
	n  int
}

func (s *sums) add(x2 float64) {
	s.x2 += x2
	s.n++
}

// The containers that tell of variation, and the parameters that they settle:
// the line and q.
const (
	tellingCount      = 1.0 // expected dead, and alive
	tellingParameters = 3
)

// mortality is P and Q of a group at p.
func (m *model) mortality(p []float64, g *group) (P, Q float64) {
	c := p[atC+g.assay]
	if g.control {
		return c, 1 - c
	}
	s, r, q := m.at(p, g)
	x := mix(&s, &r, q)
	return c + (1-c)*x.killed, (1 - c) * x.spared
}

// significant is the level of the heterogeneity rule when-significant.
const significant = 0.15

// tail returns P(T > t) of what a root of LR is judged by: Student's t with
// the degrees of freedom of h where the rule can apply it, else the normal.
func (r *Result) tail(t float64) float64 {
	if r.studentised() {
		return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(r.DF)}.CDF(-t)
	}
	return distuv.UnitNormal.CDF(-t)
}

// quantile is where tail is p.
func (r *Result) quantile(p float64) float64 {
	if r.studentised() {
		return -distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(r.DF)}.Quantile(p)
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
