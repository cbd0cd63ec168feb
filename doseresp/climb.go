package doseresp

import "math"

// The rule by which an ascent counts as arrived: the decrement gᵀI⁻¹g/2, the
// rise in log-likelihood that the quadratic model still promises, which
// bounds the squared distance to the maximum in standard errors.
const (
	decrementDone  = 1e-18 // the step that is left squares this below rounding
	decrementNoise = 1e-13 // a rise too small for the log-likelihood to show
	newtonBelow    = 0.1   // a decrement below which Newton's step leads
	scoringSteps   = 6     // steps after which Newton's leads in any case
	longStep       = 20.0  // and the length of the present line: no step is longer
	leastRise      = 1e-4  // share of the promised rise that a step must keep
	maxIterations  = 5000  // ordinary data need 4 to 8, absurd ones thousands
	slopeCap       = 1e5   // link units per standard deviation of log dose: no line, a step
	negligibleC    = 1e-9  // a C below this, and falling, is 0
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
	if !(s.loglik > m.levelLikelihood(s.c)) { // worse than no line at all
		s.params = m.flatStart(s.c)
		m.evaluate(s.params, &s.derivatives)
	}
	var trial derivatives
	previous := math.Inf(1)
	for s.iterations < maxIterations && !s.runaway {
		if 0 < s.c && s.c < negligibleC && s.gc < 0 && m.freeC && m.control.dead == 0 {
			s.c = 0 // scoring only ever divides C: take it to its boundary
			m.evaluate(s.params, &s.derivatives)
		}
		step, decrement := m.ascent(&s)
		scale := 1 + math.Abs(s.loglik)
		if decrement <= decrementDone {
			s.params = s.last(step)
			s.converged = true
			break
		}
		next, ok := m.search(&s, step, decrement, &trial)
		if !ok || trial.loglik <= s.loglik && decrement > previous/4 {
			// No rise that doubles can see, and no progress towards level ground.
			s.converged = decrement < decrementNoise*scale
			if s.converged || !ok {
				break
			}
		}
		s.params, s.derivatives = next, trial
		s.iterations++
		s.newton = decrement < newtonBelow || s.iterations >= scoringSteps
		s.runaway = math.Abs(s.b) > slopeCap
		previous = decrement
	}
	s.boundary = m.freeC && s.c == 0
	if s.converged { // level in every direction, but a maximum only where it curves down
		_, s.converged = cholesky(&s.observed, m.freeC && !s.boundary)
	}
	return s
}

// last is the point after a final step too short to need new derivatives.
func (s *summit) last(step params) params {
	return params{s.a + step.a, s.b + step.b, max(s.c+step.c, 0)}
}

// ascent returns the next step and its decrement: the scoring step far from
// the maximum, Newton's near it where the observed information is positive
// definite. C is left out while its bound holds it.
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

// search halves the step until the likelihood rises enough. It leaves the new
// point's derivatives in trial.
func (m *model) search(s *summit, step params, decrement float64, trial *derivatives) (params, bool) {
	t := 1.0
	// A step in η beyond this leaves the region where the quadratic means anything.
	size, longest := math.Abs(step.a)+math.Abs(step.b), longStep+math.Abs(s.a)+math.Abs(s.b)
	if size > longest {
		t = longest / size
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
		if trial.loglik >= s.loglik+leastRise*t*decrement-slack {
			return next, next != s.params
		}
		t /= 2
	}
	return s.params, false
}
