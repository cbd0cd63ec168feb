package plots

import (
	"math"

	"gonum.org/v1/plot/vg"
)

const (
	minPad  = 0.1 // decades beyond the tested range at least
	padPart = 0.06
	minSpan = 0.5 // decades; a single dose still gets a readable axis
	reach   = 1.0 // decades beyond the tested range that an estimate may stretch the axis
)

// span is a range of log10 concentration; it is empty when lo > hi.
type span struct{ lo, hi float64 }

// nothing is the empty span.
var nothing = span{math.Inf(1), math.Inf(-1)}

// empty reports whether the span holds nothing.
func (s span) empty() bool { return s.lo > s.hi }

// with returns the span stretched to hold x.
func (s span) with(x float64) span {
	return span{min(s.lo, x), max(s.hi, x)}
}

// holds reports whether x lies in the span.
func (s span) holds(x float64) bool { return x >= s.lo && x <= s.hi }

// padded returns the span with a margin at both ends and at least minSpan wide.
func (s span) padded() span {
	pad := max(minPad, padPart*(s.hi-s.lo))
	s = span{s.lo - pad, s.hi + pad}
	if lack := minSpan - (s.hi - s.lo); lack > 0 {
		s = span{s.lo - lack/2, s.hi + lack/2}
	}
	return s
}

// tested returns the range of the treated concentrations.
func (c Curve) tested() span {
	s := nothing
	for _, p := range c.Points {
		if p.Concentration > 0 {
			s = s.with(math.Log10(p.Concentration))
		}
	}
	return s
}

// axisSpan returns the range of the concentration axis: the tested range, the
// finite ends of the bracket, and the LC50 and its limits unless they lie more
// than reach beyond what was tested. It is empty when nothing has a place.
func (c Curve) axisSpan() span {
	tested := c.tested()
	s := tested
	add := func(v float64, anywhere bool) {
		x := math.Log10(v)
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return
		}
		if anywhere || tested.empty() || x >= tested.lo-reach && x <= tested.hi+reach {
			s = s.with(x)
		}
	}
	if c.hasLC50() {
		add(c.LC50, false)
	}
	if c.hasLimits() {
		add(c.Lower, false)
		add(c.Upper, false)
	}
	if c.hasBracket() {
		add(c.Bracket[0], true)
		add(c.Bracket[1], true)
	}
	if s.empty() {
		return s
	}
	return s.padded()
}

// frame is the data area on the page, in points from the bottom left.
type frame struct {
	left, right, bottom, top vg.Length // dose axis and 0 to 100 %
	axis                     vg.Length // x of the mortality axis
	foot                     vg.Length // y of the concentration axis
	control                  vg.Length // x of the control column, if there is one
	split                    vg.Length // x of the axis break, if there is one
	hasControl               bool
	dose                     span
}

// x returns the place of a log10 concentration.
func (f frame) x(logDose float64) vg.Length {
	part := (logDose - f.dose.lo) / (f.dose.hi - f.dose.lo)
	return f.left + vg.Length(part)*(f.right-f.left)
}

// y returns the place of a mortality.
func (f frame) y(mortality float64) vg.Length {
	return f.bottom + vg.Length(mortality)*(f.top-f.bottom)
}
