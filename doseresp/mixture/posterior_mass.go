package mixture

import (
	"math"
)

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
	terms, parts := make([]coefficients, len(in.groups)), make([]twoParts, len(in.groups))
	at := 0
	for _, line := range g.lines {
		for _, s := range in.shifts {
			if s.weight == 0 {
				continue
			}
			in.divide(parts, line, s.x)
			for _, c := range in.natural {
				fill(terms, parts, in.groups, c.x)
				w := line.weight + math.Log(s.weight*c.weight)
				at = m.along(terms, prior, log, at, w, 1/in.h)
				m.add(log, math.IsInf(s.x, 1))
			}
		}
	}
	return m
}

// twoParts is the response of the susceptible and of the resistant part at one
// dose.
type twoParts struct{ susceptible, resistant mixed }

// divide computes the response of both parts to every dose, at a line and a
// shift.
func (in *integrand) divide(parts []twoParts, l lineNode, s float64) {
	for i := range in.groups {
		eta := in.b.middle() + l.slope*(in.groups[i].x-l.theta)
		t := in.b.options.Link.Tails(eta)
		parts[i] = twoParts{mixed{t.CDF, t.Survival}, mixed{0, 1}}
		if !math.IsInf(s, 1) {
			t = in.b.options.Link.Tails(eta - l.slope*s)
			parts[i].resistant = mixed{t.CDF, t.Survival}
		}
	}
}

// fill turns them into P and Q at a natural mortality.
func fill(terms []coefficients, parts []twoParts, groups []group, c float64) {
	for i := range groups {
		s, r := parts[i].susceptible, parts[i].resistant
		terms[i] = coefficients{
			c + (1-c)*s.killed, (1 - c) * (r.killed - s.killed),
			(1 - c) * s.spared, (1 - c) * (r.spared - s.spared),
			groups[i].dead, groups[i].alive,
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
