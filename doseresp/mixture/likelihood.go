package mixture

import (
	"math"

	"vialwise/doseresp"
	"vialwise/doseresp/internal/quick"
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
	levels   []level   // the treated groups of the baseline
	alive    []float64 // by assay, all that were alive, at any dose
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

// loglik is the log-likelihood of a group of which a share P dies and Q lives.
func (n *tally) loglik(P, Q float64) float64 { return logPart(n.dead, P) + logPart(n.alive, Q) }

// logPart is n log p, 0 where n is 0. Where p is too small for a reciprocal it is
// -Inf: derivatives could not be computed there, and no ascent needs to go there.
func logPart(n, p float64) float64 {
	switch {
	case n == 0:
		return 0
	case p < 0x1p-1022:
		return math.Inf(-1)
	}
	return n * quick.Log(p)
}

// mixed is the share killed and the share spared at a dose, among those that
// natural mortality spares.
type mixed struct{ killed, spared float64 }

// at evaluates the two parts at a group.
func (m *model) at(p []float64, g *group) (susceptible, resistant doseresp.Tails, share float64) {
	if !g.field {
		return m.link.Tails(p[atA] + p[atB]*g.x), doseresp.Tails{Survival: 1}, 0
	}
	return m.susceptible(p, g), m.resistant(p, g), p[atQ]
}

// susceptible is that part of the field at a group.
func (m *model) susceptible(p []float64, g *group) doseresp.Tails {
	return m.link.Tails(p[atA] + p[atB]*(g.x-p[atD]))
}

// resistant is the other one; no dose kills the plateau.
func (m *model) resistant(p []float64, g *group) doseresp.Tails {
	if math.IsInf(p[atS], 1) {
		return doseresp.Tails{Survival: 1}
	}
	return m.link.Tails(p[atA] + p[atB]*(g.x-p[atD]-p[atS]))
}

func mix(s, r *doseresp.Tails, q float64) mixed {
	return mixed{(1-q)*s.CDF + q*r.CDF, (1-q)*s.Survival + q*r.Survival}
}

// loglik is the log-likelihood at p, without coefficients.
func (m *model) loglik(p []float64) float64 {
	sum := m.penalty(p) + m.logLiving(p)
	for i := range m.levels {
		v := &m.levels[i]
		s := m.link.Tails(p[atA] + p[atB]*v.x)
		sum += logPart(v.alive, s.Survival)
		for _, n := range v.of {
			c := p[atC+n.assay]
			sum += logPart(n.dead, c+(1-c)*s.CDF)
		}
	}
	for i := range m.groups {
		g := &m.groups[i]
		c := p[atC+g.assay]
		switch {
		case g.control:
			sum += logPart(g.dead, c)
		case g.field:
			s, r, q := m.at(p, g)
			x := mix(&s, &r, q)
			sum += logPart(g.dead, c+(1-c)*x.killed) + logPart(g.alive, x.spared)
		}
	}
	return sum
}

// logLiving is the part of the log-likelihood that all which lived owe to having
// been spared by natural mortality: one logarithm by assay.
func (m *model) logLiving(p []float64) float64 {
	sum := 0.0
	for k, n := range m.alive {
		sum += logPart(n, 1-p[atC+k])
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
	d.loglik = m.penalty(p) + m.logLiving(p)
	if m.variance > 0 {
		d.gradient[atD] -= p[atD] / m.variance
		d.observed[atD][atD] += 1 / m.variance
	}
	for i := range m.levels {
		m.addLevel(p, &m.levels[i], d)
	}
	for i := range m.groups {
		switch g := &m.groups[i]; {
		case g.control:
			d.addControl(p, g)
		case g.field:
			m.addGroup(p, g, d)
		}
	}
}

// score is what the derivatives of a group's log-likelihood are made of, where a
// share P of it dies and Q lives: r/P - s/Q, and r/P² + s/Q², each derivative of P
// times scale. The scale is 1 but where the square of P or Q would underflow.
func (n *tally) score(P, Q float64) (u, w, scale float64) {
	least := 1.0
	if n.dead > 0 {
		least = P
	}
	if n.alive > 0 {
		least = min(least, Q)
	}
	scale = 1
	if least < leastSquared {
		scale = 1 / least
		P, Q = P/least, Q/least
	}
	if n.dead > 0 {
		u = n.dead / P
		w = u / P
	}
	if n.alive > 0 {
		v := n.alive / Q
		u -= v
		w += v / Q
	}
	return u, w, scale
}

// leastSquared is a share whose square is still far from underflow.
const leastSquared = 1e-100

func (d *derivatives) addControl(p []float64, g *group) {
	k := atC + g.assay
	c := p[k]
	u, w, scale := g.score(c, 1-c)
	d.loglik += logPart(g.dead, c)
	d.gradient[k] += u * scale
	d.observed[k][k] += w * scale * scale
}

// addLevel adds the groups of the baseline at one dose. All they have in common
// are the derivatives of η in the line, which come last.
func (m *model) addLevel(p []float64, v *level, d *derivatives) {
	s := m.link.Tails(p[atA] + p[atB]*v.x)
	a, b := d.observed[atA], d.observed[atB]
	d.loglik += logPart(v.alive, s.Survival)
	gradient, observed := 0.0, 0.0 // in η
	for i := range v.of {
		n := &v.of[i]
		k := atC + n.assay
		c := p[k]
		rest := 1 - c
		P, Q := c+rest*s.CDF, rest*s.Survival
		u, w, scale := n.score(P, Q)
		d.loglik += logPart(n.dead, P)
		f, e, byC := rest*s.Density*scale, rest*s.Slope*scale, s.Survival*scale
		gradient += u * f
		observed += w*f*f - u*e
		d.gradient[k] += u * byC
		own := d.observed[k]
		own[k] += w * byC * byC
		cross := w*f*byC + u*s.Density*scale
		own[atA] += cross
		own[atB] += cross * v.x
	}
	d.gradient[atA] += gradient
	d.gradient[atB] += gradient * v.x
	a[atA] += observed
	b[atA] += observed * v.x
	b[atB] += observed * v.x * v.x
}

// local is the mortality of one group with its derivatives in the five common
// coordinates and its own C, in the order of the constants.
type local struct {
	first  [atC + 1]float64
	second [atC + 1][atC + 1]float64 // lower triangle
}

// addGroup adds a treated group of the field: with u = r/P - s/Q the gradient is u ∂P, and
// minus the second derivatives are (r/P² + s/Q²) ∂P ∂Pᵀ - u ∂²P.
func (m *model) addGroup(p []float64, g *group, d *derivatives) {
	s, r, q := m.at(p, g)
	x := mix(&s, &r, q)
	k := atC + g.assay
	c := p[k]
	P, Q := c+(1-c)*x.killed, (1-c)*x.spared
	d.loglik += logPart(g.dead, P) + logPart(g.alive, x.spared)
	u, w, scale := g.score(P, Q)
	var l local
	l.mixture(p, g, &s, &r, c, x.spared)
	if scale != 1 {
		l.times(scale)
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

func (l *local) times(scale float64) {
	for i := range l.first {
		l.first[i] *= scale
		for j := range i + 1 {
			l.second[i][j] *= scale
		}
	}
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
