package doseresp

import "math"

// span encloses an end of the set: inside belongs to it, outside does not and
// may be infinite.
type span struct {
	side            float64
	inside, outside float64
	sure            bool  // that outside is, and not only on one of several ridges
	from            ridge // a point of the ridge nearby, to start from
}

func (s *span) holds(x float64) bool {
	return s.side*(x-s.inside) > 0 && s.side*(s.outside-x) > 0
}

// passes says that x lies beyond outside.
func (s *span) passes(x float64) bool { return s.side*(x-s.outside) >= 0 }

// middle is a point in the span: halfway, or four times as far from the
// origin as inside where outside is infinite, or in the geometric middle of
// two very different distances.
func (s *span) middle(origin float64) float64 {
	near, far := s.side*(s.inside-origin), s.side*(s.outside-origin)
	switch {
	case math.IsInf(far, 1):
		return origin + s.side*(4*near+1)
	case near > 0 && far > 8*near:
		return origin + s.side*math.Sqrt(near*far)
	}
	return s.inside + (s.outside-s.inside)/2
}

// clamp keeps a last step within the span.
func (s *span) clamp(x float64) float64 {
	if s.side*(x-s.outside) > 0 {
		return s.outside
	}
	if s.side*(x-s.inside) > 0 {
		return x
	}
	return s.inside
}

// The rules by which the search along θ ends.
const (
	rootDone   = 1e-7 // of the fall, after which one more Newton step squares it
	rootSteps  = 200
	rootWidth  = 1e-14
	farLog10   = 330 // no double holds a dose with a log10 beyond this
	rootStride = 4.0 // times the distance from the peak: no step is longer
)

// root solves 2 (ℓmax - ℓp(θ)) = h q by Newton's method on the signed root of
// its left side, kept within the span.
func (p *profiler) root(s span, x float64) float64 {
	origin := p.peak.theta
	for range rootSteps {
		g := p.climb(s.from.predict(x))
		sure := p.concave
		if !sure && (p.settled(&g) || p.doubts(&s, &g)) {
			g, sure = p.best(g), true
		}
		if p.settled(&g) {
			return s.clamp(p.newton(&g))
		}
		p.take(&s, &g, sure)
		next := p.newton(&g)
		if s.passes(next) && !s.sure && !math.IsInf(s.outside, 0) {
			g = p.best(g.predict(s.outside))
			p.take(&s, &g, true)
			next = p.newton(&g)
		}
		switch {
		case math.Abs(p.m.centre+p.m.scale*s.inside) > farLog10:
			return math.Inf(int(s.side))
		case math.Abs(s.outside-s.inside) <= rootWidth*(1+math.Abs(s.inside)):
			return s.inside
		}
		tooFar := math.IsInf(s.outside, 0) && math.Abs(next-origin) > rootStride*(1+math.Abs(g.theta-origin))
		if !s.holds(next) || tooFar {
			next = s.middle(origin)
		}
		x = next
	}
	return s.inside
}

// doubts says that a point outside the set points back to before inside: it
// may lie on a lower ridge than the set does.
func (p *profiler) doubts(s *span, g *ridge) bool {
	return !p.contains(g.loglik) && !(s.side*(p.newton(g)-s.inside) > 0)
}

// take narrows the span by a point of the ridge, sure if none is higher at
// its θ. A point of the set beyond outside, or at it, refutes outside.
func (p *profiler) take(s *span, g *ridge, sure bool) {
	p.raise(g)
	s.from = *g
	if !p.contains(g.loglik) {
		s.outside, s.sure = g.theta, sure
		return
	}
	s.inside = g.theta
	if s.side*(s.outside-s.inside) <= 0 {
		s.outside, s.sure = math.Inf(int(s.side)), false
	}
}

// settled says that one more Newton step leads to the root.
func (p *profiler) settled(g *ridge) bool {
	return math.Abs(p.top-g.loglik-p.drop) <= rootDone*p.drop
}

// newton is the next point of Newton's method, NaN at the top itself.
func (p *profiler) newton(g *ridge) float64 {
	fall := p.top - g.loglik
	return g.theta + 2*(fall-math.Sqrt(fall*p.drop))/g.slope
}
