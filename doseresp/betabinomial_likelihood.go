package doseresp

import "math"

// The coordinates of the beta-binomial likelihood: the line in standardised
// log dose, natural mortality and φ = ρ/(1-ρ).
const (
	betaA = iota
	betaB
	betaC
	betaPhi
	betaCoordinates
)

// betaPoint is a point of the likelihood.
type betaPoint [betaCoordinates]float64

// betaMatrix holds a symmetric matrix in its lower triangle.
type betaMatrix [betaCoordinates][betaCoordinates]float64

// betaDerivatives is the log-likelihood without binomial coefficients, its
// gradient and two curvatures.
type betaDerivatives struct {
	loglik   float64
	gradient betaPoint
	observed betaMatrix // minus the second derivatives
	// gauss is observed without the curvature of P in the parameters and of
	// the term in n; it is never negative.
	gauss betaMatrix
}

// betaModel is the beta-binomial likelihood of one assay.
type betaModel struct {
	*model
	betaCounts
}

// betaSums are sums over the containers of one side of one group, with p for P
// or Q:
//
//	g = Σ p/(p+kφ)   gg = Σ (p/(p+kφ))²   k = Σ k/(p+kφ)   kk = Σ (k/(p+kφ))²
//	gk = Σ k p/(p+kφ)²   log = Σ log(p+kφ)
type betaSums struct{ g, gg, k, kk, gk, log float64 }

// Bounds of what a product of likelihood terms may reach before its logarithm
// is taken, so that the next factors cannot take it out of range.
const (
	productLow  = 1e-120
	productHigh = 1e120
	smallFactor = 1e-50 // a smaller factor is taken out as its logarithm
)

// smallestRate keeps derivatives finite where P underflows at ρ = 0.
const smallestRate = 1e-70

// sums computes them for one side. The likelihood terms are multiplied and the
// logarithm taken once.
func (c *betaCounts) sums(s *betaSide, p, logp, phi float64) betaSums {
	if s.first == 0 {
		return betaSums{}
	}
	if phi == 0 {
		sum := betaSums{g: s.n, gg: s.n, log: s.n * logp}
		if s.sumK > 0 {
			p = max(p, smallestRate)
			sum.k, sum.kk, sum.gk = s.sumK/p, s.sumK2/(p*p), s.sumK/p
		}
		return sum
	}
	sum := betaSums{g: s.first, gg: s.first, log: s.first * logp}
	product := 1.0
	k := 0.0
	for _, n := range c.more[s.from:s.to] {
		k++
		t := p + k*phi
		inverse := 1 / t
		g, kt := p*inverse, k*inverse
		sum.g += n * g
		sum.gg += n * g * g
		sum.k += n * kt
		sum.kk += n * kt * kt
		sum.gk += n * g * kt
		switch {
		case t < smallFactor || n > 4:
			sum.log += n * math.Log(t)
			continue
		case n == 2:
			t *= t
		case n == 3:
			t *= t * t
		case n == 4:
			t *= t
			t *= t
		}
		product *= t
		if product < productLow || product > productHigh {
			sum.log += math.Log(product)
			product = 1
		}
	}
	sum.log += math.Log(product)
	return sum
}

// evaluate computes the derivatives at p, for η = a + b (u - origin).
//
// A container of n with r dead and s = n - r alive has the beta-binomial
// log-likelihood, divided by its coefficient and written with φ = ρ/(1-ρ),
//
//	Σ_{k<r} log(P+kφ) + Σ_{k<s} log(Q+kφ) - Σ_{k<n} log(1+kφ)
//
// (Griffiths 1973, Biometrics 29:637-648, with his θ for φ; from memory). With
// w, v and q as in the binomial likelihood, R its sums over the dead and S
// over the survivors,
//
//	∂ℓ/∂η = w R.g - v S.g,  ∂ℓ/∂C = q R.g - S.g/(1-C),  q = (1-F)/P
//
// and the second derivatives follow by the chain rule through P.
func (m *betaModel) evaluate(p *betaPoint, origin float64, d *betaDerivatives) {
	*d = betaDerivatives{}
	c, phi := p[betaC], p[betaPhi]
	m.addSizes(phi, d)
	logAlive := math.Log1p(-c)
	m.addBetaControl(c, logAlive, phi, d)
	for i := range m.betaCounts.treated {
		g := &m.betaCounts.treated[i]
		x := g.u - origin
		eta := p[betaA] + p[betaB]*x
		t := m.link.at(eta)
		P, w := t.cdf, t.reverse
		var logP, logQ float64
		if g.dead.first > 0 {
			if c > 0 {
				P = c + (1-c)*t.cdf
				w = (1 - c) * t.density() / P
				logP = logMixed(P, (1-c)*t.survival)
			} else {
				logP = t.logCDF(m.link, eta)
			}
		}
		if g.alive.first > 0 {
			logQ = logAlive + t.logSurvival(m.link, eta)
		}
		dead := m.sums(&g.dead, P, logP, phi)
		alive := m.sums(&g.alive, (1-c)*t.survival, logQ, phi)
		d.add(x, 1/(1-c), betaRates{w, t.hazard, t.survival / max(P, smallestRate), t.curvature}, &dead, &alive)
	}
}

// betaRates are the logarithmic derivatives of P and Q at one dose.
type betaRates struct{ w, v, q, curvature float64 }

// add adds a treated group at x with alive = 1/(1-C).
func (d *betaDerivatives) add(x, alive float64, r betaRates, dead, living *betaSums) {
	if dead.g == 0 {
		r.w, r.q = 0, 0
	}
	if living.g == 0 {
		r.v = 0 // may be too large to square
	}
	d.loglik += dead.log + living.log
	first := r.w*dead.g - r.v*living.g
	d.gradient[betaA] += first
	d.gradient[betaB] += first * x
	d.gradient[betaC] += r.q*dead.g - alive*living.g
	d.gradient[betaPhi] += dead.k + living.k

	ee := r.w*r.w*dead.gg + r.v*r.v*living.gg
	ec := r.w*r.q*dead.gg + r.v*alive*living.gg
	ep := r.w*dead.gk - r.v*living.gk
	cc := r.q*r.q*dead.gg + alive*alive*living.gg
	cp := r.q*dead.gk - alive*living.gk
	pp := dead.kk + living.kk
	d.gauss.addGroup(x, ee, ec, ep, cc, cp, pp)
	d.observed.addGroup(x, ee-r.curvature*first, ec+alive*first, ep, cc, cp, pp)
}

// addGroup adds curvatures in η, C and φ, whose η is a + b x.
func (h *betaMatrix) addGroup(x, ee, ec, ep, cc, cp, pp float64) {
	h[betaA][betaA] += ee
	h[betaB][betaA] += ee * x
	h[betaB][betaB] += ee * x * x
	h[betaC][betaA] += ec
	h[betaC][betaB] += ec * x
	h[betaC][betaC] += cc
	h[betaPhi][betaA] += ep
	h[betaPhi][betaB] += ep * x
	h[betaPhi][betaC] += cp
	h[betaPhi][betaPhi] += pp
}

// addBetaControl adds the untreated containers, whose P is C itself.
func (m *betaModel) addBetaControl(c, logAlive, phi float64, d *betaDerivatives) {
	g := &m.betaCounts.control
	if g.dead.first == 0 && g.alive.first == 0 {
		return
	}
	var logC float64
	if g.dead.first > 0 {
		logC = math.Log(c)
	}
	dead, living := m.sums(&g.dead, c, logC, phi), m.sums(&g.alive, 1-c, logAlive, phi)
	d.add(0, 1/(1-c), betaRates{q: 1 / max(c, smallestRate)}, &dead, &living)
}

// addSizes subtracts the terms in n.
func (m *betaModel) addSizes(phi float64, d *betaDerivatives) {
	n := m.sums(&m.sizes, 1, 0, phi)
	d.loglik -= n.log
	d.gradient[betaPhi] -= n.k
	d.observed[betaPhi][betaPhi] -= n.kk
}
