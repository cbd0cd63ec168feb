package doseresp

import "math"

// LC is the dose that kills Percent of those that would not have died anyway.
type LC struct {
	Percent  float64
	Estimate float64 // NaN unless the fit converged
	Log10SE  float64 // delta-method standard error of log10 Estimate, heterogeneity included
	Fiducial Limits
}

// Result is one fitted assay. What does not exist is NaN.
type Result struct {
	Link       Link
	Status     Status
	Bracket    Bracket // the doses that enclose LC50, unless Converged
	Iterations int

	// The data: containers with individuals only.
	Containers, Controls        int // treated and untreated containers
	Doses                       int // different doses above 0
	PartialKills                int // doses at which some died and some lived
	LowestDose, HighestDose     float64
	TreatedExposed, TreatedDead int
	topAllDead                  bool // all died at the highest dose
	ControlExposed, ControlDead int

	// The model.
	Natural          NaturalResult
	Intercept, Slope float64
	InterceptStdErr  float64       // of maximum likelihood, without heterogeneity
	SlopeStdErr      float64       // likewise
	Cov              [2][2]float64 // of intercept and slope, likewise
	Information      Information   // whose inverse Cov is
	Parameters       int           // 3 where C is estimated, even at its boundary

	// Its agreement with the counts.
	LogLik           float64 // with binomial coefficients
	Deviance         float64 // by container
	PearsonContainer Pearson
	PearsonDose      Pearson
	Heterogeneity    Heterogeneity
	SmallestExpected float64 // smallest expected number dead or alive in a container
	SparseX2         float64 // the part of PearsonContainer.X2 from expected numbers below 1

	// The doses sought.
	Level float64
	G     float64 // t² Vbb/b² of the fiducial limits
	LC    []LC
}

// Exposed is the number of individuals, treated and control.
func (r *Result) Exposed() int { return r.TreatedExposed + r.ControlExposed }

// AIC is Akaike's criterion, -2 LogLik + 2 Parameters.
func (r *Result) AIC() float64 { return -2*r.LogLik + 2*float64(r.Parameters) }

// begin resets the result and counts the data.
func (r *Result) begin(d *design, o *Options) {
	nan := math.NaN()
	exposed, dead := d.totals()
	*r = Result{
		Link:             o.Link,
		Bracket:          noBracket,
		Containers:       d.containers,
		Controls:         d.controls,
		Doses:            len(d.treated),
		TreatedExposed:   int(exposed),
		TreatedDead:      int(dead),
		LowestDose:       nan,
		HighestDose:      nan,
		Intercept:        nan,
		Slope:            nan,
		InterceptStdErr:  nan,
		SlopeStdErr:      nan,
		Information:      o.Information,
		Cov:              [2][2]float64{{nan, nan}, {nan, nan}},
		LogLik:           nan,
		Deviance:         nan,
		PearsonContainer: Pearson{X2: nan, P: nan},
		PearsonDose:      Pearson{X2: nan, P: nan},
		Heterogeneity:    Heterogeneity{Rule: o.Heterogeneity, H: nan},
		SmallestExpected: nan,
		SparseX2:         nan,
		Level:            o.Level,
		G:                nan,
		LC:               r.LC[:0],
		ControlDead:      int(d.control.dead),
		ControlExposed:   int(d.control.exposed),
	}
	if n := len(d.treated); n > 0 {
		r.LowestDose, r.HighestDose = d.treated[0].dose, d.treated[n-1].dose
		r.topAllDead = d.treated[n-1].survivors() == 0
	}
	for _, g := range d.treated {
		if g.dead > 0 && g.survivors() > 0 {
			r.PartialKills++
		}
	}
	for _, p := range o.Percents {
		r.LC = append(r.LC, LC{
			Percent: p, Estimate: nan, Log10SE: nan,
			Fiducial: Limits{0, math.Inf(1), Unbounded, Bracket{}},
		})
	}
}

// likelihoodTolerance is the difference below which two maxima of the
// log-likelihood count as one: no experiment tells them apart. Rounding adds
// its share for large counts.
func likelihoodTolerance(loglik float64) float64 { return 1e-6 + 1e-13*math.Abs(loglik) }

// driftsTo says that an ascent without end has come so near to the likelihood
// of a step that the counts cannot tell its line from one.
func (s *summit) driftsTo(limit step) bool {
	return !s.converged && s.b > 0 && (s.runaway || limit.loglik > s.loglik-0.01)
}

// classify sets the status, climbs to the summit, and says whether the line
// there is finite.
func (r *Result) classify(m *model, s *summit) (finite bool, err error) {
	r.Status, r.Bracket = m.triage(r.TreatedDead)
	if r.Status != Converged {
		return false, nil
	}
	rising, falling := m.stepLimit(), m.fallingStepLimit()
	switch {
	case rising.saturated():
		r.Status, r.Bracket = Separated, m.bracket(rising)
		return false, nil
	case falling.saturated():
		r.Status = NegativeSlope
		return false, nil
	}
	*s = m.maximise(rising)
	r.Iterations = s.iterations
	tolerance := likelihoodTolerance(s.loglik)
	highest := max(s.loglik, rising.loglik)
	if !s.converged || s.b <= 0 {
		// A falling line with natural mortality jumps at dose 0, from 1 to C, and
		// may fit one bad container; a finite rising line is preferred to it.
		highest = max(highest, falling.loglik)
	}
	switch {
	case highest <= m.flatLikelihood()+tolerance:
		r.Status = NoSlope
		return false, nil
	case rising.loglik >= highest-tolerance || s.driftsTo(rising):
		r.Status, r.Bracket = Separated, m.bracket(rising)
		return false, nil
	case s.b < 0 && !s.converged, !(s.converged && s.b > 0) && falling.loglik >= highest-tolerance:
		r.Status = NegativeSlope
		return false, nil
	case !s.converged:
		return false, ErrNotConverged
	case math.Abs(s.b) < 1e-7:
		r.Status = NoSlope
	case s.b < 0:
		r.Status = NegativeSlope
	}
	return true, nil
}

// describe fills in the line, its covariance and its fit, and returns the
// covariance in the standardised dose.
func (r *Result) describe(m *model, s *summit) symmetric {
	shift := m.centre / m.scale
	r.Slope = s.b / m.scale
	r.Intercept = s.a - s.b*shift
	r.Parameters = 2
	doses, containers := len(m.treated), m.containers
	if m.freeC {
		r.Parameters = 3
		r.Natural.Estimate = s.c
		r.Natural.Boundary = s.boundary
	}
	if m.control.exposed > 0 {
		doses++
		containers += m.controls
	}
	v := r.covariance(m, s)
	r.Cov[1][1] = v.bb / (m.scale * m.scale)
	r.Cov[0][1] = (v.ab - shift*v.bb) / m.scale
	r.Cov[1][0] = r.Cov[0][1]
	r.Cov[0][0] = v.aa - 2*shift*v.ab + shift*shift*v.bb
	r.InterceptStdErr = math.Sqrt(r.Cov[0][0])
	r.SlopeStdErr = math.Sqrt(r.Cov[1][1])

	abbott := r.Natural.Mode == AbbottCorrection
	q := m.measure(s, abbott, r.Natural.Estimate)
	r.Deviance = q.deviance
	r.LogLik = s.loglik + q.coefficients
	r.SmallestExpected = q.smallest
	r.SparseX2 = q.sparse
	r.PearsonContainer = newPearson(q.byContainer, containers, r.Parameters)
	r.PearsonDose = newPearson(q.byDose, doses, r.Parameters)
	r.Heterogeneity = judgeHeterogeneity(r.Heterogeneity.Rule, r.PearsonContainer)
	return v
}

// covariance inverts the information, C included where it was estimated and
// is not held at 0, and reports the standard error of C.
func (r *Result) covariance(m *model, s *summit) symmetric {
	withC := m.freeC && !s.boundary
	information := &s.observed
	if r.Information == Expected {
		information = &s.expected
	}
	f, ok := cholesky(information, withC)
	if !ok {
		nan := math.NaN()
		return symmetric{aa: nan, ab: nan, bb: nan}
	}
	v := f.inverse()
	if withC {
		r.Natural.StdErr = math.Sqrt(v.cc)
	}
	return v
}

// hopelessH is a heterogeneity beyond which the counts contradict the line so
// flatly that no limit can be computed: the limits are unbounded.
const hopelessH = 1e12

// addLimits computes g and every LCp with its limits, in the standardised
// dose, where Fieller's quadratic is best conditioned.
func (r *Result) addLimits(m *model, s *summit, v symmetric) {
	h := r.Heterogeneity.Factor()
	l := line{s.a, s.b, h * v.aa, h * v.ab, h * v.bb}
	t := r.quantile(r.Level)
	r.G = l.g(t)
	hopeless := !(h < hopelessH)
	if hopeless {
		r.G = math.Inf(1)
	}
	for i := range r.LC {
		lc := &r.LC[i]
		z := m.link.Quantile(lc.Percent / 100)
		theta, se := l.solve(z)
		lc.Estimate = m.dose(theta)
		lc.Log10SE = se * m.scale
		if hopeless {
			lc.Log10SE = math.Inf(1)
		} else {
			lc.Fiducial = m.doseLimits(l.fieller(z, t))
		}
	}
}

// Mortality is the fitted proportion dead at a dose, natural mortality
// included; at dose 0 it is that alone. NaN without a finite line.
func (r *Result) Mortality(dose float64) float64 {
	c := r.Natural.Estimate
	if math.IsNaN(r.Slope) || dose == 0 {
		return c
	}
	return c + (1-c)*r.Link.CDF(r.Intercept+r.Slope*math.Log10(dose))
}
