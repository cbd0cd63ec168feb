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
	if !cholesky(j.d.observed, index, 0, j.factor) {
		return spread, false
	}
	n := len(index)
	byTheta, bySlope := make([]float64, n), make([]float64, n)
	byTheta[0], byTheta[1], bySlope[1] = -1/slope, -theta/slope, 1/slope
	if j.m.variance > 0 {
		byTheta[2] = 1
	}
	x, y := append([]float64(nil), byTheta...), append([]float64(nil), bySlope...)
	solve(j.factor, x)
	solve(j.factor, y)
	for i := range n {
		spread[0] += h * byTheta[i] * x[i]
		spread[1] += h * byTheta[i] * y[i]
		spread[2] += h * bySlope[i] * y[i]
	}
	return spread, spread[0] > 0 && spread[2] > 0
}

// integrand is the field's likelihood as the quadrature walks through it.
type integrand struct {
	b       *Baseline
	h       float64
	groups  []group
	natural []node
	shifts  []node
}

// roughly is the integrand with one C and every third shift.
func (in *integrand) roughly() *integrand {
	rough := *in
	rough.natural = []node{{in.natural[len(in.natural)/2].x, 1}}
	rough.shifts = nil
	for i := len(in.shifts) - 1; i >= 0; i -= 3 {
		rough.shifts = append(rough.shifts, in.shifts[i])
	}
	return &rough
}

// mass is the unnormalised density of √q, by root and whether it is of the
// plateau.
type mass struct {
	roots            []float64
	finite, plateaus []float64
	top              float64 // the logarithm that has been taken out
	highestPrior     float64 // of log prior
}

// coefficients are P and Q of one dose as linear functions of q, with the
// counts.
type coefficients struct{ p0, p1, q0, q1, dead, alive float64 }

// over integrates over lines, natural mortality and shifts at n values of √q.
func (in *integrand) over(g *grid, low, high float64, n int) *mass {
	m := &mass{finite: make([]float64, n), plateaus: make([]float64, n), roots: make([]float64, n), top: math.Inf(-1)}
	prior := make([]float64, n)
	m.highestPrior = math.Inf(-1)
	p := in.b.options.Priors
	for i := range n {
		x := low + (high-low)*float64(i)/float64(n-1)
		m.roots[i] = x
		q := x * x
		// the density of √q is that of q times 2 √q
		prior[i] = (p.FractionA-1)*math.Log(q) + (p.FractionB-1)*math.Log1p(-q) + math.Log(x)
		if x == 0 || q >= 1 && p.FractionB != 1 {
			prior[i] = math.Inf(-1)
		}
		m.highestPrior = max(m.highestPrior, prior[i])
	}
	log := make([]float64, n)
	terms := make([]coefficients, len(in.groups))
	at := 0
	for _, line := range g.lines {
		for _, s := range in.shifts {
			if s.weight == 0 {
				continue
			}
			for _, c := range in.natural {
				in.fill(terms, line, s.x, c.x)
				w := line.weight + math.Log(s.weight*c.weight)
				at = m.along(terms, prior, log, at, w, 1/in.h)
				m.add(log, math.IsInf(s.x, 1))
			}
		}
	}
	return m
}

// fill computes P and Q of every dose at a line, a shift and a C.
func (in *integrand) fill(terms []coefficients, l lineNode, s, c float64) {
	for i := range in.groups {
		g := &in.groups[i]
		eta := in.b.middle() + l.slope*(g.x-l.theta)
		f := in.b.options.Link.Tails(eta)
		killed, spared := 0.0, 1.0
		if !math.IsInf(s, 1) {
			r := in.b.options.Link.Tails(eta - l.slope*s)
			killed, spared = r.CDF, r.Survival
		}
		terms[i] = coefficients{
			c + (1-c)*f.CDF, (1 - c) * (killed - f.CDF),
			(1 - c) * f.Survival, (1 - c) * (spared - f.Survival),
			g.dead, g.alive,
		}
	}
}

// loglik is the field's log-likelihood at q.
func loglik(terms []coefficients, q float64) float64 {
	sum := 0.0
	for i := range terms {
		t := &terms[i]
		if t.dead > 0 {
			sum += t.dead * math.Log(max(t.p0+t.p1*q, 0)) // rounding may fall below 0
		}
		if t.alive > 0 {
			sum += t.alive * math.Log(t.q0+t.q1*q)
		}
	}
	return sum
}

// along fills log with the log density at every root, -Inf where it is
// negligible beside what has been found. It walks from a root near the peak,
// where the last peak was, outwards until the likelihood, which is concave in
// q, has fallen far enough, and returns where the peak lies.
func (m *mass) along(terms []coefficients, prior, log []float64, at int, w, power float64) (peak int) {
	for i := range log {
		log[i] = math.Inf(-1)
	}
	value := func(i int) float64 {
		log[i] = loglik(terms, m.roots[i]*m.roots[i])*power + w
		return log[i]
	}
	peak = at
	high := value(at)
	top := m.top - m.highestPrior
	for _, step := range []int{1, -1} {
		for i := at + step; i >= 0 && i < len(log); i += step {
			l := value(i)
			if l > high {
				high, peak = l, i
			} else if l < high-negligible || l < top-negligible {
				break
			}
		}
	}
	for i := range log {
		log[i] += prior[i]
	}
	return peak
}

// add adds exp(log) to the density.
func (m *mass) add(log []float64, isPlateau bool) {
	to := m.finite
	if isPlateau {
		to = m.plateaus
	}
	high := math.Inf(-1)
	for _, l := range log {
		high = max(high, l)
	}
	switch {
	case high < m.top-negligible || math.IsInf(high, -1):
		return
	case high > m.top:
		scale := math.Exp(m.top - high)
		for i := range to {
			m.finite[i] *= scale
			m.plateaus[i] *= scale
		}
		m.top = high
	}
	for i, l := range log {
		if l > m.top-negligible {
			to[i] += math.Exp(l - m.top)
		}
	}
}

// reach is where the density is not negligible, a node more on either side.
func (m *mass) reach() (low, high float64) {
	n := len(m.roots)
	top := 0.0
	for i := range n {
		top = max(top, m.finite[i]+m.plateaus[i])
	}
	first, last := n-1, 0
	for i := range n {
		if m.finite[i]+m.plateaus[i] > 1e-7*top {
			first, last = min(first, i), max(last, i)
		}
	}
	return m.roots[max(first-1, 0)], m.roots[min(last+1, n-1)]
}

// normalise turns the density into a distribution. Between two nodes the
// density is the cubic through four (its integral h/24 (-f₀ + 13 f₁ + 13 f₂ -
// f₃)), at the ends the parabola through three.
func (m *mass) normalise(priors Priors) *Posterior {
	n := len(m.roots)
	p := &Posterior{Priors: priors, roots: m.roots, density: make([]float64, n), cumulative: make([]float64, n)}
	plateaus := 0.0
	for i := range n {
		p.density[i] = m.finite[i] + m.plateaus[i]
	}
	step := (m.roots[n-1] - m.roots[0]) / float64(n-1)
	cells := cellIntegrals(p.density, step)
	for i, c := range cells {
		p.cumulative[i+1] = p.cumulative[i] + max(c, 0)
	}
	for _, c := range cellIntegrals(m.plateaus, step) {
		plateaus += c
	}
	total := p.cumulative[n-1]
	moment := make([]float64, n)
	for i := range n {
		p.density[i] /= total
		p.cumulative[i] /= total
		moment[i] = p.density[i] * m.roots[i] * m.roots[i]
	}
	for _, c := range cellIntegrals(moment, step) {
		p.Mean += c
	}
	p.Plateau = min(max(plateaus/total, 0), 1)
	return p
}

func cellIntegrals(f []float64, step float64) []float64 {
	n := len(f)
	cells := make([]float64, n-1)
	for i := range cells {
		switch {
		case i == 0:
			cells[i] = step / 12 * (5*f[0] + 8*f[1] - f[2])
		case i == n-2:
			cells[i] = step / 12 * (5*f[n-1] + 8*f[n-2] - f[n-3])
		default:
			cells[i] = step / 24 * (-f[i-1] + 13*f[i] + 13*f[i+1] - f[i+2])
		}
	}
	return cells
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
