package doseresp

import "math"

// The rule by which an ascent counts as arrived: the decrement gᵀI⁻¹g/2, the
// rise in log-likelihood that the quadratic model still promises, which
// bounds the squared distance to the maximum in standard errors.
const (
	decrementDone  = 1e-18  // no further step is worth taking
	decrementNoise = 1e-13  // a rise too small for the log-likelihood to show
	newtonBelow    = 0.1    // a decrement below which Newton's step leads
	decrementLast  = 1e-9   // one more Newton step squares this below rounding
	maxIterations  = 200    // scoring needs 4 to 8 on ordinary data
	slopeCap       = 2000.0 // link units per standard deviation of log dose: no line, a step
	cCap           = 1 - 1e-12
)

// summit is where an ascent of the likelihood ended.
type summit struct {
	params
	derivatives
	iterations int
	converged  bool
	runaway    bool // the slope grew past slopeCap
	boundary   bool // C is held at 0 by its score
	newton     bool // close enough for the observed information to lead
}

// climb maximises the likelihood from start by Fisher scoring with step
// halving, in whose last part observed information (Newton) takes over.
func (m *model) climb(start params) summit {
	s := summit{params: start}
	if !m.freeC {
		s.c = m.fixedC
	}
	m.evaluate(s.params, &s.derivatives)
	var trial derivatives
	for s.iterations < maxIterations {
		step, decrement := m.ascent(&s)
		s.newton = decrement < newtonBelow
		if decrement <= decrementDone*(1+math.Abs(s.loglik)) {
			s.converged = true
			break
		}
		s.iterations++
		next, ok := m.search(&s, step, &trial)
		if !ok { // no rise left that doubles can see
			s.converged = decrement < decrementNoise*(1+math.Abs(s.loglik))
			break
		}
		s.params, s.derivatives = next, trial
		if math.Abs(s.b) > slopeCap {
			s.runaway = true
			break
		}
		if decrement < decrementLast && s.iterations > 1 {
			// quadratic convergence: what remains is the square of this
			_, left := m.ascent(&s)
			if left < decrement {
				s.converged = left < decrementDone*(1+math.Abs(s.loglik))
				if s.converged {
					break
				}
			}
		}
	}
	s.boundary = m.freeC && s.c == 0
	return s
}

// ascent returns the next step and its decrement: the scoring step far from
// the maximum, Newton's near it where the observed information is positive
// definite.
// C is left out while its bound holds it.
func (m *model) ascent(s *summit) (step params, decrement float64) {
	withC := m.freeC && (s.c > 0 || s.gc > 0)
	step, decrement = s.direction(withC)
	if withC && s.c == 0 && step.c <= 0 {
		step, decrement = s.direction(false)
	}
	return step, decrement
}

func (s *summit) direction(withC bool) (params, float64) {
	if s.newton {
		if f, ok := cholesky(&s.observed, withC); ok {
			return f.solve(s.ga, s.gb, s.gc)
		}
	}
	if f, ok := cholesky(&s.expected, withC); ok {
		return f.solve(s.ga, s.gb, s.gc)
	}
	// Both singular: steepest ascent in the scale of the diagonal.
	d := s.expected
	ridge := 1e-8*(d.aa+d.bb) + 1e-300
	d.aa, d.bb = d.aa+ridge, d.bb+ridge
	d.ab = 0
	f, ok := cholesky(&d, false)
	if !ok {
		return params{}, 0
	}
	return f.solve(s.ga, s.gb, 0)
}

// search halves the step until the likelihood rises. It leaves the new
// point's derivatives in trial.
func (m *model) search(s *summit, step params, trial *derivatives) (params, bool) {
	t := 1.0
	// A step in η beyond this leaves the region where the quadratic means anything.
	if size := math.Abs(step.a) + math.Abs(step.b); size > 50 {
		t = 50 / size
	}
	toEdge := math.Inf(1)
	if step.c < 0 {
		toEdge = s.c / -step.c
	}
	slack := 1e-15 * math.Abs(s.loglik)
	for range 60 {
		next := params{s.a + t*step.a, s.b + t*step.b, s.c + t*step.c}
		if t >= toEdge { // stop on the edge C = 0
			next = params{s.a + toEdge*step.a, s.b + toEdge*step.b, 0}
		}
		if next.c > cCap {
			next.c = (s.c + 1) / 2
		}
		m.evaluate(next, trial)
		if trial.loglik >= s.loglik-slack {
			return next, next != s.params
		}
		t /= 2
	}
	return s.params, false
}
