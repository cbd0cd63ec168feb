package mixture

import "math"

// climber maximises the likelihood over some of its coordinates, each between
// its bounds, by Newton's method with a ridge (Levenberg 1944, Quarterly of
// Applied Mathematics 2:164-168, from memory) and the coordinates that press
// against a bound held there.
type climber struct {
	m            *model
	lower, upper []float64
	free         []bool
	d, next      derivatives // at the point, and at the one that is tried
	factor       cholesky
	index        []int
	step, trial  []float64
	parts        []parts
	died         []bool // by assay, whether an untreated mite died
}

// Bounds that are no part of the model: they keep an ascent where F and its
// derivatives can be computed.
const (
	leastSlope     = 1e-3
	largestNatural = 0.95
)

func newClimber(m *model, least float64) *climber {
	n := m.size()
	c := &climber{
		m: m, lower: make([]float64, n), upper: make([]float64, n), free: make([]bool, n),
		d: newDerivatives(n), next: newDerivatives(n), factor: newCholesky(n),
		index: make([]int, 0, n), step: make([]float64, n), trial: make([]float64, n),
	}
	for k := range m.assays {
		dead, _ := m.control(k)
		c.died = append(c.died, dead > 0)
	}
	inf := math.Inf(1)
	for i := range n {
		c.lower[i], c.upper[i] = 0, largestNatural
	}
	c.lower[atA], c.upper[atA] = -inf, inf
	c.lower[atB], c.upper[atB] = leastSlope, inf
	c.lower[atQ], c.upper[atQ] = 0, 1
	c.lower[atS], c.upper[atS] = least, largestLog10Shift
	c.lower[atD], c.upper[atD] = -inf, inf
	return c
}

// What ends an ascent.
const (
	mostSteps    = 200
	smallGain    = 1e-11 // of the log-likelihood, expected from the next step
	largestRidge = 1e12
	nearGain     = 1.0  // below which a step towards a known summit is a step to it
	nearby       = 0.02 // distance from it in each coordinate, relative above 1
)

// near says whether a point is beside a known one.
func near(p, known []float64) bool {
	for i, k := range known {
		if x := p[i]; x != k && math.Abs(x-k) > nearby*(1+min(math.Abs(x), math.Abs(k))) {
			return false
		}
	}
	return known != nil
}

// climb moves p to a summit and returns its log-likelihood; arrived is false
// where the steps ran out. A ridge that grows until it allows no gain, on a
// ridge level to the last digit, has arrived. An ascent that is about to arrive at
// the known summit, where there is one, is moved there.
func (c *climber) climb(p []float64, known summit) (loglik float64, arrived bool) {
	ridge := 0.0
	c.m.evaluate(p, &c.d)
	for range mostSteps {
		if math.IsInf(c.d.loglik, 0) || math.IsNaN(c.d.loglik) {
			return math.Inf(-1), false
		}
		c.choose(p)
		if len(c.index) == 0 {
			return c.d.loglik, true
		}
		for {
			gain, clipped, ok := c.propose(p, ridge)
			if ok && !clipped && ridge < 1 && gain < smallGain {
				return c.d.loglik, true
			}
			if ok && !clipped && ridge < 1 && gain < nearGain && near(c.trial, known.p) {
				copy(p, known.p)
				return known.loglik, known.arrived
			}
			if ok {
				if c.m.evaluate(c.trial, &c.next); c.next.loglik > c.d.loglik {
					break
				}
			}
			ridge = max(10*ridge, 1e-4)
			if ridge > largestRidge {
				return c.d.loglik, true
			}
		}
		copy(p, c.trial)
		c.d, c.next = c.next, c.d
		ridge /= 10
		if ridge < 1e-6 {
			ridge = 0
		}
	}
	return c.d.loglik, false
}

// choose lists the coordinates that may move: free, and not pressed against
// a bound by the gradient. A shift of nothing is no coordinate. Natural mortalities
// come first, as a factor wants them.
func (c *climber) choose(p []float64) {
	c.index = c.index[:0]
	for i := atC; i < len(p); i++ {
		c.consider(i, p)
	}
	for i := range atC {
		if i != atS || p[atQ] > 0 {
			c.consider(i, p)
		}
	}
}

func (c *climber) consider(i int, p []float64) {
	g := c.d.gradient[i]
	if c.free[i] && !(p[i] <= c.lower[i] && g <= 0) && !(p[i] >= c.upper[i] && g >= 0) {
		c.index = append(c.index, i)
	}
}

// propose writes the point after a step into trial and returns the gain that
// the quadratic promises. A step cut short promises nothing: the others were
// computed for the whole of it. ok is false where the ridge is too small for a
// step.
func (c *climber) propose(p []float64, ridge float64) (gain float64, clipped, ok bool) {
	if !c.factor.factorise(c.d.observed, c.index, ridge) {
		return 0, false, false
	}
	step := c.step[:len(c.index)]
	for i, at := range c.index {
		step[i] = c.d.gradient[at]
	}
	c.factor.solve(step)
	copy(c.trial, p)
	for i, at := range c.index {
		c.trial[at] = min(max(p[at]+c.limit(at, p, step[i]), c.lower[at]), c.upper[at])
		clipped = clipped || c.trial[at] != p[at]+step[i]
		gain += 0.5 * c.d.gradient[at] * (c.trial[at] - p[at])
	}
	return gain, clipped, true
}

// limit keeps a step within the reach of the quadratic: a slope may halve or
// double, and the shift move by half a decade.
func (c *climber) limit(at int, p []float64, step float64) float64 {
	switch at {
	case atB:
		return min(max(step, -p[at]/2), p[at])
	case atS, atD:
		return min(max(step, -0.5), 0.5)
	}
	if at >= atC && c.died[at-atC] { // then C = 0 is impossible
		return max(step, -0.75*p[at])
	}
	return step
}
