package doseresp

import "math"

// With C above 0 the likelihood can have several maxima, and with it ℓp: where
// the deaths at some low doses can be natural ones, a steep line above those
// doses rivals a gentle one through all. At fixed θ a line is tried through
// each dose that might be the first to act, with all below it dying at C.

const (
	maxRivals   = 8   // the least deadly doses are forgotten beyond
	rivalSlack  = 1.3 // times the fall that the set allows, and
	rivalMargin = 0.6 // the log-likelihood by which a rival may first seem to miss it
)

// rivals are the doses that might be the first to act.
type rivals struct {
	n     int
	group [maxRivals]int
	c     [maxRivals]float64 // the rate of the groups below
	eta   [maxRivals]float64 // of the group's own rate
}

// chooseRivals keeps a dose where the best conceivable model with equal
// mortality below it, and any mortality from there, is nearly likely enough
// for the set.
func (p *profiler) chooseRivals() {
	free := 0.0 // every dose at its own rate
	for _, g := range p.m.treated {
		free += binomialTerm(g, g.rate(), 1-g.rate())
	}
	low := p.m.control
	for i, g := range p.m.treated {
		c := p.m.fixedC
		if p.m.freeC {
			c = min(low.rate(), 0.99)
		}
		if free+binomialTerm(low, c, 1-c) >= p.top-rivalSlack*p.drop-rivalMargin {
			p.rivals.add(i, c, p.m.link.rough(g.tempered(c)))
		}
		free -= binomialTerm(g, g.rate(), 1-g.rate())
		low.exposed += g.exposed
		low.dead += g.dead
	}
}

func (r *rivals) add(group int, c, eta float64) {
	if r.n == maxRivals {
		copy(r.group[:], r.group[1:])
		copy(r.c[:], r.c[1:])
		copy(r.eta[:], r.eta[1:])
		r.n--
	}
	r.group[r.n], r.c[r.n], r.eta[r.n] = group, c, eta
	r.n++
}

// tempered is the rate corrected for natural mortality c, kept half an
// individual away from 0 and 1.
func (g group) tempered(c float64) float64 {
	half := 0.5 / (g.exposed + 1)
	return min(max((g.rate()-c)/(1-c), half), 1-half)
}

// best is the highest of the ascents from start and from all rivals.
func (p *profiler) best(start ridge) ridge {
	best := p.climb(start)
	for k := range p.rivals.n {
		b := (p.rivals.eta[k] - p.z) / (p.m.treated[p.rivals.group[k]].u - start.theta)
		if !(b > 0) || math.IsInf(b, 1) {
			continue
		}
		other := p.climb(ridge{theta: start.theta, b: b, c: p.rivals.c[k]})
		if other.loglik > best.loglik+profileHigher {
			best = other
		}
	}
	return best
}

// lookAround climbs in all parameters from a steep line below each rival dose
// until it knows whether the set has a part there, and keeps the outermost
// points of the set. Every part holds a maximum of the likelihood, or reaches
// a step or a level line, which are looked at elsewhere.
func (p *profiler) lookAround() {
	for k := range p.rivals.n {
		if i := p.rivals.group[k]; i > 0 {
			p.visit(p.m.steepAt(i, p.rivals.c[k]))
		} else {
			p.visit(p.m.startAt(p.rivals.c[k]))
		}
	}
}

const (
	visitSteps = 20   // by then an ascent has arrived or runs off to a step
	visitDone  = 1e-3 // the rise that is left no longer decides
)

func (p *profiler) visit(start params) {
	s := summit{params: start}
	p.m.evaluate(s.params, &s.derivatives)
	var trial derivatives
	for range visitSteps {
		if s.b > 0 && p.contains(s.loglik) {
			p.keep(&s)
			return
		}
		step, decrement := p.m.ascent(&s)
		next, ok := p.m.search(&s, step, decrement, &trial)
		if !ok || decrement < visitDone {
			return
		}
		s.params, s.derivatives = next, trial
		s.newton = decrement < newtonBelow
	}
}

// keep takes a point of the set if it lies further out than those known.
func (p *profiler) keep(s *summit) {
	g := ridge{theta: (p.z - s.a) / s.b, b: s.b, c: s.c}
	if p.ends[0].theta <= g.theta && g.theta <= p.ends[1].theta {
		return
	}
	p.finish(&g, &s.derivatives)
	p.raise(&g)
	p.extend(&g)
}
