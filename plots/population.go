package plots

import (
	"fmt"
	"math"
	"sort"
)

// Point is the pooled count at one concentration.
type Point struct {
	Concentration float64 // in the unit of the axis; 0 is the control
	Exposed       int     // mites; a point without any is not drawn
	Dead          int
}

// Population is the counts of one assay and what was fitted to them.
type Population struct {
	Name   string // for the key and the description where there are several
	Points []Point

	// Response is the fitted mortality, natural mortality included, as a
	// proportion. It is nil when there is no fit.
	Response func(concentration float64) float64

	// Band is the pointwise confidence band of Response, nil for none.
	Band func(concentration float64) (lower, upper float64)

	// NaturalMortality is a proportion below 1, or NaN for none.
	NaturalMortality float64

	// LC50 is NaN (or 0) when there is no estimate. A Lower of 0 or -Inf and
	// an Upper of +Inf are unbounded and end in an arrow head; NaN limits are
	// not drawn. The marks stand on the curve, at C + (1-C)/2 for a natural
	// mortality C, because the LC50 kills half of those that C would spare.
	LC50, Lower, Upper float64

	// Bracket holds the concentrations between which the LC50 must lie; 0 and
	// +Inf are allowed. It is shown when there is no LC50.
	Bracket [2]float64
}

// check reports the first value that cannot be drawn; who names the population in
// the error, "" where there is only one.
func (c Population) check(who string) error {
	fail := func(format string, args ...any) error {
		return fmt.Errorf("plots: %s%w", who, fmt.Errorf(format, args...))
	}
	if err := checkPoints(c.Points); err != nil {
		return fail("%w", err)
	}
	if n := c.NaturalMortality; n < 0 || n >= 1 {
		return fail("natural mortality %g: give a proportion from 0 to below 1, or NaN for none", n)
	}
	if c.LC50 < 0 || math.IsInf(c.LC50, 1) {
		return fail("LC50 %g: give a positive number, or NaN when there is no estimate", c.LC50)
	}
	if c.hasLC50() && c.Lower > c.Upper {
		return fail("limits %g to %g of the LC50: give the lower first", c.Lower, c.Upper)
	}
	if b := c.Bracket; b != [2]float64{} && !(b[0] >= 0 && b[0] < b[1]) {
		return fail("bracket %g to %g: give the lower concentration first, 0 or more", b[0], b[1])
	}
	return nil
}

// checkPoints reports the first count that cannot be drawn.
func checkPoints(points []Point) error {
	for i, p := range points {
		if !(p.Concentration >= 0) || math.IsInf(p.Concentration, 1) {
			return fmt.Errorf("point %d: concentration %g: give a finite number, 0 for the control", i+1, p.Concentration)
		}
		if p.Dead < 0 || p.Dead > p.Exposed {
			return fmt.Errorf("point %d (concentration %g): %d dead of %d exposed: dead must lie between 0 and exposed", i+1, p.Concentration, p.Dead, p.Exposed)
		}
	}
	return nil
}

// hasLC50 reports whether there is an estimate to mark.
func (c Population) hasLC50() bool { return c.LC50 > 0 }

// hasLimits reports whether the estimate comes with limits.
func (c Population) hasLimits() bool {
	return c.hasLC50() && !math.IsNaN(c.Lower) && !math.IsNaN(c.Upper)
}

// hasBracket reports whether to show the range in which the LC50 must lie.
func (c Population) hasBracket() bool {
	return !c.hasLC50() && c.Bracket[0] < c.Bracket[1]
}

// hasNatural reports whether there is a natural mortality to draw.
func (c Population) hasNatural() bool { return !math.IsNaN(c.NaturalMortality) }

// halfKill is the mortality at the LC50, natural mortality included.
func (c Population) halfKill() float64 {
	if !c.hasNatural() {
		return 0.5
	}
	return c.NaturalMortality + (1-c.NaturalMortality)/2
}

// tested returns the range of the treated concentrations.
func tested(points []Point) span {
	s := nothing
	for _, p := range points {
		if p.Concentration > 0 {
			s = s.with(math.Log10(p.Concentration))
		}
	}
	return s
}

// axisSpan returns the range of the concentration axis: the tested range, the
// finite ends of the bracket, and the LC50 and its limits unless they lie more
// than reach beyond what was tested. It is empty when nothing has a place.
func (c Population) axisSpan() span {
	t := tested(c.Points)
	s := t
	if c.hasLC50() {
		s = s.withNear(math.Log10(c.LC50), t)
	}
	if c.hasLimits() {
		s = s.withNear(math.Log10(c.Lower), t).withNear(math.Log10(c.Upper), t)
	}
	if c.hasBracket() {
		s = s.with(math.Log10(c.Bracket[0])).with(math.Log10(c.Bracket[1]))
	}
	return s.padded()
}

// split returns the points with mites, controls and treated apart, the treated
// in ascending order of concentration.
func split(points []Point) (controls, treated []Point) {
	for _, p := range points {
		switch {
		case p.Exposed == 0:
		case p.Concentration == 0:
			controls = append(controls, p)
		default:
			treated = append(treated, p)
		}
	}
	sort.SliceStable(treated, func(i, j int) bool {
		return treated[i].Concentration < treated[j].Concentration
	})
	return controls, treated
}

// crowd is the smallest and the largest number of mites at a point.
type crowd struct{ least, most int }

// with returns the crowd with points taken in; those without mites do not count.
func (c crowd) with(points []Point) crowd {
	for _, p := range points {
		if p.Exposed == 0 {
			continue
		}
		if c.least == 0 || p.Exposed < c.least {
			c.least = p.Exposed
		}
		c.most = max(c.most, p.Exposed)
	}
	return c
}

// footerWords explains the points.
func (c crowd) footerWords() []string {
	if c.most == 0 {
		return nil
	}
	area := "Point area: number of mites."
	if c.least < c.most {
		area = fmt.Sprintf("Point area: number of mites (%d to %d).", c.least, c.most)
	}
	return []string{"Bars: exact 95\u00a0% binomial limits.", area}
}
