package doseresp

import (
	"math"
	"slices"
)

// keepParallel keeps the maximum with one slope.
func (c *LineComparer) keepParallel() {
	c.parallel = resized(c.parallel, &c.whole)
	c.parallel.set(&c.climber.best.jointPoint)
	c.parallelTop = c.climber.best.loglik
}

// ratioSearch looks for the ends of the profile of the log10 ratio of one
// population to the first. At a ratio of 10^δ the two have one line once the
// doses of the one are divided by it. δ is in the common scale.
type ratioSearch struct {
	*LineComparer
	population *population
	line       int // of the population among lines of its own
	drop       float64
	warm       jointPoint // where the ascent at the last δ ended
}

// ratioProfile returns the profile limits of the ratio of population k to the
// first, { δ : ℓmax - ℓp(δ) <= drop }. They are valid directly after
// keepParallel.
func (c *LineComparer) ratioProfile(k int, drop float64) Limits {
	s := ratioSearch{LineComparer: c, population: &c.populations[k], drop: drop}
	for i := range k {
		if !c.populations[i].flat {
			s.line++
		}
	}
	below, above := s.open()
	s.joinInformative(true)
	lower, upper := math.Inf(-1), math.Inf(1)
	if !below {
		lower = s.end(-1)
	}
	if !above {
		upper = s.end(1)
	}
	return logLimits(lower*c.whole.scale, upper*c.whole.scale)
}

// joinInformative puts every population that tells of a slope on a line of its
// own, or the one in question on that of the first.
func (c *ratioSearch) joinInformative(together bool) {
	line := -1
	c.join(func(p *population) int {
		switch {
		case p.flat:
			return -1
		case together && p == c.population:
			return 0
		}
		line++
		return line
	})
}

// open says towards which sides the ratio has no limit: there the lines grow
// level and the counts still agree. With level lines of their own the
// populations' levels give the sign of δ; if the two may share a level, any δ
// will do.
func (c *ratioSearch) open() (below, above bool) {
	if !c.contains(c.levelFit(false)) {
		return false, false
	}
	harder := c.climber.best.a[0] > c.climber.best.a[c.line]
	if c.contains(c.levelFit(true)) {
		return true, true
	}
	return !harder, harder
}

// contains says that a log-likelihood is high enough for the set.
func (c *ratioSearch) contains(loglik float64) bool { return loglik >= c.parallelTop-c.drop }

// levelFit is the highest likelihood of level lines, reached as they are.
func (c *ratioSearch) levelFit(together bool) float64 {
	c.joinInformative(together)
	c.whole.level = true
	c.start = resized(c.start, &c.whole)
	c.tryFrom(0, true)
	c.tryFrom(0, false)
	c.whole.level = false
	return c.climber.best.loglik
}

// at climbs at one δ, from where the last ascent ended and, if thorough, from
// the natural mortalities of the maximum. It returns ℓp and dℓp/dδ.
func (c *ratioSearch) at(delta float64, thorough bool) (loglik, slope float64) {
	for i := range c.whole.assays {
		s := &c.whole.assays[i]
		s.move = (s.m.centre - c.whole.centre) / c.whole.scale
		if c.holds(s) {
			s.move -= delta
		}
	}
	c.climber.best.loglik = math.Inf(-1)
	c.climber.try(&c.warm)
	if thorough && !c.concave() {
		copy(c.warm.c, c.parallel.c)
		c.warm.b = c.parallel.b
		c.climber.try(&c.warm)
	}
	best := &c.climber.best
	c.warm.set(&best.jointPoint)
	for i := range c.whole.assays {
		if c.holds(&c.whole.assays[i]) {
			slope -= best.b * best.share[i].ga // by the envelope theorem
		}
	}
	return best.loglik, slope
}

func (c *ratioSearch) holds(s *jointAssay) bool {
	return c.population.from <= s.index && s.index < c.population.to
}

// end finds one end of the set, -1 or 1, by Newton's method on the root of the
// fall within a bracket, as profiler.root does.
func (c *ratioSearch) end(side float64) float64 {
	centre := (c.parallel.a[0] - c.parallel.a[c.line]) / c.parallel.b
	c.warm = jointPoint{c.parallel.b, slices.Delete(slices.Clone(c.parallel.a), c.line, c.line+1), slices.Clone(c.parallel.c)}
	inside, outside := 0.0, math.Inf(1) // distances from the centre
	x := math.Sqrt(2*c.drop) * c.reach()
	for range rootSteps {
		loglik, slope := c.at(centre+side*x, false)
		fall := c.parallelTop - loglik
		settled := math.Abs(fall-c.drop) <= rootDone*c.drop
		if settled {
			loglik, slope = c.at(centre+side*x, true)
			fall = c.parallelTop - loglik
			settled = math.Abs(fall-c.drop) <= rootDone*c.drop
		}
		next := x + side*2*(fall-math.Sqrt(max(fall, 0)*c.drop))/slope
		if settled {
			return centre + side*next
		}
		if fall <= c.drop {
			inside = x
		} else {
			outside = x
		}
		switch {
		case inside*c.whole.scale > farLog10:
			return math.Inf(int(side))
		case outside-inside <= rootWidth*(1+inside):
			return centre + side*inside
		case !(next > inside && next < outside) || math.IsInf(outside, 1) && next > 4*x:
			next = inside + (outside-inside)/2
			if math.IsInf(outside, 1) {
				next = 2*x + 1e-3
			}
		}
		x = next
	}
	return centre + side*inside
}

// reach is a first guess of the standard error of δ.
func (c *ratioSearch) reach() float64 {
	n := 0.0
	for _, s := range c.whole.assays {
		exposed, _ := s.m.totals()
		n += exposed
	}
	return 3 * c.options.Link.Scale() / (c.parallel.b * math.Sqrt(n+1))
}
