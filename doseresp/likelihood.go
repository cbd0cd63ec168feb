package doseresp

import "math"

// params is a point of the likelihood in the standardised dose: η = a + b u.
type params struct{ a, b, c float64 }

// symmetric is the lower triangle of a 3x3 symmetric matrix in the order a, b, c.
type symmetric struct{ aa, ab, bb, ac, bc, cc float64 }

// derivatives is the log-likelihood (without binomial coefficients), its
// gradient and its two information matrices at one point.
type derivatives struct {
	loglik     float64
	ga, gb, gc float64
	observed   symmetric // minus the second derivatives
	expected   symmetric // their expectation under the model
}

// model is the likelihood of one assay: its data, link and treatment of C.
type model struct {
	*design
	link   Link
	freeC  bool
	fixedC float64 // used unless freeC
}

// logTerm is n·log p with 0·log 0 = 0.
func logTerm(n, logp float64) float64 {
	if n == 0 {
		return 0
	}
	return n * logp
}

// logMixed is log P given P and Q = 1 - P, from whichever is the smaller.
func logMixed(P, Q float64) float64 {
	if P > 0.5 {
		return math.Log1p(-Q)
	}
	return math.Log(P)
}

// evaluate computes the derivatives at p.
//
// With w = (1-C)F'/P, v = F'/(1-F) and k = F”/F', a group of n with r dead
// contributes
//
//	∂ℓ/∂η = r w - s v,  s = n - r
//	-∂²ℓ/∂η² = r w (w - k) + s v (v + k),  expectation n w v
//	∂ℓ/∂C = r (1-F)/P - s/(1-C)
//	-∂²ℓ/∂η∂C = r w/(P (1-C)),  expectation n w/(1-C)
//	-∂²ℓ/∂C² = r ((1-F)/P)² + s/(1-C)²,  expectation n (1-F)/(P (1-C))
//
// in which no difference of nearly equal numbers occurs.
func (m *model) evaluate(p params, d *derivatives) {
	*d = derivatives{}
	alive := 1 - p.c
	logAlive := math.Log1p(-p.c)
	if p.c > 0 || m.freeC {
		m.addControl(p.c, logAlive, d)
	}
	for i := range m.treated {
		g := &m.treated[i]
		t := m.link.at(p.a + p.b*g.u)
		eta := p.a + p.b*g.u
		r, s := g.dead, g.survivors()

		P, w := t.cdf, t.reverse
		if p.c > 0 {
			P = p.c + alive*t.cdf
			w = alive * t.density() / P
			d.loglik += logTerm(r, logMixed(P, alive*t.survival))
		} else if r > 0 {
			d.loglik += r * t.logCDF(m.link, eta)
		}
		if s > 0 {
			d.loglik += s * (logAlive + t.logSurvival(m.link, eta))
		}
		rw, sv := r*w, s*t.hazard
		first := rw - sv
		second := rw*(w-t.curvature) + sv*(t.hazard+t.curvature)
		fisher := g.exposed * w * t.hazard
		d.ga += first
		d.gb += first * g.u
		d.observed.aa += second
		d.observed.ab += second * g.u
		d.observed.bb += second * g.u * g.u
		d.expected.aa += fisher
		d.expected.ab += fisher * g.u
		d.expected.bb += fisher * g.u * g.u
		if m.freeC {
			d.addC(g, t.survival, P, w, alive)
		}
	}
}

// addC adds a treated group's share of everything that involves C.
func (d *derivatives) addC(g *group, survival, P, w, alive float64) {
	r, s := g.dead, g.survivors()
	q := survival / P // (1-F)/P
	if r > 0 {
		d.gc += r * q
		cross := r * w / (P * alive)
		d.observed.ac += cross
		d.observed.bc += cross * g.u
		d.observed.cc += r * q * q
	}
	d.gc -= s / alive
	d.observed.cc += s / (alive * alive)
	cross := g.exposed * w / alive
	d.expected.ac += cross
	d.expected.bc += cross * g.u
	d.expected.cc += g.exposed * q / alive
}

// addControl adds the untreated group, whose mortality is C itself.
func (m *model) addControl(c, logAlive float64, d *derivatives) {
	n, r := m.control.exposed, m.control.dead
	if n == 0 {
		return
	}
	s := n - r
	d.loglik += logTerm(r, math.Log(c)) + logTerm(s, logAlive)
	if r > 0 {
		d.gc += r / c
		d.observed.cc += r / (c * c)
	}
	d.gc -= s / (1 - c)
	d.observed.cc += s / ((1 - c) * (1 - c))
	if c > 0 {
		d.expected.cc += n / (c * (1 - c))
	}
}

// logCoefficient is log (n over r), the part of the binomial log-likelihood
// that holds no parameter; r may be fractional after Abbott's correction.
func logCoefficient(n, r float64) float64 {
	if r == 0 || r == n {
		return 0
	}
	return logFactorial(n) - logFactorial(r) - logFactorial(n-r)
}
