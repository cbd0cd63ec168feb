package doseresp

import "math"

// newProfiler prepares the profile of the θ with F⁻¹ = z for a set that allows
// twice the log-likelihood to fall by twiceDrop.
func newProfiler(m *model, z, twiceDrop float64) profiler {
	t := m.link.at(z)
	p := profiler{
		m: m, z: z, cdf: t.cdf, survival: t.survival, drop: twiceDrop / 2,
		concave: !m.freeC && m.fixedC == 0,
	}
	var all group
	all.exposed, all.dead = m.totals()
	p.flat.c = m.fixedC
	if m.freeC {
		p.flat.c = p.edgeNatural(m.control, all)
	}
	p.flat.loglik = p.pivotTerm(m.control, all, p.flat.c)
	return p
}

// begin finds the top of the likelihood, where to start from, and a first
// guess of the limits.
func (p *profiler) begin(r *Result, s *summit) {
	nan := math.NaN()
	p.guess = [2]float64{nan, nan}
	if r.Status == Converged {
		p.finite = true
		p.top = s.loglik
		p.peak = ridge{theta: (p.z - s.a) / s.b, b: s.b, c: s.c}
		p.finish(&p.peak, &s.derivatives)
		p.guessLimits(s)
	} else {
		p.beginAtStep(r, s)
	}
	p.highest = p.peak
	p.survey()
}

// survey finds the outermost points of the set to search its ends from.
func (p *profiler) survey() {
	p.ends = [2]ridge{p.peak, p.peak}
	if p.concave {
		return
	}
	p.extend(&p.highest)
	p.rivals.n = 0
	p.chooseRivals()
	p.lookAround()
}

// extend takes a point of the set as an end if it lies further out than those
// known.
func (p *profiler) extend(g *ridge) {
	if g.theta < p.ends[0].theta {
		p.ends[0] = *g
	}
	if g.theta > p.ends[1].theta {
		p.ends[1] = *g
	}
}

// raise takes a point of the ridge as the top if it is higher.
func (p *profiler) raise(g *ridge) {
	if g.loglik > p.top {
		p.top, p.highest = g.loglik, *g
	}
}

// beginAtStep is begin for data whose likelihood is highest at a step.
func (p *profiler) beginAtStep(r *Result, s *summit) {
	m := p.m
	p.top = max(p.level(-1), p.level(1))
	for i := range m.treated {
		k := p.stepKnot(i, 1)
		p.top = max(p.top, k.near, k.far)
	}
	if r.Iterations > 0 { // separated only after an ascent that nearly reached the step
		p.top = max(p.top, s.loglik)
	}
	i := 0
	if r.Status != AllDead {
		i = m.stepLimit().top
	}
	p.peak = ridge{theta: m.treated[i].u, b: 3 * m.link.Scale(), c: m.fixedC}
	if m.freeC {
		p.peak.c = min(m.control.rate(), 0.9)
	}
}

// guessLimits starts from Fieller's limits with the cut of the profile, and
// where these are not bounded from the delta method's.
func (p *profiler) guessLimits(s *summit) {
	f, ok := cholesky(&s.observed, p.m.freeC && !s.boundary)
	if !ok {
		return
	}
	v := f.inverse()
	l := line{s.a, s.b, v.aa, v.ab, v.bb}
	t := math.Sqrt(2 * p.drop)
	if lower, upper, kind := l.fieller(p.z, t); kind == Bounded {
		p.guess = [2]float64{lower, upper}
		return
	}
	theta, se := l.solve(p.z)
	p.guess = [2]float64{theta - t*se, theta + t*se}
}

// contains says whether a log-likelihood is high enough for the set.
func (p *profiler) contains(loglik float64) bool { return loglik >= p.top-p.drop }

const (
	profileRestarts = 4    // searches after a higher maximum turned up in one
	profileHigher   = 1e-9 // a log-likelihood that exceeds another by more is another maximum
)

// limits returns the ends of the set. It searches again where the search finds
// a higher maximum than the fit, as happens on doses no laboratory mixes.
func (p *profiler) limits() (lower, upper float64) {
	for range profileRestarts {
		top := p.top
		lower, upper = p.end(-1), p.end(1)
		if p.top <= top+profileHigher {
			break
		}
		p.survey()
	}
	return lower, upper
}

// end returns the end of the set in the direction of side, +1 or -1.
func (p *profiler) end(side float64) float64 {
	if p.contains(p.level(side)) {
		return math.Inf(int(side))
	}
	known := max(0, int(side))
	from := p.ends[known]
	s := span{side: side, inside: from.theta, outside: math.Inf(int(side)), from: from}
	if !(p.concave && p.finite) && p.passSteps(&s) {
		return s.inside
	}
	x := p.guess[known]
	if !s.holds(x) {
		x = s.middle(p.peak.theta)
	}
	return p.root(s, x)
}

// passSteps takes the span to the outermost tested dose at which a step is
// likely enough. It reports whether the set ends there exactly, at a jump of
// ℓp. Beyond, ℓp is continuous wherever it is high enough.
func (p *profiler) passSteps(s *span) (pinned bool) {
	outermost := -1
	for i, g := range p.m.treated {
		if beyond := s.side * (g.u - s.inside); beyond < 0 || beyond == 0 && p.finite {
			continue
		}
		k := p.stepKnot(i, s.side)
		if !p.contains(max(k.near, k.far)) {
			continue
		}
		if outermost >= 0 && s.side < 0 {
			break // the first from below is the outermost
		}
		outermost = i
		pinned = !p.contains(k.far)
	}
	if outermost < 0 {
		return false
	}
	s.inside = p.m.treated[outermost].u
	s.from = p.best(s.from.predict(s.inside))
	p.raise(&s.from)
	return pinned && !p.contains(s.from.loglik)
}
