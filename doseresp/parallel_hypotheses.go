package doseresp

import "math"

// whyNot gives the reason for which nothing can be tested.
func (c *LineComparer) whyNot() NoTest {
	if len(c.populations) < 2 {
		return OnePopulation
	}
	for i := range c.populations {
		if math.IsNaN(c.populations[i].line.LogLik) {
			return NoRisingLine
		}
	}
	return Tested
}

// testEquality fits one line to all assays.
func (c *LineComparer) testEquality(t *LineTests) {
	if reason := c.whyNot(); reason != Tested {
		t.Equality = untested(reason)
		return
	}
	c.join(func(*population) int { return 0 })
	c.climbFromAll()
	rise := -c.climber.best.loglik
	bound := false
	for i := range c.populations {
		p := &c.populations[i]
		rise += p.line.LogLik
		bound = bound || !p.finite
	}
	t.Equality = t.newLineTest(rise, 2*(len(c.populations)-1))
	t.Equality.AtBound = bound
}

// testParallelism fits lines of one slope to all populations that tell of a
// slope, and describes them.
func (c *LineComparer) testParallelism(t *LineTests) {
	t.Parallel.begin(c, t.Heterogeneity, t.Pooled.DF)
	reason := c.whyNot()
	tell, finite := 0, 0
	for i := range c.populations {
		p := &c.populations[i]
		if !p.flat && !math.IsNaN(p.line.LogLik) {
			tell++
		}
		if p.finite {
			finite++
		}
	}
	if reason == Tested && (tell < 2 || finite < 1) {
		reason = NoFiniteSlope
	}
	if reason != Tested {
		t.Parallelism = untested(reason)
		return
	}
	line := 0
	rise := 0.0
	c.join(func(p *population) int {
		if p.flat {
			return -1
		}
		rise += p.line.LogLik
		line++
		return line - 1
	})
	c.climbFromAll()
	s := &c.climber.best
	t.Parallelism = t.newLineTest(rise-s.loglik, tell-1)
	t.Parallelism.AtBound = finite < tell
	if s.converged && s.b > 0 {
		t.Parallel.describe(c)
	}
}

// join puts all assays on the lines of their populations and prepares the
// climber; populations with a negative line are left out.
func (c *LineComparer) join(lineOf func(p *population) int) {
	j := &c.whole
	j.assays, j.lines, j.level = j.assays[:0], 0, false
	for k := range c.populations {
		p := &c.populations[k]
		line := lineOf(p)
		for i := p.from; i < p.to && line >= 0; i++ {
			j.add(&c.fitters[i].model, i, line)
		}
	}
	c.climber.begin(j)
}
