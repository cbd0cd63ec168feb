package plots

import "math"

const (
	minPad  = 0.1 // decades beyond the tested range at least
	padPart = 0.06
	minSpan = 0.5 // decades; a single dose still gets a readable axis
	reach   = 1.0 // decades beyond the tested range that an estimate may stretch the axis
)

// span is a range of an axis, in log10 where it is logarithmic; it is empty when
// lo > hi.
type span struct{ lo, hi float64 }

// nothing is the empty span.
var nothing = span{math.Inf(1), math.Inf(-1)}

// empty reports whether the span holds nothing.
func (s span) empty() bool { return s.lo > s.hi }

// with returns the span stretched to hold x; what is not finite has no place.
func (s span) with(x float64) span {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return s
	}
	return span{min(s.lo, x), max(s.hi, x)}
}

// withNear returns the span stretched to hold x if that lies within reach of s0.
func (s span) withNear(x float64, s0 span) span {
	if s0.empty() || x >= s0.lo-reach && x <= s0.hi+reach {
		return s.with(x)
	}
	return s
}

// holds reports whether x lies in the span.
func (s span) holds(x float64) bool { return x >= s.lo && x <= s.hi }

// padded returns the span with a margin at both ends and at least minSpan wide;
// the empty span stays empty.
func (s span) padded() span {
	if s.empty() {
		return s
	}
	pad := max(minPad, padPart*(s.hi-s.lo))
	s = span{s.lo - pad, s.hi + pad}
	if lack := minSpan - (s.hi - s.lo); lack > 0 {
		s = span{s.lo - lack/2, s.hi + lack/2}
	}
	return s
}

// logTicks are the marks of a logarithmic axis.
func logTicks(s span, fits func([]tick) bool) []tick {
	return concentrationTicks(s.lo, s.hi, fits)
}
