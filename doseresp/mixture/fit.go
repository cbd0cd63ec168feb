package mixture

import (
	"math"
	"slices"

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
	plain, err := doseresp.Fit(field, doseresp.Options{Natural: doseresp.NaturalMortality{Mode: doseresp.None}, Percents: []float64{}})
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

// start is where ascents of the baseline start, with the natural mortality that
// the controls of the field suggest.
func (j *joint) start() []float64 {
	p := make([]float64, j.m.size())
	copy(p, j.base.own)
	k := j.m.assays - 1
	p[atC+k] = j.suggested(k)
	return p
}

// suggested is the natural mortality that the controls of an assay suggest.
func (j *joint) suggested(k int) float64 {
	if !j.freeC[k] {
		return j.natural[k]
	}
	dead, alive := j.m.control(k)
	return min((dead+0.25)/(dead+alive+0.5), 0.5)
}

// ascend climbs from p in one form and keeps the point if it is the highest.
func (j *joint) ascend(f form, p []float64) {
	j.setForm(f, j.freeC)
	t := &j.top[f]
	loglik, arrived := j.climb(p, *t)
	if t.p == nil || loglik > t.loglik+likelihoodTolerance {
		*t = summit{p, loglik, arrived}
	}
}

// likelihoodTolerance is a difference of log-likelihoods that no experiment
// tells from none.
const likelihoodTolerance = 1e-7

// maximise finds the highest point of every form; false if an ascent failed.
func (j *joint) maximise() bool {
	start := j.start()
	flat := slices.Clone(start)
	for math.IsInf(j.m.loglik(flat), -1) && flat[atB] > 2*leastSlope {
		flat[atB] /= 2 // survivors so far above the line that their probability underflows
	}
	j.ascend(none, flat)
	null := j.top[none].p
	for _, from := range [][]float64{start, null} {
		p := slices.Clone(from)
		j.divide(p)
		p[atQ] = max(j.bestFraction(p), 0.01)
		j.ascend(plateau, p)
	}
	starts := [][]float64{start, null}
	if j.top[plateau].p[atQ] > 0 {
		starts = append(starts, j.top[plateau].p)
	}
	for _, from := range starts {
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
