package doseresp

import "math"

// mostStarts is the number of single slopes from which a joint ascent starts:
// natural mortality gives the likelihood several maxima.
const mostStarts = 6

// climbFromAll climbs from the mean slope with the natural mortalities of the
// assays' own fits and, unless the likelihood has one maximum only, also with
// those that the controls show, from level lines, and from single slopes.
func (c *LineComparer) climbFromAll() {
	c.start = resized(c.start, &c.whole)
	slope, slopes := c.meanSlope()
	c.tryFrom(slope, false)
	if c.climber.best.converged && c.concave() {
		return
	}
	c.tryFrom(slope, true)
	c.tryFrom(0, true)
	if slopes < 2 {
		return
	}
	for i, s := range c.whole.assays {
		if r := &c.results[s.index]; i < mostStarts && !math.IsNaN(r.Slope) {
			c.tryFrom(r.Slope*c.whole.scale, i%2 == 0)
		}
	}
}

// concave says that the likelihood has one maximum, as it has with C = 0.
func (c *LineComparer) concave() bool {
	for _, s := range c.whole.assays {
		if s.m.freeC || s.m.fixedC > 0 {
			return false
		}
	}
	return true
}

// meanSlope is the mean of the assays' own slopes, weighted by information, in
// the common scale, and how many have one.
func (c *LineComparer) meanSlope() (slope float64, slopes int) {
	var sum, weight float64
	for _, s := range c.whole.assays {
		if r := &c.results[s.index]; r.SlopeStdErr > 0 {
			w := 1 / (r.SlopeStdErr * r.SlopeStdErr)
			sum, weight, slopes = sum+w*r.Slope, weight+w, slopes+1
		}
	}
	if !(weight > 0) {
		return 2 * c.options.Link.Scale(), 0
	}
	return sum / weight * c.whole.scale, slopes
}

// tryFrom climbs from lines of one slope, each through the middle of the
// assays it has to fit. Natural mortality starts from the own fits, or from
// the controls.
func (c *LineComparer) tryFrom(slope float64, controls bool) {
	s, j := &c.start, &c.whole
	s.b = slope
	clear(s.a)
	weight := c.climber.step.a // as scratch
	clear(weight)
	for i := range j.assays {
		m, r := j.assays[i].m, &c.results[j.assays[i].index]
		s.c[i] = m.fixedC
		if m.freeC {
			s.c[i] = (m.control.dead + 0.1) / (m.control.exposed + 1)
			if !controls && !math.IsNaN(r.Slope) {
				s.c[i] = r.Natural.Estimate
			}
		}
		a, w := c.middle(m, r, slope)
		k := j.assays[i].line
		s.a[k] += w * a
		weight[k] += w
	}
	for k := range s.a {
		s.a[k] /= max(weight[k], 1)
	}
	c.climber.try(s)
}

// middle is the intercept of the line of a slope through the assay's own LC50
// where its doses enclose that, else through its mean mortality at its mean
// log dose, and the number of individuals behind it.
func (c *LineComparer) middle(m *model, r *Result, slope float64) (a, exposed float64) {
	exposed, dead := m.totals()
	if exposed == 0 {
		return 0, 0
	}
	eta := c.options.Link.rough((dead + 0.5) / (exposed + 1))
	x := 0.0
	for _, g := range m.treated {
		x += g.exposed * g.x / exposed
	}
	if half := c.options.Link.Quantile(0.5); r.Status == Converged {
		if at := (half - r.Intercept) / r.Slope; m.treated[0].x < at && at < m.treated[len(m.treated)-1].x {
			eta, x = half, at
		}
	}
	return eta - slope*(x-c.whole.centre)/c.whole.scale, exposed
}
