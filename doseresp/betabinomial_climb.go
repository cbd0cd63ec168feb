package doseresp

import "math"

// The rules of an ascent of the beta-binomial likelihood; see climb.go.
const (
	betaIterations = 300
	betaSlopeCap   = 1e9  // link units per standard deviation of log dose: a step
	betaPhiCap     = 1e10 // ρ = 1 as far as doubles tell
)

// betaTask is what an ascent may move: the free coordinates, within bounds.
type betaTask struct {
	origin       float64
	free         [betaCoordinates]bool
	lower, upper betaPoint
	tolerance    float64 // the decrement at which it has arrived
}

// betaTask returns the task of moving all that the model estimates.
func (m *model) betaTask() betaTask {
	return betaTask{
		free:      [betaCoordinates]bool{true, true, m.freeC, true},
		lower:     betaPoint{math.Inf(-1), 0, 0, 0},
		upper:     betaPoint{math.Inf(1), betaSlopeCap, cCap, betaPhiCap},
		tolerance: decrementDone,
	}
}

// betaSummit is where an ascent ended. The derivatives are those before its
// last step, which was too short to matter.
type betaSummit struct {
	betaPoint
	betaDerivatives
	active    [betaCoordinates]bool // free and not held by a bound
	converged bool
}

// climb ascends from start: by Newton's step where the curvature is that of a
// maximum, else by the Gauss-Newton one, halved until the likelihood rises.
func (m *betaModel) climb(start betaPoint, task *betaTask) betaSummit {
	s := betaSummit{betaPoint: start}
	for i := range s.betaPoint {
		s.betaPoint[i] = min(max(s.betaPoint[i], task.lower[i]), task.upper[i])
	}
	m.evaluate(&s.betaPoint, task.origin, &s.betaDerivatives)
	if math.IsInf(s.loglik, -1) || math.IsNaN(s.loglik) {
		return s
	}
	var trial betaDerivatives
	previous := math.Inf(1)
	for range betaIterations {
		step, decrement := s.ascent(task)
		if decrement <= task.tolerance {
			s.betaPoint = s.moved(&step, 1, task)
			s.converged = true
			break
		}
		next, ok := m.search(&s, &step, decrement, task, &trial)
		if !ok || trial.loglik <= s.loglik && decrement > previous/4 {
			s.converged = decrement < decrementNoise*(1+math.Abs(s.loglik))
			if s.converged || !ok {
				break
			}
		}
		s.betaPoint, s.betaDerivatives = next, trial
		previous = decrement
	}
	return s
}

// ascent returns the next step and its decrement. A coordinate at a bound that
// gradient or step would pass stays there.
func (s *betaSummit) ascent(task *betaTask) (step betaPoint, decrement float64) {
	s.active = task.free
	for i := range s.active {
		atLower, atUpper := s.betaPoint[i] <= task.lower[i], s.betaPoint[i] >= task.upper[i]
		if atLower && s.gradient[i] <= 0 || atUpper && s.gradient[i] >= 0 {
			s.active[i] = false
		}
	}
	for range betaCoordinates {
		step, decrement = s.direction()
		held := false
		for i := range s.active {
			if s.active[i] && (s.betaPoint[i] <= task.lower[i] && step[i] < 0 || s.betaPoint[i] >= task.upper[i] && step[i] > 0) {
				s.active[i], held = false, true
			}
		}
		if !held {
			break
		}
	}
	return step, decrement
}

func (s *betaSummit) direction() (step betaPoint, decrement float64) {
	if f, ok := s.observed.factorise(&s.active); ok {
		return f.solve(&s.gradient)
	}
	h := s.gauss
	for ridge := 1e-10; ridge < 1e3; ridge *= 100 {
		for i := range h {
			h[i][i] += ridge * (s.gauss[i][i] + 1e-10)
		}
		if f, ok := h.factorise(&s.active); ok {
			return f.solve(&s.gradient)
		}
	}
	return betaPoint{}, 0
}

// moved is the point after t times the step, clipped to the bounds.
func (p betaPoint) moved(step *betaPoint, t float64, task *betaTask) betaPoint {
	for i := range step {
		if step[i] != 0 {
			p[i] = min(max(p[i]+t*step[i], task.lower[i]), task.upper[i])
		}
	}
	return p
}

// search halves the step until the likelihood rises enough. The first step
// stops at the first bound on its way.
func (m *betaModel) search(s *betaSummit, step *betaPoint, decrement float64, task *betaTask, trial *betaDerivatives) (betaPoint, bool) {
	t := 1.0
	size := math.Abs(step[betaA]) + math.Abs(step[betaB])
	if longest := longStep + math.Abs(s.betaPoint[betaA]) + math.Abs(s.betaPoint[betaB]); size > longest {
		t = longest / size
	}
	edge, toEdge := -1, math.Inf(1)
	for i := range step {
		room := math.Inf(1)
		switch {
		case step[i] < 0:
			room = (task.lower[i] - s.betaPoint[i]) / step[i]
		case step[i] > 0:
			room = (task.upper[i] - s.betaPoint[i]) / step[i]
		}
		if room < toEdge {
			edge, toEdge = i, room
		}
	}
	slack := 1e-15 * math.Abs(s.loglik)
	for range 60 {
		next := s.moved(step, min(t, toEdge), task)
		if t >= toEdge { // exactly, whatever the rounding
			next[edge] = task.lower[edge]
			if step[edge] > 0 {
				next[edge] = task.upper[edge]
			}
		}
		m.evaluate(&next, task.origin, trial)
		if trial.loglik >= s.loglik+leastRise*min(t, toEdge)*decrement-slack {
			return next, next != s.betaPoint
		}
		t = min(t, toEdge) / 2
	}
	return s.betaPoint, false
}

// betaFactor is a Cholesky factor of the rows of a betaMatrix that are active;
// the others are those of the unit matrix.
type betaFactor struct {
	rows   betaMatrix
	active [betaCoordinates]bool
}

// factorise fails unless the active part is positive definite to working
// precision.
func (h *betaMatrix) factorise(active *[betaCoordinates]bool) (f betaFactor, ok bool) {
	f.active = *active
	for i := range h {
		if !active[i] {
			f.rows[i][i] = 1
			continue
		}
		for j := range i + 1 {
			if !active[j] {
				continue
			}
			sum := h[i][j]
			for k := range j {
				sum -= f.rows[i][k] * f.rows[j][k]
			}
			if i > j {
				f.rows[i][j] = sum / f.rows[j][j]
				continue
			}
			if !(sum > pivotTolerance*h[i][i]) || math.IsInf(sum, 1) {
				return f, false
			}
			f.rows[i][i] = math.Sqrt(sum)
		}
	}
	return f, true
}

// solve returns x with f fᵀ x = v in the active rows and 0 in the others, and xᵀv.
func (f *betaFactor) solve(v *betaPoint) (x betaPoint, quadratic float64) {
	for i := range x {
		if !f.active[i] {
			continue
		}
		x[i] = v[i]
		for k := range i {
			x[i] -= f.rows[i][k] * x[k]
		}
		x[i] /= f.rows[i][i]
		quadratic += x[i] * x[i]
	}
	for i := betaCoordinates - 1; i >= 0; i-- {
		for k := i + 1; k < betaCoordinates; k++ {
			x[i] -= f.rows[k][i] * x[k]
		}
		x[i] /= f.rows[i][i]
	}
	return x, quadratic
}
