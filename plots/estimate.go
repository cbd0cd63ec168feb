package plots

import (
	"fmt"
	"math"
)

// Censoring says how a value is known.
type Censoring uint8

// The kinds of knowledge. A value above or below a bound has no estimate: its
// Estimate is the bound.
const (
	Estimated Censoring = iota
	Above
	Below
)

// sign is the inequality that goes before the bound.
func (c Censoring) sign() string {
	switch c {
	case Above:
		return ">\u00a0"
	case Below:
		return "<\u00a0"
	}
	return ""
}

// limits returns the ends of the bar of an estimate, or of what a bound leaves.
func (c Censoring) limits(estimate, lower, upper float64) (low, high float64) {
	switch c {
	case Above:
		return estimate, math.Inf(1)
	case Below:
		return 0, estimate
	}
	return lower, upper
}

// boundRoom is how far a logarithmic axis goes on beyond a bound, in decades: room
// for the arrow.
const boundRoom = 0.25

// stretch returns the span of a logarithmic axis stretched to hold an estimate, or a
// bound with its arrow.
func (c Censoring) stretch(s span, estimate float64) span {
	at := math.Log10(estimate)
	s = s.with(at)
	switch c {
	case Above:
		return s.with(at + boundRoom)
	case Below:
		return s.with(at - boundRoom)
	}
	return s
}

// sayEstimate tells an estimate with its limits, or a bound.
func sayEstimate(c Censoring, estimate, lower, upper float64) string {
	switch {
	case math.IsNaN(estimate):
		return "no result"
	case c == Above:
		return "above " + digits(estimate)
	case c == Below:
		return "below " + digits(estimate)
	case math.IsNaN(lower) || math.IsNaN(upper):
		return digits(estimate) + ", without limits"
	}
	return digits(estimate) + ", limits " + sayLimits(lower, upper)
}

// checkEstimate reports a value that has no place on a logarithmic axis.
func checkEstimate(who string, c Censoring, estimate, lower, upper float64) error {
	if estimate <= 0 || math.IsInf(estimate, 1) {
		return fmt.Errorf("plots: %s: estimate %g: give a positive number, or NaN for none", who, estimate)
	}
	if c == Estimated && lower > upper {
		return fmt.Errorf("plots: %s: limits %g to %g: give the lower first", who, lower, upper)
	}
	return nil
}

// checkBaseline reports a range that cannot be drawn.
func checkBaseline(b [2]float64) error {
	if b != [2]float64{} && !(0 < b[0] && b[0] <= b[1] && !math.IsInf(b[1], 1)) {
		return fmt.Errorf("plots: baseline range %g to %g: give positive numbers, the lower first", b[0], b[1])
	}
	return nil
}
