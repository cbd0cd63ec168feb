package doseresp

import (
	"math"
	"slices"
)

// Status says whether the likelihood has a finite maximum with a rising line
// and, where it has not, which of the known patterns the counts show.
type Status uint8

// The statuses. Only Converged comes with estimates of LCp; NegativeSlope and
// NoSlope carry the line where it is finite. The others have no finite
// maximum: the slope, or the intercept, runs off to infinity.
const (
	Converged     Status = iota
	Separated            // all background below some dose, all dead above it
	AllDead              // every treated individual died
	NoneDead             // no treated individual died
	NoSlope              // mortality does not change with dose
	NegativeSlope        // mortality falls with dose
	TooFewDoses          // fewer than two doses above 0
)

var statusNames = [...]string{
	Converged: "converged", Separated: "separated", AllDead: "all-dead", NoneDead: "none-dead",
	NoSlope: "no-slope", NegativeSlope: "negative-slope", TooFewDoses: "too-few-doses",
}

// Statuses lists every status, in the order of their constants.
func Statuses() []Status {
	return []Status{Converged, Separated, AllDead, NoneDead, NoSlope, NegativeSlope, TooFewDoses}
}

// String returns the status's name as results spell it.
func (s Status) String() string { return nameOf(statusNames[:], s) }

// Bracket is the pair of doses between which counts without a finite line
// place the LC50, if mortality rises with dose: 0 and +Inf where they set no
// bound. It is a reading of the sample, not a confidence set.
type Bracket struct{ Lower, Upper float64 }

// noBracket sets no bound on either side.
var noBracket = Bracket{0, math.Inf(1)}

// triage names the patterns that can be told from the counts alone; died is
// the number of treated that died before any correction.
func (d *design) triage(died int) (Status, Bracket) {
	if len(d.treated) < 2 {
		return TooFewDoses, d.oneDoseBracket()
	}
	exposed, dead := d.totals()
	lowest, highest := d.treated[0].dose, d.treated[len(d.treated)-1].dose
	switch {
	case dead == exposed && d.control.dead > 0 && d.control.survivors() == 0:
		return AllDead, noBracket // as did all controls
	case dead == exposed:
		return AllDead, Bracket{0, lowest}
	case died == 0:
		return NoneDead, Bracket{highest, math.Inf(1)}
	case dead == 0: // Abbott's correction has left none
		return NoSlope, noBracket
	}
	return Converged, noBracket
}

func (d *design) oneDoseBracket() Bracket {
	if len(d.treated) == 0 {
		return noBracket
	}
	g := d.treated[0]
	switch {
	case g.dead == g.exposed:
		return Bracket{0, g.dose}
	case g.dead == 0:
		return Bracket{g.dose, math.Inf(1)}
	}
	return noBracket
}

// step describes the limit of a line whose slope grows without bound: below
// group top every treated group dies at the natural rate, above it all die,
// and group top itself may take any rate between.
type step struct {
	top    int     // the highest group in which some survived
	c      float64 // the natural mortality of the limit
	loglik float64 // likelihood of the limit, without binomial coefficients
}

// stepLimit returns the highest likelihood that a step can reach.
func (m *model) stepLimit() step {
	s := step{top: len(m.treated) - 1}
	for m.treated[s.top].survivors() == 0 {
		s.top-- // ends: triage has excluded that all died
	}
	n, r := m.control.exposed, m.control.dead
	for _, g := range m.treated[:s.top] {
		n += g.exposed
		r += g.dead
	}
	g := m.treated[s.top]
	s.c = m.fixedC
	if m.freeC {
		s.c = r / n
		if g.rate() < s.c { // the group cannot lie below the natural rate
			n += g.exposed
			r += g.dead
			s.c = r / n
		}
	}
	s.loglik = m.stepLikelihood(s)
	return s
}

func (m *model) stepLikelihood(s step) float64 {
	low := logTerm(m.control.dead, math.Log(s.c)) + logTerm(m.control.survivors(), math.Log1p(-s.c))
	for _, g := range m.treated[:s.top] {
		low += logTerm(g.dead, math.Log(s.c)) + logTerm(g.survivors(), math.Log1p(-s.c))
	}
	g := m.treated[s.top]
	p := max(g.rate(), s.c)
	return low + logTerm(g.dead, math.Log(p)) + logTerm(g.survivors(), math.Log1p(-p))
}

// flatLikelihood is the likelihood when treatment does nothing: all groups,
// treated or not, die at one rate (estimated C) or at the fixed one.
func (m *model) flatLikelihood() float64 {
	exposed, dead := m.totals()
	c := m.fixedC
	if m.freeC {
		c = (dead + m.control.dead) / (exposed + m.control.exposed)
	}
	dead += m.control.dead
	return logTerm(dead, math.Log(c)) + logTerm(exposed+m.control.exposed-dead, math.Log1p(-c))
}

// levelLikelihood is the likelihood when every treated group dies at their
// common rate, or at c where that is higher, and the controls die at c.
func (m *model) levelLikelihood(c float64) float64 {
	exposed, dead := m.totals()
	p := max(dead/exposed, c)
	return logTerm(dead, math.Log(p)) + logTerm(exposed-dead, math.Log1p(-p)) +
		logTerm(m.control.dead, math.Log(c)) + logTerm(m.control.survivors(), math.Log1p(-c))
}

// bracket returns the doses around a step. The group at the step, in which some
// died and some lived, is a bound where its own mortality is clearly above or
// below one half, by exact limits at DefaultLevel.
func (m *model) bracket(s step) Bracket {
	b := noBracket
	g := m.treated[s.top]
	lower := s.top
	if g.rate() > s.c {
		lower--
	}
	if lower >= 0 {
		b.Lower = m.treated[lower].dose
	}
	if s.top+1 < len(m.treated) {
		b.Upper = m.treated[s.top+1].dose
	}
	low, high := ClopperPearson(int(g.dead), int(g.exposed), DefaultLevel)
	half := s.c + (1-s.c)/2 // the mortality that C and half of the rest make
	switch {
	case low > half:
		b.Upper = g.dose
	case high < half && g.dose < b.Upper:
		b.Lower = g.dose
	}
	return b
}

// saturated says that a step reproduces every group exactly, so that no line
// can do better.
func (s step) saturated() bool { return s.c == 0 && !math.IsInf(s.loglik, -1) }

// fallingStepLimit is the stepLimit of a slope that runs to minus infinity.
func (m *model) fallingStepLimit() step {
	slices.Reverse(m.treated)
	defer slices.Reverse(m.treated)
	return m.stepLimit()
}
