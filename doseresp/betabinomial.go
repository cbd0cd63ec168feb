package doseresp

import "math"

// BetaBinomial is a line fitted by maximum likelihood with variation between
// containers: the mortality of a container is itself a beta variable about the
// line, so that two individuals of one container are correlated by Rho
// (Griffiths 1973, Biometrics 29:637-648; from memory).
type BetaBinomial struct {
	Link             Link
	Intercept, Slope float64
	Natural          float64 // C, estimated or as it was fixed
	Rho              float64 // intra-container correlation, 0 to 1
	LogLik           float64 // with binomial coefficients
	Boundary         bool    // Rho is 0, the edge of its domain: the binomial fits best
	Converged        bool    // the ascent arrived
}

// LC returns the dose that kills a percent of those that would not have died
// anyway. It panics unless 0 < percent < 100.
func (b *BetaBinomial) LC(percent float64) float64 {
	return math.Exp(math.Ln10 * (b.Link.Quantile(percent/100) - b.Intercept) / b.Slope)
}

// BetaBinomial fits the assay last fitted into r with variation between
// containers. Everything is estimated jointly; C as r's options say. ok is
// false where there is no such line: unless r has Converged, after Abbott's
// correction, whose fractional deaths have no beta-binomial likelihood, and
// where that likelihood has no finite maximum with a rising line.
func (f *Fitter) BetaBinomial(r *Result) (b BetaBinomial, ok bool) {
	var room betaRoom
	m, ok := f.betaModel(r, &room)
	if !ok {
		return BetaBinomial{}, false
	}
	s, ok := m.maximise(&f.summit, r.PearsonContainer)
	if !ok {
		return BetaBinomial{}, false
	}
	b = BetaBinomial{
		Link:      m.link,
		Slope:     s.betaPoint[betaB] / m.scale,
		Natural:   s.betaPoint[betaC],
		Rho:       s.betaPoint[betaPhi] / (1 + s.betaPoint[betaPhi]),
		LogLik:    s.loglik + m.coefficients(),
		Boundary:  s.betaPoint[betaPhi] == 0,
		Converged: s.converged,
	}
	b.Intercept = s.betaPoint[betaA] - s.betaPoint[betaB]*m.centre/m.scale
	return b, true
}

// betaModel prepares the likelihood, and says whether there may be a line.
func (f *Fitter) betaModel(r *Result, room *betaRoom) (m betaModel, ok bool) {
	if r.Status != Converged || r.Natural.Mode == AbbottCorrection {
		return m, false
	}
	return betaModel{model: &f.model, betaCounts: f.model.countBeta(room)}, true
}

// coefficients is Σ log (n over r) of the containers in the likelihood.
func (m *betaModel) coefficients() float64 {
	all := m.sorted
	if m.model.control.exposed == 0 {
		all = m.treatedContainers()
	}
	sum := 0.0
	for i := range all {
		sum += logCoefficient(float64(all[i].Exposed), float64(all[i].Dead))
	}
	return sum
}

// Where further ascents start: the likelihood may have several summits.
const (
	secondPhi = 0.15
	lowPhi    = 0.03
)

// maximise climbs from the binomial summit, with ρ from the excess of X², and
// from other starts, because natural mortality and ρ both explain deaths that
// the line does not. It fails unless there is a rising line of finite slope.
func (m *betaModel) maximise(binomial *summit, x Pearson) (betaSummit, bool) {
	task := m.betaTask()
	start := betaPoint{binomial.a, binomial.b, binomial.c, m.momentPhi(x)}
	best := m.climb(start, &task)
	climb := func(p betaPoint) {
		s := m.climb(p, &task)
		if s.loglik > best.loglik+1e-9 || !best.converged && s.converged && s.loglik > best.loglik-1e-9 {
			best = s
		}
	}
	if best.betaPoint[betaPhi] > 0 {
		start[betaPhi] = 0
	} else {
		start[betaPhi] = secondPhi
	}
	climb(start)
	if m.freeC {
		p := m.startAt(0)
		climb(betaPoint{p.a, p.b, 0.3 * m.lowRate(0), secondPhi})
		p = m.startAt(m.lowRate(2))
		climb(betaPoint{p.a, 4 * p.b, p.c, lowPhi})
	}
	b := best.betaPoint[betaB]
	return best, b > 0 && !m.steps(&best)
}

// lowRate is the mortality of the controls and some low doses together, the
// natural mortality if these have no effect.
func (m *betaModel) lowRate(doses int) float64 {
	n, r := m.model.control.exposed, m.model.control.dead
	for _, g := range m.model.treated[:doses] {
		n += g.exposed
		r += g.dead
	}
	if r == 0 {
		return 0
	}
	return min((r+0.5)/(n+1), 0.5)
}

// momentPhi is φ where the expectation of X² is what it is, X²/df = 1 + (n-1)ρ.
func (m *betaModel) momentPhi(x Pearson) float64 {
	n := m.sizes.n / m.sizes.first
	if x.DF == 0 || n <= 1 {
		return 0
	}
	rho := (x.X2/float64(x.DF) - 1) / (n - 1)
	rho = min(max(rho, 0), 0.5)
	return rho / (1 - rho)
}

// steps says whether a step, the limit of an infinite slope, does as well as
// the line: then no finite line is the best.
func (m *betaModel) steps(s *betaSummit) bool {
	top := len(m.betaCounts.treated) - 1
	for m.betaCounts.treated[top].alive.first == 0 {
		top--
	}
	u := m.betaCounts.treated[top].u
	gap := math.Inf(1)
	if top > 0 {
		gap = u - m.betaCounts.treated[top-1].u
	}
	if top+1 < len(m.betaCounts.treated) {
		gap = min(gap, m.betaCounts.treated[top+1].u-u)
	}
	if s.betaPoint[betaB]*gap < leastStep {
		return false
	}
	// A line through group top, so steep that the others get 0 or 1.
	task := m.betaTask()
	task.origin = u
	task.free[betaB] = false
	task.lower[betaA], task.upper[betaA] = -flatEnd, flatEnd
	start := s.betaPoint
	start[betaA] = min(max(start[betaA]+start[betaB]*u, -3), 3)
	start[betaB] = betaSlopeCap
	if m.freeC {
		start[betaC] = max(start[betaC], 1e-3)
	}
	limit := m.climb(start, &task)
	return limit.loglik >= s.loglik-likelihoodTolerance(s.loglik)
}

const (
	leastStep = 2.5  // rise in η from dose to dose below which no step is near
	flatEnd   = 40.0 // η beyond which F is 0 or 1 to any count
)
