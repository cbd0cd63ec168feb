package doseresp

import "math"

// pivotSide says on which side of the pivot (θ, z) a group of a profile's
// limiting line lies, which bounds its mortality by that of the pivot.
type pivotSide int8

const (
	belowPivot pivotSide = iota - 1 // its mortality is at most that at the pivot
	atPivot                         // it is the pivot
	abovePivot                      // its mortality is at least that
)

// edge is the highest log-likelihood of counts of which low dies at the
// natural rate C and at at any rate that side allows, the pivot's being
// C + (1-C) p. Every line through (θ, z) whose slope tends to 0 or to infinity
// tends to that form: at are all treated groups in the first case, the one
// next to θ in the second. In (C, rate) the likelihood is concave and its
// domain convex, so that a maximum outside lies on a border of the domain.
func (p *profiler) edge(low, at group, side pivotSide) float64 {
	if !p.m.freeC {
		return p.fixedEdge(low, at, side)
	}
	if side != atPivot {
		c, rate := low.rate(), at.rate()
		pivot := c + (1-c)*p.cdf
		if side == belowPivot && c <= rate && rate <= pivot || side == abovePivot && rate >= pivot {
			return binomialTerm(low, c, 1-c) + binomialTerm(at, rate, 1-rate)
		}
	}
	c := p.edgeNatural(low, at)
	best := p.pivotTerm(low, at, c)
	if side == belowPivot { // the other border: treatment does nothing
		low.exposed += at.exposed
		low.dead += at.dead
		best = max(best, binomialTerm(low, low.rate(), 1-low.rate()))
	}
	return best
}

// fixedEdge is edge where C is not estimated.
func (p *profiler) fixedEdge(low, at group, side pivotSide) float64 {
	c, rate := p.m.fixedC, at.rate()
	pivot := c + (1-c)*p.cdf
	switch {
	case side == belowPivot && rate < pivot:
		rate = max(rate, c)
	case side == abovePivot && rate > pivot:
	default:
		return p.pivotTerm(low, at, c)
	}
	return binomialTerm(low, c, 1-c) + binomialTerm(at, rate, 1-rate)
}

// pivotTerm is the log-likelihood of low at rate c and of at at the pivot's.
func (p *profiler) pivotTerm(low, at group, c float64) float64 {
	return binomialTerm(low, c, 1-c) + binomialTerm(at, c+(1-c)*p.cdf, (1-c)*p.survival)
}

// edgeNatural is the C that maximises pivotTerm, the root of
//
//	r/(k + C) + r₀/C = (s + s₀)/(1 - C),  k = p/(1-p),
//
// a quadratic, written so that no difference of nearly equal numbers occurs.
func (p *profiler) edgeNatural(low, at group) float64 {
	k := p.cdf / p.survival
	alive := at.survivors() + low.survivors()
	n := at.dead + low.dead + alive
	b := at.dead + low.dead - k*(low.dead+alive)
	root := math.Sqrt(b*b + 4*n*low.dead*k)
	if b < 0 {
		return 2 * low.dead * k / (root - b)
	}
	return min((b+root)/(2*n), 1)
}

// binomialTerm is the log-likelihood of a group that dies at rate P = 1 - Q.
func binomialTerm(g group, P, Q float64) float64 {
	return logTerm(g.dead, logMixed(P, Q)) + logTerm(g.survivors(), logMixed(Q, P))
}

// level is the limit of ℓp(θ) as θ runs to infinity in the direction of side:
// the line grows level below the pivot, or above it.
func (p *profiler) level(side float64) float64 {
	low := p.m.control
	var at group
	at.exposed, at.dead = p.m.totals()
	if side > 0 {
		return p.edge(low, at, belowPivot)
	}
	return p.edge(low, at, abovePivot)
}

// knot is ℓp around tested dose i of lines whose slope grows without bound:
// with θ at the dose, and just before and just beyond it in the direction of
// side. -Inf where some survived above the dose.
type knot struct{ near, at, far float64 }

func (p *profiler) stepKnot(i int, side float64) knot {
	none := math.Inf(-1)
	for _, g := range p.m.treated[i+1:] {
		if g.survivors() > 0 {
			return knot{none, none, none}
		}
	}
	low := p.m.control
	for _, g := range p.m.treated[:i] {
		low.exposed += g.exposed
		low.dead += g.dead
	}
	g := p.m.treated[i]
	k := knot{p.edge(low, g, abovePivot), p.edge(low, g, atPivot), p.edge(low, g, belowPivot)}
	if side < 0 {
		k.near, k.far = k.far, k.near
	}
	return k
}
