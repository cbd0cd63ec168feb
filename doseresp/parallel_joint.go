package doseresp

import "math"

// joint is the likelihood of several assays whose lines have one slope: each
// assay has its own natural mortality and belongs to one line, whose intercept
// it shares with the other assays of that line. Log dose is centred and scaled
// alike for all.
type joint struct {
	assays        []jointAssay
	lines         int
	centre, scale float64
	level         bool // the slope is held at 0
}

// jointAssay turns a point of the joint likelihood into one of an assay's own:
// η = a + b (x - centre)/scale - b shift is A + B u with A = a + b move and
// B = b stretch.
type jointAssay struct {
	m             *model
	index         int // of the assay among all
	line          int
	move, stretch float64
}

// add appends an assay to the likelihood.
func (j *joint) add(m *model, index, line int) {
	j.assays = append(j.assays, jointAssay{m, index, line, (m.centre - j.centre) / j.scale, m.scale / j.scale})
	j.lines = max(j.lines, line+1)
}

// jointPoint is a point of the likelihood.
type jointPoint struct {
	b float64
	a []float64 // by line
	c []float64 // by assay
}

func (p *jointPoint) set(q *jointPoint) {
	p.b = q.b
	copy(p.a, q.a)
	copy(p.c, q.c)
}

// jointDerivatives holds the log-likelihood at a point and each assay's share
// of the derivatives, in a and b of the joint scale.
type jointDerivatives struct {
	loglik float64
	share  []derivatives
}

// own is the point of assay i in its own scale.
func (j *joint) own(i int, p *jointPoint) params {
	s := &j.assays[i]
	return params{p.a[s.line] + p.b*s.move, p.b * s.stretch, p.c[i]}
}

func (j *joint) evaluate(p *jointPoint, d *jointDerivatives) {
	d.loglik = 0
	for i := range j.assays {
		s, share := &j.assays[i], &d.share[i]
		s.m.evaluate(j.own(i, p), share)
		d.loglik += share.loglik
		share.gb = s.move*share.ga + s.stretch*share.gb
		share.observed.carry(s.move, s.stretch)
		share.expected.carry(s.move, s.stretch)
	}
}

// carry turns second derivatives in (A, B, C) into those in (a, b, C), where
// A = a + b move and B = b stretch.
func (v *symmetric) carry(move, stretch float64) {
	v.bb = move*move*v.aa + 2*move*stretch*v.ab + stretch*stretch*v.bb
	v.ab = move*v.aa + stretch*v.ab
	v.bc = move*v.ac + stretch*v.bc
}

// arrow is an information matrix from which the natural mortalities and then
// the intercepts have been eliminated: what is left is one number, the
// information about the slope.
type arrow struct {
	natural []naturalPivot // by assay
	line    []linePivot
	slope   float64 // pivot
	slopeG  float64 // the score of the slope, reduced likewise
}

type naturalPivot struct {
	free      bool
	pivot     float64 // cc
	byA, byB  float64 // ac/cc, bc/cc
	direction float64 // gc/cc
}

type linePivot struct {
	aa, ab, g float64 // of the intercept after elimination of natural mortality
	before    float64 // aa before
}

// eliminate fills the arrow from the observed or the expected information;
// ok is false unless it is positive definite to working precision.
func (j *joint) eliminate(p *jointPoint, d *jointDerivatives, w *arrow, observed bool) (ok bool) {
	clear(w.line)
	slope, score := 0.0, 0.0
	before := 0.0
	for i := range j.assays {
		s, share := &j.assays[i], &d.share[i]
		v := &share.observed
		if !observed {
			v = &share.expected
		}
		aa, ab, bb, ga, gb := v.aa, v.ab, v.bb, share.ga, share.gb
		n, l := &w.natural[i], &w.line[s.line]
		l.before += math.Abs(aa)
		before += math.Abs(bb)
		if n.free {
			if !(v.cc > 0) || math.IsInf(v.cc, 1) {
				return false
			}
			n.pivot, n.byA, n.byB, n.direction = v.cc, v.ac/v.cc, v.bc/v.cc, share.gc/v.cc
			aa, ab, bb = aa-v.ac*n.byA, ab-v.ac*n.byB, bb-v.bc*n.byB
			ga, gb = ga-share.gc*n.byA, gb-share.gc*n.byB
		}
		l.aa, l.ab, l.g = l.aa+aa, l.ab+ab, l.g+ga
		slope, score = slope+bb, score+gb
	}
	for k := range w.line {
		l := &w.line[k]
		if !(l.aa > pivotTolerance*l.before) || math.IsInf(l.aa, 1) {
			return false
		}
		slope -= l.ab * l.ab / l.aa
		score -= l.ab * l.g / l.aa
	}
	w.slope, w.slopeG = slope, score
	return j.level || slope > pivotTolerance*before
}

// step solves for the step of all parameters and returns its decrement.
func (j *joint) step(w *arrow, step *jointPoint) (decrement float64) {
	step.b = 0
	if !j.level {
		step.b = w.slopeG / w.slope
		decrement = w.slopeG * step.b
	}
	for k := range w.line {
		l := &w.line[k]
		step.a[k] = (l.g - l.ab*step.b) / l.aa
		decrement += l.g * l.g / l.aa
	}
	for i := range w.natural {
		n := &w.natural[i]
		step.c[i] = 0
		if n.free {
			step.c[i] = n.direction - n.byA*step.a[j.assays[i].line] - n.byB*step.b
			decrement += n.direction * n.direction * n.pivot
		}
	}
	return decrement
}
