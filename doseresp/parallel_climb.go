package doseresp

import "math"

// jointSummit is where an ascent of a joint likelihood ended.
type jointSummit struct {
	jointPoint
	jointDerivatives
	converged bool // at a maximum, and not on the way to one at infinity
}

// jointClimber is the memory of ascents.
type jointClimber struct {
	*joint
	best, here, trial jointSummit
	step              jointPoint
	arrow             arrow
}

// begin prepares for the assays of j.
func (c *jointClimber) begin(j *joint) {
	c.joint = j
	for _, s := range []*jointSummit{&c.best, &c.here, &c.trial} {
		s.jointPoint = resized(s.jointPoint, j)
		s.share = sized(s.share, len(j.assays))
	}
	c.step = resized(c.step, j)
	c.arrow.natural = sized(c.arrow.natural, len(j.assays))
	c.arrow.line = sized(c.arrow.line, j.lines)
	c.best.loglik = math.Inf(-1)
}

// sized is a slice of n elements, in the memory of s where that suffices.
func sized[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n)
	}
	return s[:n]
}

func resized(p jointPoint, j *joint) jointPoint {
	return jointPoint{a: sized(p.a, j.lines), c: sized(p.c, len(j.assays))}
}

// try climbs from start and keeps where it ended if that is the highest yet.
// The start is not changed.
func (c *jointClimber) try(start *jointPoint) {
	c.here.set(start)
	for i, s := range c.assays {
		if !s.m.freeC {
			c.here.c[i] = s.m.fixedC
		}
	}
	c.climb()
	if c.here.loglik > c.best.loglik+profileHigher || !(c.best.loglik > math.Inf(-1)) {
		c.here, c.best = c.best, c.here
	}
}

// jointIterations is the number of steps after which an ascent has arrived or
// follows a ridge to infinity along which hardly anything is left to gain.
const jointIterations = 400

// climb is the ascent of model.climb for several assays: Fisher scoring with
// step halving, in whose last part Newton's steps take over. Where the
// likelihood has no finite maximum it comes within rounding of its supremum.
func (c *jointClimber) climb() {
	s := &c.here
	s.converged = false
	c.evaluate(&s.jointPoint, &s.jointDerivatives)
	if math.IsNaN(s.loglik) || math.IsInf(s.loglik, -1) {
		c.flatten()
	}
	newton := false
	previous := math.Inf(1)
	for i := range jointIterations {
		c.release()
		decrement, level := c.direction(newton)
		if decrement <= decrementDone {
			s.converged = level
			return
		}
		ok := c.search(decrement)
		if !ok || c.trial.loglik <= s.loglik && decrement > previous/4 {
			s.converged = level && decrement < decrementNoise*(1+math.Abs(s.loglik))
			return
		}
		c.here, c.trial = c.trial, c.here
		newton = decrement < newtonBelow || i >= scoringSteps
		previous = decrement
		if math.Abs(s.b) > slopeCap {
			return
		}
	}
}

// flatten restarts from level lines at the mean mortality, where every count
// is possible.
func (c *jointClimber) flatten() {
	s := &c.here
	s.b = 0
	for k := range s.a {
		exposed, dead := 0.0, 0.0
		for i := range c.assays {
			if c.assays[i].line == k {
				n, r := c.assays[i].m.totals()
				exposed, dead = exposed+n, dead+r
			}
		}
		s.a[k] = c.assays[0].m.link.rough((dead + 0.5) / (exposed + 1))
	}
	for i := range c.assays {
		if m := c.assays[i].m; m.freeC {
			s.c[i] = (m.control.dead + 0.1) / (m.control.exposed + 1)
		}
	}
	c.evaluate(&s.jointPoint, &s.jointDerivatives)
}

// release says which natural mortalities may move: those that their bound does
// not hold. One that scoring only ever divides is taken to its bound.
func (c *jointClimber) release() {
	s := &c.here
	moved := false
	for i := range c.assays {
		m := c.assays[i].m
		if 0 < s.c[i] && s.c[i] < negligibleC && s.share[i].gc < 0 && m.freeC && m.control.dead == 0 {
			s.c[i], moved = 0, true
		}
	}
	if moved {
		c.evaluate(&s.jointPoint, &s.jointDerivatives)
	}
	for i := range c.assays {
		c.arrow.natural[i].free = c.assays[i].m.freeC && (s.c[i] > 0 || s.share[i].gc > 0)
	}
}

// direction computes the next step and its decrement: Newton's where wanted
// and the observed information allows it, else that of scoring, else a ridge
// step. level says that the observed information is positive definite.
func (c *jointClimber) direction(newton bool) (decrement float64, level bool) {
	s := &c.here
	for {
		level = c.eliminate(&s.jointPoint, &s.jointDerivatives, &c.arrow, true)
		ok := level
		if !level || !newton {
			ok = c.eliminate(&s.jointPoint, &s.jointDerivatives, &c.arrow, false)
		}
		if !ok {
			return c.ridgeStep(), false
		}
		decrement = c.joint.step(&c.arrow, &c.step)
		held := false
		for i := range c.arrow.natural { // a bound that the step would cross holds
			if n := &c.arrow.natural[i]; n.free && s.c[i] == 0 && c.step.c[i] <= 0 {
				n.free, held = false, true
			}
		}
		if !held {
			return decrement, level
		}
	}
}

// ridgeStep is steepest ascent in the scale of the expected information of the
// intercepts and the slope, for where both matrices are singular.
func (c *jointClimber) ridgeStep() (decrement float64) {
	s := &c.here
	clear(c.step.c)
	var bb, gb float64
	clear(c.arrow.line)
	for i := range c.assays {
		l, share := &c.arrow.line[c.assays[i].line], &s.share[i]
		l.aa, l.g = l.aa+share.expected.aa, l.g+share.ga
		bb, gb = bb+share.expected.bb, gb+share.gb
	}
	c.step.b = 0
	if !c.level {
		c.step.b = gb / (bb + 1e-300)
		decrement = gb * c.step.b
	}
	for k := range c.arrow.line {
		l := &c.arrow.line[k]
		c.step.a[k] = l.g / (l.aa + 1e-300)
		decrement += l.g * c.step.a[k]
	}
	return decrement
}

// search halves the step until the likelihood rises enough, and stops each
// natural mortality at 0. The new point is left in trial.
func (c *jointClimber) search(decrement float64) bool {
	s, next := &c.here, &c.trial
	t := 1.0
	for k := range c.step.a {
		size, longest := math.Abs(c.step.a[k])+math.Abs(c.step.b), longStep+math.Abs(s.a[k])+math.Abs(s.b)
		if size > longest {
			t = min(t, longest/size)
		}
	}
	slack := 1e-15 * math.Abs(s.loglik)
	for range 60 {
		next.b = s.b + t*c.step.b
		changed := next.b != s.b
		for k := range s.a {
			next.a[k] = s.a[k] + t*c.step.a[k]
			changed = changed || next.a[k] != s.a[k]
		}
		for i := range s.c {
			next.c[i] = max(s.c[i]+t*c.step.c[i], 0)
			if next.c[i] > cCap {
				next.c[i] = (s.c[i] + 1) / 2
			}
			changed = changed || next.c[i] != s.c[i]
		}
		c.evaluate(&next.jointPoint, &next.jointDerivatives)
		if next.loglik >= s.loglik+leastRise*t*decrement-slack {
			return changed
		}
		t /= 2
	}
	return false
}
