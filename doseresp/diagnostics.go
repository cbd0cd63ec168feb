package doseresp

import "math"

// ContainerDiagnostic is how one container agrees with the fitted line.
type ContainerDiagnostic struct {
	Container     Container
	ExpectedDead  float64 // n P
	ExpectedAlive float64 // n (1 - P)
	Residual      float64 // Pearson's, (r - nP)/√(nP(1-P)): above 0 where more died than expected
	Leverage      float64 // its share in its own expected number, 0 to 1
	Standardised  float64 // Residual/√(1 - Leverage); NaN where the line must pass through it
	Sparse        bool    // fewer than one dead or fewer than one alive is expected
}

// fullLeverage is the leverage from which on a residual is rounding alone.
const fullLeverage = 1 - 1e-10

// Diagnostics appends a diagnostic of every container in the likelihood to
// dst: first the untreated, where the model includes them, then by rising
// dose. It is valid only directly after f.Fit into r, and appends nothing
// where that found no finite line.
//
// The leverages are the diagonal of W^½ X (XᵀWX)⁻¹ Xᵀ W^½, with the expected
// information XᵀWX of the free parameters: a, b and, where it was estimated
// and lies above 0, C (Pregibon 1981, Ann. Statist. 9:705-724; McCullagh &
// Nelder 1989, Generalized Linear Models, 2nd edition, chapter 12; both from
// memory). They add up to the number of free parameters, and the squared
// residuals to X² by container. Heterogeneity is not divided out. With
// Abbott's correction the residuals are those of the corrected counts.
func (f *Fitter) Diagnostics(r *Result, dst []ContainerDiagnostic) []ContainerDiagnostic {
	if math.IsNaN(r.Slope) {
		return dst
	}
	m, s := &f.model, &f.summit
	h := newHat(m, s)
	if m.control.exposed > 0 {
		alive := 1 - s.c
		for _, k := range m.sorted[:m.controls] {
			dst = append(dst, diagnose(k, float64(k.Dead), s.c, alive, h.control(s.c)))
		}
	}
	rest := m.treatedContainers()
	for i := range m.treated {
		g := &m.treated[i]
		p := m.cellAt(s.params, g)
		each := h.treated(m, s, g)
		for ; len(rest) > 0 && rest[0].Dose == g.dose; rest = rest[1:] {
			dead := float64(rest[0].Dead)
			if r.Natural.Mode == AbbottCorrection {
				dead = correctedDead(rest[0], r.Natural.Estimate)
			}
			dst = append(dst, diagnose(rest[0], dead, p.dead, p.alive, each))
		}
	}
	return dst
}

// diagnose compares a container with its mortality P = 1 - Q, given the
// leverage of each individual in it.
func diagnose(k Container, dead, P, Q, each float64) ContainerDiagnostic {
	n := float64(k.Exposed)
	d := ContainerDiagnostic{
		Container: k, ExpectedDead: n * P, ExpectedAlive: n * Q,
		Leverage: min(n*each, 1), Standardised: math.NaN(),
	}
	d.Sparse = min(d.ExpectedDead, d.ExpectedAlive) < smallExpectedCell
	d.Residual = math.Copysign(math.Sqrt(pearsonTerm(n, dead, P, Q)), dead-d.ExpectedDead)
	if d.Leverage < fullLeverage {
		d.Standardised = d.Residual / math.Sqrt(1-d.Leverage)
	}
	return d
}

// hat holds the inverse of the expected information at a summit.
type hat struct {
	symmetric
	withC bool
}

func newHat(m *model, s *summit) hat {
	var d derivatives
	m.evaluate(s.params, &d) // the summit's are those of the step before its last
	h := hat{withC: m.freeC && s.c > 0}
	f, ok := cholesky(&d.expected, h.withC)
	if !ok {
		nan := math.NaN()
		h.symmetric = symmetric{nan, nan, nan, nan, nan, nan}
		return h
	}
	h.symmetric = f.inverse()
	return h
}

// control is the leverage of one untreated individual.
func (h *hat) control(c float64) float64 {
	if !h.withC {
		return 0
	}
	return h.cc / (c * (1 - c))
}

// treated is the leverage of one individual of a group, gᵀ I⁻¹ g/(P(1-P)) with
// g the derivatives of P by a, b and C. The terms are those of
// model.evaluate's expected information.
func (h *hat) treated(m *model, s *summit, g *group) float64 {
	t := m.link.at(s.a + s.b*g.u)
	P, w, alive := t.cdf, t.reverse, 1-s.c
	if s.c > 0 {
		P = s.c + alive*t.cdf
		w = alive * t.density() / P
	}
	sum := w * t.hazard * (h.aa + 2*g.u*h.ab + g.u*g.u*h.bb)
	if h.withC {
		sum += 2*w/alive*(h.ac+g.u*h.bc) + t.survival/(P*alive)*h.cc
	}
	return sum
}
