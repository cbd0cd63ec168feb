package mixture

import (
	"math"
	"sort"
)

// Posterior is the posterior of q, everything else integrated out by
// quadrature without random numbers:
//
//	p(q | counts) ∝ p(q) ∫ p(s) p(line | baseline) p(C) L(field)^(1/h)
//
// with h the heterogeneity factor of the fit, by which the baseline's
// likelihood is reduced as well, so that counts which vary more than binomial
// ones count for less.
type Posterior struct {
	// Plateau is the posterior probability that no tested dose kills the
	// resistant part.
	Plateau float64
	Mean    float64
	Priors  Priors

	roots      []float64 // √q, equally spaced
	density    []float64 // of √q
	cumulative []float64
}

// How finely q and s are laid out.
const (
	coarseRoots = 41 // over [0, 1], to find where the posterior lies
	fineRoots   = 25 // over that range
	shiftNodes  = 8
)

// posterior integrates over the lines around the fitted one.
func (j *joint) posterior(r *Result) *Posterior {
	g := j.gridAround(r.Heterogeneity.Factor())
	in := &integrand{
		b: j.base, h: r.Heterogeneity.Factor(), groups: j.m.fieldDoses(),
		natural: j.base.naturalOf(j.m.counts, j.m.assays-1, r.Heterogeneity.Factor()),
		shifts:  j.base.shiftNodes(),
	}
	low, high := in.roughly().over(g.likely(), 0, 1, coarseRoots).reach()
	return in.over(g, low, high, fineRoots).normalise(*j.base.options.Priors)
}

// shiftNodes are the finite shifts with their prior weights, and the plateau
// last.
func (b *Baseline) shiftNodes() []node {
	p := b.options.Priors
	var nodes []node
	if p.PlateauShare < 1 {
		least := math.Log10(b.options.LeastFold)
		nodes = evenNodes(least, max(math.Log10(p.LargestFold), least+0.1), shiftNodes)
		for i := range nodes {
			nodes[i].weight *= 1 - p.PlateauShare
		}
	}
	return append(nodes, node{math.Inf(1), p.PlateauShare})
}

// gridAround lays lines around the fitted one. Their spread is that of the
// plateau form, whose line is tied down less by the field than that of any
// other with q > 0.
func (j *joint) gridAround(h float64) *grid {
	p := append([]float64(nil), j.top[plateau].p...)
	p[atQ] = max(p[atQ], 0.02)
	j.m.evaluate(p, &j.d)
	index := []int{atA, atB}
	if j.m.variance > 0 {
		index = append(index, atD)
	}
	index = append(index, atQ)
	for k, free := range j.freeC {
		if free && p[atC+k] > 1e-6 {
			index = append(index, atC+k)
		}
	}
	centre := j.top[shifted].p
	slope := centre[atB]
	theta := (j.base.middle()-centre[atA])/slope + centre[atD]
	spread, ok := j.spreadOf(index, theta-centre[atD], slope, h)
	if !ok {
		return j.base.ownGrid()
	}
	return j.base.newGrid(theta, math.Log(slope), spread, h)
}

// spreadOf is the covariance of θ + δ and log slope from the information at
// hand.
func (j *joint) spreadOf(index []int, theta, slope, h float64) (spread [3]float64, ok bool) {
	if !j.factor.factorise(j.d.observed, index, 0) {
		return spread, false
	}
	n := len(index)
	byTheta, bySlope := make([]float64, n), make([]float64, n)
	byTheta[0], byTheta[1], bySlope[1] = -1/slope, -theta/slope, 1/slope
	if j.m.variance > 0 {
		byTheta[2] = 1
	}
	x, y := append([]float64(nil), byTheta...), append([]float64(nil), bySlope...)
	j.factor.solve(x)
	j.factor.solve(y)
	for i := range n {
		spread[0] += h * byTheta[i] * x[i]
		spread[1] += h * byTheta[i] * y[i]
		spread[2] += h * bySlope[i] * y[i]
	}
	return spread, spread[0] > 0 && spread[2] > 0
}

// Above returns the posterior probability that q exceeds x.
func (p *Posterior) Above(x float64) float64 {
	root := math.Sqrt(max(x, 0))
	n := len(p.roots)
	switch {
	case root <= p.roots[0]:
		return 1
	case root >= p.roots[n-1]:
		return 0
	}
	i := sort.SearchFloat64s(p.roots, root) - 1
	share := (root - p.roots[i]) / (p.roots[i+1] - p.roots[i])
	return 1 - (p.cumulative[i] + p.within(i, share))
}

// within is the probability of the first share of cell i, its density taken
// as a straight line between the nodes and fitted to the cell.
func (p *Posterior) within(i int, share float64) float64 {
	f, g := p.density[i], p.density[i+1]
	cell := p.cumulative[i+1] - p.cumulative[i]
	if f+g <= 0 {
		return cell * share
	}
	return cell * share * (2*f + (g-f)*share) / (f + g)
}

// Quantile returns the q that the posterior exceeds with probability 1 - p. It
// panics unless 0 < p < 1.
func (p *Posterior) Quantile(probability float64) float64 {
	if !(probability > 0 && probability < 1) {
		panic("mixture: probability of a quantile must lie between 0 and 1")
	}
	n := len(p.roots)
	i := min(max(sort.SearchFloat64s(p.cumulative, probability)-1, 0), n-2)
	low, high := 0.0, 1.0
	for range 50 {
		middle := (low + high) / 2
		if p.cumulative[i]+p.within(i, middle) < probability {
			low = middle
		} else {
			high = middle
		}
	}
	root := p.roots[i] + low*(p.roots[i+1]-p.roots[i])
	return root * root
}

// Limits returns the median of q with its equal-tailed limits at a level.
// Their lower end is above 0 whatever the counts: whether q is 0 is for Above
// and the tests to answer.
func (p *Posterior) Limits(level float64) Interval {
	tail := (1 - level) / 2
	return Interval{Estimate: p.Quantile(0.5), Lower: p.Quantile(tail), Upper: p.Quantile(1 - tail)}
}
