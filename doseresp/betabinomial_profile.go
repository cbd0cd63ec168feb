package doseresp

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// BetaBinomialProfile returns the profile limits of the dose that kills percent
// per cent, in the likelihood of BetaBinomial, at r's level: the doses at which
// twice the fall of the log-likelihood, maximised over slope, natural mortality
// and ρ, is at most the quantile of F with 1 and the container degrees of
// freedom (of chi-squared with 1 where there are none). ρ takes the place of a
// heterogeneity factor.
//
// A side has no limit where a slope of 0, at which every dose is as good as any
// other, lies above that cut. Neither side has one where BetaBinomial has no
// line. A limit may be one of the tested doses: there the profile can jump,
// because an ever steeper line through that dose fits on one side of it only.
// It panics unless 0 < percent < 100.
func (f *Fitter) BetaBinomialProfile(r *Result, percent float64) Limits {
	z := r.Link.Quantile(percent / 100)
	none := Limits{0, math.Inf(1), Unbounded, Bracket{}}
	var room betaRoom
	m, ok := f.betaModel(r, &room)
	if !ok {
		return none
	}
	s, ok := m.maximise(&f.summit, r.PearsonContainer)
	if !ok {
		return none
	}
	p := newBetaProfile(&m, &s, z, r.betaQuantile())
	lower, upper := p.ends()
	return m.doseLimits(lower, upper, Bounded)
}

// betaQuantile is the square root of the cut, by containers.
func (r *Result) betaQuantile() float64 {
	p := 0.5 + r.Level/2
	if df := r.PearsonContainer.DF; df > 0 {
		return StudentQuantile(p, df)
	}
	return distuv.UnitNormal.Quantile(p)
}

// betaProfile is the likelihood as a function of θ, the standardised log dose
// at which η = z, the rest of the model at its best: η = z + b (u - θ).
type betaProfile struct {
	model  *betaModel
	task   betaTask
	z, t   float64
	theta  float64 // at the maximum
	top    float64 // the log-likelihood there
	summit betaStop
}

// betaStop is the profile at one θ.
type betaStop struct {
	betaSummit
	theta     float64
	slope     float64   // of the profile
	curvature float64   // of the profile, minus its second derivative; NaN where unknown
	tangent   betaPoint // how the other coordinates move with θ
}

// profileTolerance is the decrement at which the ascent of a profile stops: the
// likelihood is then as exact as a limit to ten digits needs.
const profileTolerance = 1e-10

func newBetaProfile(m *betaModel, s *betaSummit, z, t float64) betaProfile {
	p := betaProfile{model: m, task: m.betaTask(), z: z, t: t, top: s.loglik}
	p.task.free[betaA] = false
	p.task.lower[betaA], p.task.upper[betaA] = z, z
	p.task.tolerance = profileTolerance
	p.theta = (z - s.betaPoint[betaA]) / s.betaPoint[betaB]
	p.summit = p.at(p.theta, s.betaPoint)
	return p
}

// at maximises over the rest at one θ.
func (p *betaProfile) at(theta float64, start betaPoint) betaStop {
	p.task.origin = theta
	s := betaStop{betaSummit: p.model.climb(start, &p.task), theta: theta}
	b := s.betaPoint[betaB]
	s.slope = -b * s.gradient[betaA]
	// Minus the second derivatives in θ and each other coordinate.
	var cross betaPoint
	for i := betaB; i < betaCoordinates; i++ {
		cross[i] = -b * s.observed[i][betaA]
	}
	cross[betaB] += s.gradient[betaA]
	s.curvature = math.NaN()
	if f, ok := s.observed.factorise(&s.active); ok {
		x, lost := f.solve(&cross)
		for i := range x {
			s.tangent[i] = -x[i]
		}
		s.curvature = b*b*s.observed[betaA][betaA] - lost
	}
	return s
}

// ahead predicts the other coordinates at θ from a stop: along the tangent
// but, where that leads below 0, along the hyperbola with this tangent.
func (s *betaStop) ahead(theta float64) betaPoint {
	next := s.betaPoint
	for i := betaB; i < betaCoordinates; i++ {
		change := s.tangent[i] * (theta - s.theta)
		if change < 0 && next[i] > 0 {
			next[i] /= 1 - change/next[i]
		} else {
			next[i] += change
		}
	}
	return next
}

// ends returns both limits, ±Inf where there is none.
func (p *betaProfile) ends() (lower, upper float64) {
	below, above := p.open()
	lower, upper = math.Inf(-1), math.Inf(1)
	if !below {
		lower = p.end(-1)
	}
	if !above {
		upper = p.end(1)
	}
	return lower, upper
}

// open says on which sides the profile stays above the cut however far θ goes.
// There the slope tends to 0, and the line to any level with η below z (for
// θ to +Inf) or above it.
func (p *betaProfile) open() (below, above bool) {
	cut := p.top - p.t*p.t/2
	task := p.model.betaTask()
	task.free[betaB] = false
	task.lower[betaA], task.upper[betaA] = -flatEnd, flatEnd
	start := p.summit.betaPoint
	start[betaA], start[betaB] = p.model.flatStart(start[betaC]).a, 0
	start[betaPhi] += secondPhi
	if p.model.freeC {
		start[betaC] = max(start[betaC], 1e-3)
	}
	level := p.model.climb(start, &task)
	if level.loglik < cut {
		return false, false
	}
	start = level.betaPoint
	start[betaA] = p.z
	task.free[betaA] = false
	if p.model.climb(start, &task).loglik >= cut {
		return true, true
	}
	return level.betaPoint[betaA] > p.z, level.betaPoint[betaA] <= p.z
}

// end finds the limit on one side, -1 or 1. The profile is the highest of the
// ridges of the likelihood; where the one that led to the root is not, the
// search goes on along the higher one.
func (p *betaProfile) end(side float64) float64 {
	from := p.summit
	for i := range mostRidges {
		last, ok := p.root(side, &from, i > 0)
		if !ok {
			return side * math.Inf(1)
		}
		if from, ok = p.otherRidge(&last, &from); !ok {
			return last.theta
		}
	}
	return from.theta
}

const (
	mostRidges   = 10
	endTolerance = 1e-9 // of R
	beyondDoses  = 800  // decades, more than a double spans
	newtonSteps  = 12   // after which every other step bisects
)

// root follows a ridge outwards to the root of R = t with R² twice the fall of
// the log-likelihood, which is nearly linear in θ: by Newton's method within a
// bracket. from is inside and becomes the last stop that is; a narrow ridge is
// always approached from there. It fails where no double can hold the root.
func (p *betaProfile) root(side float64, from *betaStop, narrow bool) (betaStop, bool) {
	inside, outside := math.Abs(from.theta-p.theta), math.Inf(1) // distances from the maximum
	x := p.next(side, from)
	if inside == 0 {
		x = p.t / math.Sqrt(from.curvature)
	}
	if furthest := 2*inside + 0.5; !(x > inside && x < furthest) {
		x = furthest
	}
	last := *from
	for i := range betaIterations {
		theta := p.theta + side*x
		if x*p.model.scale > beyondDoses {
			return last, false
		}
		if narrow {
			last = *from
		}
		last = p.at(theta, last.ahead(theta))
		r := p.fall(&last)
		if math.Abs(r-p.t) <= endTolerance || outside-inside <= endTolerance*1e-3*(1+math.Abs(theta)) {
			return last, true
		}
		if r < p.t {
			inside, *from = x, last
		} else {
			outside = x
		}
		newton := p.next(side, &last)
		switch {
		case math.IsInf(outside, 1) && newton > x:
			x = min(newton, 3*x)
		case math.IsInf(outside, 1):
			x *= 2
		case !(newton > inside && newton < outside) || i > newtonSteps && i%2 == 0:
			x = (inside + outside) / 2
		default:
			x = newton
		}
	}
	return last, true
}

// fall is R, the root of twice the fall of the log-likelihood.
func (p *betaProfile) fall(s *betaStop) float64 { return math.Sqrt(2 * max(p.top-s.loglik, 0)) }

// next is Newton's proposal for the distance of the root.
func (p *betaProfile) next(side float64, s *betaStop) float64 {
	r := p.fall(s)
	return side*(s.theta-p.theta) - (p.t-r)*r/(side*s.slope)
}

// ridgeRise is the rise in log-likelihood that makes a ridge another one.
const ridgeRise = 1e-7

// otherRidge looks for a higher point at the θ of last: from the last stop
// inside, with steep and with flat lines, and these also with what died below
// θ as natural mortality and with next to none.
func (p *betaProfile) otherRidge(last, inside *betaStop) (betaStop, bool) {
	c, low, phi := last.betaPoint[betaC], p.model.rateBelow(last.theta), last.betaPoint[betaPhi]
	starts := [...]betaPoint{
		inside.ahead(last.theta),
		{p.z, steepSlope, c, phi + lowPhi},
		{p.z, 1, c, phi + lowPhi},
		{p.z, steepSlope, low, phi + lowPhi},
		{p.z, 2, low, 0},
		{p.z, 1, 1e-3, phi + secondPhi},
	}
	n := len(starts)
	if !p.model.freeC {
		n = 3
	}
	for _, start := range starts[:n] {
		if s := p.at(last.theta, start); s.loglik > last.loglik+ridgeRise && p.fall(&s) < p.t {
			return s, true
		}
	}
	return betaStop{}, false
}

// steepSlope is a slope, per standard deviation of log dose, above those of
// ordinary assays.
const steepSlope = 10

// rateBelow is the mortality of the controls and all doses below θ together.
func (m *betaModel) rateBelow(theta float64) float64 {
	n, r := m.model.control.exposed, m.model.control.dead
	for _, g := range m.model.treated {
		if g.u < theta {
			n += g.exposed
			r += g.dead
		}
	}
	return (r + 0.5) / (n + 1)
}
