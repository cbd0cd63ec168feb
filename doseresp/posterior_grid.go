package doseresp

import (
	"math"
	"slices"
	"sync"

	"gonum.org/v1/gonum/integrate/quad"
)

// The grid of a posterior.
const (
	posteriorTolerance = 1e-2 // of the change of a cumulative probability by a refinement
	posteriorDrop      = 15.0 // a region where the log density is this far below its top is left out
	nuisanceDrop       = 9.0  // likewise for C and ρ, before their spans are widened
	edgeDrop           = 7.0  // an end of the region less far below the top was cut too near
	widenings          = 6    // how often a region may be widened
)

// resolution is the number of points in each direction.
type resolution struct{ lambda, theta, c, rho int }

var resolutions = []resolution{
	{15, 11, 7, 5},
	{21, 15, 10, 7},
	{31, 19, 14, 10},
	{41, 27, 20, 15},
	{55, 41, 28, 22},
}

// region is where the posterior has its mass.
type region struct {
	lambda interval
	theta  []stretch // at equally spaced λ over the span of λ
	c, rho interval
}

type interval struct{ low, high float64 }

// stretch is how θ extends at one slope: θ = centre + width sinh v, with v
// between low and high.
type stretch struct{ centre, width, low, high float64 }

func (s interval) at(t float64) float64 { return s.low + t*(s.high-s.low) }

// integrate refines the grid until the posterior stands still.
func (t *target) integrate() *Posterior {
	r := t.findRegion()
	var previous *Posterior
	for _, level := range resolutions {
		p := t.fill(&r, level)
		if previous != nil {
			p.Error = p.change(previous)
		}
		if previous != nil && p.Error <= posteriorTolerance {
			return p
		}
		previous = p
	}
	return previous
}

// change is the largest difference of two posteriors' cumulative
// probabilities at quantiles of the first.
func (p *Posterior) change(q *Posterior) float64 {
	worst := 0.0
	for _, percent := range []float64{50, 90, 99} {
		shift := p.link.Quantile(percent/100) - p.link.Quantile(0.5)
		for _, probability := range []float64{0.025, 0.5, 0.975} {
			x := p.quantile(probability, shift, 1e-3) // the probability there is asked of both
			worst = math.Max(worst, math.Abs(q.cumulative(x, shift)-p.cumulative(x, shift)))
		}
	}
	return worst
}

// fill computes the posterior on a grid over the region, widening it wherever
// it turns out to have been cut too near.
func (t *target) fill(r *region, level resolution) *Posterior {
	var g *gridTables
	var c, rho interval // of the nodes in g
	for n := 0; ; n++ {
		if g == nil || c != r.c || rho != r.rho {
			c, rho = r.c, r.rho
			cs := t.nodesC(r, level.c)
			g = newGridTables(t, cs, t.nodesRho(r, level.rho), cs[0].value, 1)
		}
		p, cut := t.fillOnce(r, level, g)
		if !cut || n == widenings {
			return p
		}
	}
}

// node is a value of C or ρ with its quadrature weight and the log of that
// weight times the prior.
type node struct{ value, weight, logWeight float64 }

// gauss returns Gauss-Legendre points on [0, 1].
var gauss = func() func(n int) ([]float64, []float64) {
	var cache sync.Map
	type rule struct{ x, w []float64 }
	return func(n int) ([]float64, []float64) {
		if r, ok := cache.Load(n); ok {
			return r.(rule).x, r.(rule).w
		}
		r := rule{make([]float64, n), make([]float64, n)}
		quad.Legendre{}.FixedLocations(r.x, r.w, 0, 1)
		if n > 1 && r.x[0] > r.x[n-1] {
			slices.Reverse(r.x)
			slices.Reverse(r.w)
		}
		cache.Store(n, r)
		return r.x, r.w
	}
}()

// nodes places n points over a span.
func nodes(s interval, n int) []node {
	x, w := gauss(n)
	out := make([]node, n)
	for i := range out {
		at, weight := s.at(x[i]), w[i]*(s.high-s.low)
		if s.low == 0 { // closer together near the boundary: value = high·x²
			at, weight = s.at(x[i]*x[i]), 2*x[i]*weight
		}
		out[i] = node{at, weight, math.Log(weight)}
	}
	return out
}

// nodesC and nodesRho place the points of the two nuisances, their priors in
// the weights.
func (t *target) nodesC(r *region, n int) []node {
	if !t.freeC {
		return []node{{t.fixedC, 1, 0}}
	}
	return t.weighC(nodes(r.c, n))
}

func (t *target) weighC(nodes []node) []node {
	for i := range nodes {
		c := nodes[i].value
		nodes[i].logWeight += (t.priors.NaturalA-1)*math.Log(c) + (t.priors.NaturalB-1)*math.Log1p(-c)
	}
	return nodes
}

func (t *target) nodesRho(r *region, n int) []node {
	return t.weighRho(nodes(r.rho, n))
}

func (t *target) weighRho(nodes []node) []node {
	for i := range nodes {
		nodes[i].logWeight -= nodes[i].value / t.priors.RhoMean
	}
	return nodes
}

// fillOnce computes the posterior on one grid and says whether the region was
// cut too near; if so it has been widened there.
func (t *target) fillOnce(r *region, level resolution, g *gridTables) (*Posterior, bool) {
	clear(g.massC)
	clear(g.massRho)
	logs := make([]float64, level.lambda*level.theta)
	slopes := make([]slopeSlice, level.lambda)
	top := math.Inf(-1)
	for i := range level.lambda {
		along := float64(i) / float64(level.lambda-1)
		lambda := r.lambda.at(along)
		s := r.thetaAt(along)
		slice := &slopes[i]
		*slice = slopeSlice{
			slope: math.Exp(lambda), centre: s.centre, width: s.width,
			low: s.low, spline: spline{step: (s.high - s.low) / float64(level.theta-1)},
		}
		for k := range level.theta {
			theta := slice.theta(s.low + slice.step*float64(k))
			l := t.logPriorLine(theta, lambda) + g.marginal(theta, lambda)
			logs[i*level.theta+k] = l
			top = math.Max(top, l)
		}
	}
	for i := range level.lambda {
		for k := range level.theta {
			if (i+k)%3 == 0 && logs[i*level.theta+k] > top-4 {
				g.addMasses(slopes[i].theta(slopes[i].low+slopes[i].step*float64(k)), math.Log(slopes[i].slope), top)
			}
		}
	}
	cut := r.widen(logs, level, top, g)
	total := 0.0
	for i := range slopes {
		slice := &slopes[i]
		slice.value = logs[i*level.theta : (i+1)*level.theta]
		for k := range slice.value {
			v := slice.low + slice.step*float64(k)
			slice.value[k] = math.Exp(slice.value[k]-top) * slice.width * math.Cosh(v)
		}
		slice.spline = newSpline(slice.step, slice.value)
		total += slice.mass()
	}
	for i := range slopes {
		slopes[i].scale(1 / total)
	}
	return &Posterior{link: t.link, slopes: slopes, Priors: t.priors, Points: len(logs) * len(g.cs) * len(g.rhos)}, cut
}

// thetaAt interpolates the stretch of θ at a position along the span of λ.
func (r *region) thetaAt(along float64) stretch {
	at := along * float64(len(r.theta)-1)
	i := min(int(at), len(r.theta)-2)
	u := at - float64(i)
	a, b := r.theta[i], r.theta[i+1]
	mix := func(x, y float64) float64 { return x + u*(y-x) }
	return stretch{mix(a.centre, b.centre), mix(a.width, b.width), mix(a.low, b.low), mix(a.high, b.high)}
}

// widen looks at every end of the region and moves out those at which the
// density has not died away.
func (r *region) widen(logs []float64, level resolution, top float64, g *gridTables) bool {
	cut := false
	row := func(i int) []float64 { return logs[i*level.theta : (i+1)*level.theta] }
	if width := r.lambda.high - r.lambda.low; slices.Max(row(0)) > top-edgeDrop || slices.Max(row(level.lambda-1)) > top-edgeDrop {
		if slices.Max(row(0)) > top-edgeDrop {
			r.extendTheta(-width / 3)
		}
		if slices.Max(row(level.lambda-1)) > top-edgeDrop {
			r.extendTheta(width / 3)
		}
		cut = true
	}
	lowCut, highCut := false, false
	for i := range level.lambda {
		lowCut = lowCut || row(i)[0] > top-edgeDrop
		highCut = highCut || row(i)[level.theta-1] > top-edgeDrop
	}
	if lowCut || highCut {
		cut = true
		for i := range r.theta {
			if lowCut {
				r.theta[i].low -= 0.7 // twice as far
			}
			if highCut {
				r.theta[i].high += 0.7
			}
		}
	}
	c := widenNuisance(&r.c, g.massC, 1)
	rho := widenNuisance(&r.rho, g.massRho, 1)
	return c || rho || cut
}

// extendTheta moves an end of the span of λ out by a distance, negative for
// the lower end, and resamples the spans of θ, continued in a straight line.
func (r *region) extendTheta(distance float64) {
	n := len(r.theta)
	old := *r
	if distance < 0 {
		r.lambda.low += distance
	} else {
		r.lambda.high += distance
	}
	width := old.lambda.high - old.lambda.low
	r.theta = make([]stretch, n)
	for i := range r.theta {
		lambda := r.lambda.at(float64(i) / float64(n-1))
		r.theta[i] = old.thetaAt(min(max((lambda-old.lambda.low)/width, 0), 1))
		if lambda < old.lambda.low { // gentler slopes leave θ less certain
			r.theta[i].width *= math.Exp(old.lambda.low - lambda)
		}
	}
}

// widenNuisance moves out the ends of C or ρ at which mass remains. mass is
// the density at each node.
func widenNuisance(s *interval, mass []float64, most float64) bool {
	if len(mass) < 2 {
		return false
	}
	top := slices.Max(mass)
	limit := top * math.Exp(-edgeDrop)
	width := s.high - s.low
	cut := false
	if s.low > 0 && mass[0] > limit {
		s.low = math.Max(0, s.low-width/2)
		cut = true
	}
	if s.high < most && mass[len(mass)-1] > limit {
		s.high = math.Min(most, s.high+width/2)
		cut = true
	}
	return cut
}
