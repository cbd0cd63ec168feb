package doseresp

import "math"

// ownLine finds the line of one population by itself.
func (c *LineComparer) ownLine(p *population) {
	nan := math.NaN()
	p.line = PopulationLine{Status: TooFewDoses, Intercept: nan, Slope: nan, LogLik: nan, Pearson: Pearson{X2: nan, P: nan}}
	if p.to == p.from+1 && !p.unfitted {
		c.singleAssay(p)
		return
	}
	if c.triage(p) {
		c.severalAssays(p)
	}
}

// singleAssay takes over the fit of the only assay.
func (c *LineComparer) singleAssay(p *population) {
	f, r := &c.fitters[p.from], &c.results[p.from]
	m := &f.model
	p.line.Status = r.Status
	switch r.Status {
	case Separated:
		p.line.LogLik = m.stepLimit().loglik
		if r.Iterations > 0 {
			p.line.LogLik = max(p.line.LogLik, f.summit.loglik)
		}
		return
	case AllDead, NoneDead:
		p.flat = true
		p.line.LogLik = m.constantLikelihood(r.Status)
		return
	}
	if math.IsNaN(r.Slope) {
		return // a falling step, or mortality that does not follow dose
	}
	p.finite = true
	p.line.LogLik = f.summit.loglik
	p.line.Intercept, p.line.Slope = r.Intercept, r.Slope
	p.line.Pearson = r.PearsonContainer
	p.dispersion = f.Dispersion(r)
}

// constantLikelihood is the bound of the likelihood where all treated died or
// none did.
func (m *model) constantLikelihood(s Status) float64 {
	if s == NoneDead {
		return m.flatLikelihood()
	}
	rate := m.fixedC
	if m.freeC && m.control.exposed > 0 {
		rate = m.control.rate()
	}
	return binomialTerm(m.control, rate, 1-rate)
}

// triage names the patterns of a population of several assays that can be told
// from the counts, and says whether a line is to be sought.
func (c *LineComparer) triage(p *population) bool {
	var exposed, dead, loglikAll, loglikNone float64
	lowest, highest := math.Inf(1), math.Inf(-1)
	for i := p.from; i < p.to; i++ {
		m := &c.fitters[i].model
		n, r := m.totals()
		exposed, dead = exposed+n, dead+r
		loglikAll += m.constantLikelihood(AllDead)
		loglikNone += m.constantLikelihood(NoneDead)
		for _, g := range m.treated {
			lowest, highest = min(lowest, g.dose), max(highest, g.dose)
		}
	}
	switch {
	case !(lowest < highest):
		return false
	case dead == exposed:
		p.line.Status, p.line.LogLik, p.flat = AllDead, loglikAll, true
		return false
	case dead == 0:
		p.line.Status, p.line.LogLik, p.flat = NoneDead, loglikNone, true
		return false
	}
	return true
}

// leastCurvature is the ratio of the slope to its standard error below which a
// steep line is a step: the likelihood hardly curves there any more.
const (
	leastCurvature = 0.1
	steepLine      = 3.0 // link units per standard deviation of log dose
)

// severalAssays fits one line to several assays.
func (c *LineComparer) severalAssays(p *population) {
	j := &c.whole
	c.join(func(q *population) int {
		if q == p {
			return 0
		}
		return -1
	})
	c.climbFromAll()
	s := &c.climber.best
	p.line.LogLik = s.loglik
	slopeSE := c.climber.slopeSE()
	switch {
	case s.b > steepLine && !(s.b > leastCurvature*slopeSE):
		p.line.Status = Separated
		return
	case !s.converged:
		p.line.Status, p.line.LogLik = NoSlope, math.NaN()
		return
	case math.Abs(s.b) < 1e-7:
		p.line.Status = NoSlope
	case s.b < 0:
		p.line.Status = NegativeSlope
	default:
		p.line.Status = Converged
	}
	p.finite = true
	p.line.Slope = s.b / j.scale
	p.line.Intercept = s.a[0] - p.line.Slope*j.centre
	p.line.Pearson, _ = c.goodness(&s.jointPoint, 2)
	p.dispersion = c.dispersion(&s.jointPoint, p.line.Pearson)
}

// slopeSE is the standard error of the common slope at the best summit, from
// the observed information; +Inf where that is not positive definite.
func (c *jointClimber) slopeSE() float64 {
	if !c.invert() {
		return math.Inf(1)
	}
	return 1 / math.Sqrt(c.arrow.slope)
}

// invert eliminates the observed information at the best summit.
func (c *jointClimber) invert() bool {
	s := &c.best
	for i := range c.assays {
		c.arrow.natural[i].free = c.assays[i].m.freeC && s.c[i] > 0
	}
	return c.eliminate(&s.jointPoint, &s.jointDerivatives, &c.arrow, true)
}

// goodness sums X² and the deviance by container over the assays of the
// climber's likelihood. parameters counts those of the lines, to which
// estimated natural mortalities are added.
func (c *LineComparer) goodness(p *jointPoint, parameters int) (x Pearson, deviance float64) {
	units, x2 := 0, 0.0
	for i := range c.climber.assays {
		m := c.climber.assays[i].m
		r := &c.results[c.climber.assays[i].index]
		s := summit{params: c.climber.own(i, p)}
		q := m.measure(&s, r.Natural.Mode == AbbottCorrection, r.Natural.Estimate)
		x2 += q.byContainer
		deviance += q.deviance
		units += m.containers
		if m.control.exposed > 0 {
			units += m.controls
		}
		if m.freeC {
			parameters++
		}
	}
	return newPearson(x2, units, parameters), deviance
}

// dispersion is that about the lines of the climber's likelihood.
func (c *LineComparer) dispersion(p *jointPoint, x Pearson) Dispersion {
	d := Dispersion{X2: x.X2, DF: x.DF}
	for i, s := range c.climber.assays {
		skew, units := s.m.skew(c.climber.own(i, p), &c.results[s.index])
		d.Skew, d.Units = d.Skew+skew, d.Units+units
	}
	return d
}
