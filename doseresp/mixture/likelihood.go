package mixture

import (
	"math"

	"vialwise/doseresp"
)

// The coordinates of the likelihood. The natural mortality of assay k follows
// at atC + k.
const (
	atA = iota // intercept, at the centre of the log doses
	atB        // slope
	atQ        // resistant fraction
	atS        // shift in log10 dose; +Inf is the plateau
	atD        // δ, the shift of the susceptible part of the field
	atC
)

// model is the joint log-likelihood of baseline and field.
type model struct {
	*counts
	link     doseresp.Link
	variance float64 // of δ; 0 holds δ at 0
}

// derivatives is the log-likelihood without coefficients at a point, its
// gradient, and minus its second derivatives in the lower triangle.
type derivatives struct {
	loglik   float64
	gradient []float64
	observed [][]float64
}

func newDerivatives(n int) derivatives {
	d := derivatives{gradient: make([]float64, n), observed: make([][]float64, n)}
	rows := make([]float64, n*n)
	for i := range d.observed {
		d.observed[i] = rows[i*n : i*n+n]
	}
	return d
}

func (d *derivatives) reset() {
	d.loglik = 0
	for i := range d.gradient {
		d.gradient[i] = 0
		for j := range d.observed[i] {
			d.observed[i][j] = 0
		}
	}
}

// size is the number of coordinates.
func (m *model) size() int { return atC + m.assays }

// logPart is n log p, 0 where n is 0.
func logPart(n, p float64) float64 {
	if n == 0 {
		return 0
	}
	return n * math.Log(p)
}

// mixed is the share killed and the share spared at a dose, among those that
// natural mortality spares.
type mixed struct{ killed, spared float64 }

// at evaluates the two parts at a group.
func (m *model) at(p []float64, g *group) (susceptible, resistant doseresp.Tails, share float64) {
	if !g.field {
		return m.link.Tails(p[atA] + p[atB]*g.x), doseresp.Tails{Survival: 1}, 0
	}
	eta := p[atA] + p[atB]*(g.x-p[atD])
	susceptible = m.link.Tails(eta)
	resistant.Survival = 1
	if !math.IsInf(p[atS], 1) {
		resistant = m.link.Tails(eta - p[atB]*p[atS])
	}
	return susceptible, resistant, p[atQ]
}

func mix(s, r *doseresp.Tails, q float64) mixed {
	return mixed{(1-q)*s.CDF + q*r.CDF, (1-q)*s.Survival + q*r.Survival}
}

// loglik is the log-likelihood at p, without coefficients.
func (m *model) loglik(p []float64) float64 {
	sum := m.penalty(p)
	for i := range m.groups {
		g := &m.groups[i]
		c := p[atC+g.assay]
		if g.control {
			sum += logPart(g.dead, c) + logPart(g.alive, 1-c)
			continue
		}
		s, r, q := m.at(p, g)
		x := mix(&s, &r, q)
		sum += logPart(g.dead, c+(1-c)*x.killed) + logPart(g.alive, (1-c)*x.spared)
	}
	return sum
}

// penalty is the log density of δ without its constant.
func (m *model) penalty(p []float64) float64 {
	if m.variance == 0 {
		return 0
	}
	return -p[atD] * p[atD] / (2 * m.variance)
}

// evaluate computes the derivatives at p.
func (m *model) evaluate(p []float64, d *derivatives) {
	d.reset()
	d.loglik = m.penalty(p)
	if m.variance > 0 {
		d.gradient[atD] -= p[atD] / m.variance
		d.observed[atD][atD] += 1 / m.variance
	}
	for i := range m.groups {
		g := &m.groups[i]
		if g.control {
			m.addControl(p, g, d)
		} else {
			m.addGroup(p, g, d)
		}
	}
}

func (m *model) addControl(p []float64, g *group, d *derivatives) {
	k := atC + g.assay
	c := p[k]
	d.loglik += logPart(g.dead, c) + logPart(g.alive, 1-c)
	if g.dead > 0 {
		d.gradient[k] += g.dead / c
		d.observed[k][k] += g.dead / (c * c)
	}
	d.gradient[k] -= g.alive / (1 - c)
	d.observed[k][k] += g.alive / ((1 - c) * (1 - c))
}

// local is the mortality of one group with its derivatives in the five common
// coordinates and its own C, in the order of the constants.
type local struct {
	first  [atC + 1]float64
	second [atC + 1][atC + 1]float64 // lower triangle
}

// addGroup adds a treated group: with u = r/P - s/Q the gradient is u ∂P, and
// minus the second derivatives are (r/P² + s/Q²) ∂P ∂Pᵀ - u ∂²P.
func (m *model) addGroup(p []float64, g *group, d *derivatives) {
	s, r, q := m.at(p, g)
	x := mix(&s, &r, q)
	k := atC + g.assay
	c := p[k]
	P, Q := c+(1-c)*x.killed, (1-c)*x.spared
	d.loglik += logPart(g.dead, P) + logPart(g.alive, Q)
	var u, w float64
	if g.dead > 0 {
		u, w = g.dead/P, g.dead/(P*P)
	}
	if g.alive > 0 {
		u -= g.alive / Q
		w += g.alive / (Q * Q)
	}
	var l local
	if g.field {
		l.mixture(p, g, &s, &r, c, x.spared)
	} else {
		l.line(g, &s, c)
	}
	for i := range l.first {
		to := i
		if i == atC {
			to = k
		}
		d.gradient[to] += u * l.first[i]
		for j := range i {
			d.observed[to][j] += w*l.first[i]*l.first[j] - u*l.second[i][j]
		}
		d.observed[to][to] += w*l.first[i]*l.first[i] - u*l.second[i][i]
	}
}

// line fills in a group of the baseline.
func (l *local) line(g *group, s *doseresp.Tails, c float64) {
	f, e := (1-c)*s.Density, (1-c)*s.Slope
	l.first[atA], l.first[atB], l.first[atC] = f, f*g.x, s.Survival
	l.second[atA][atA], l.second[atB][atA], l.second[atB][atB] = e, e*g.x, e*g.x*g.x
	l.second[atC][atA], l.second[atC][atB] = -s.Density, -s.Density*g.x
}

// mixture fills in a group of the field. y and z are the log doses as the two
// parts feel them.
func (l *local) mixture(p []float64, g *group, s, r *doseresp.Tails, c, spared float64) {
	b, q := p[atB], p[atQ]
	y := g.x - p[atD]
	z := 0.0
	if !math.IsInf(p[atS], 1) {
		z = y - p[atS]
	}
	f1, f2 := (1-c)*(1-q)*s.Density, (1-c)*q*r.Density
	e1, e2 := (1-c)*(1-q)*s.Slope, (1-c)*q*r.Slope
	byQ, rise := (1-c)*(r.CDF-s.CDF), (1-c)*(r.Density-s.Density)
	f := &l.first
	f[atA], f[atB] = f1+f2, f1*y+f2*z
	f[atQ], f[atS], f[atD] = byQ, -b*f2, -b*(f1+f2)
	f[atC] = spared

	h := &l.second
	ab := e1*y + e2*z
	h[atA][atA], h[atB][atA], h[atB][atB] = e1+e2, ab, e1*y*y+e2*z*z
	h[atQ][atA], h[atQ][atB] = rise, (1-c)*(r.Density*z-s.Density*y)
	h[atS][atA], h[atS][atB], h[atS][atQ], h[atS][atS] = -b*e2, -b*e2*z-f2, -(1-c)*b*r.Density, b*b*e2
	h[atD][atA], h[atD][atB], h[atD][atQ] = -b*(e1+e2), -b*ab-(f1+f2), -b*rise
	h[atD][atS], h[atD][atD] = b*b*e2, b*b*(e1+e2)
	for i := range atC {
		h[atC][i] = -f[i] / (1 - c)
	}
}
