package plots

import (
	"fmt"
	"math"
	"sort"

	"gonum.org/v1/plot/vg"
)

// Default size of a figure: one printed column.
const (
	DefaultWidth  = 85 * vg.Millimeter
	DefaultHeight = 70 * vg.Millimeter
)

// Point is the pooled count at one concentration.
type Point struct {
	Concentration float64 // in the unit of the curve; 0 is the control
	Exposed       int     // mites; a point without any is not drawn
	Dead          int
}

// Curve is the dose-response figure of one assay: observed mortality with exact
// binomial limits against concentration on a logarithmic scale, the control
// apart at the left, the fitted curve, and the LC50 with its limits.
type Curve struct {
	Title, Subtitle string
	Acaricide, Unit string // axis label: "Amitraz (µg/vial)", also for a unit "ug/vial"
	Points          []Point

	// Response is the fitted mortality, natural mortality included, as a
	// proportion. It is nil when there is no fit.
	Response func(concentration float64) float64

	// NaturalMortality is a proportion below 1, or NaN for none.
	NaturalMortality float64

	// LC50 is NaN (or 0) when there is no estimate. A Lower of 0 or -Inf and
	// an Upper of +Inf are unbounded and end in an arrow head; NaN limits are
	// not drawn. The marks stand on the curve, at C + (1-C)/2 for a natural
	// mortality C, because the LC50 kills half of those that C would spare.
	LC50, Lower, Upper float64

	Note string // such as "no fit: separated; LC50 between 1 and 2"

	// Mark is a short remark on the figure itself, such as "invented data"; it is
	// set at the end of the footer.
	Mark string

	// Bracket holds the concentrations between which the LC50 must lie; 0 and
	// +Inf are allowed. It is shaded when there is no LC50.
	Bracket [2]float64

	Width, Height vg.Length // zero for the default
}

// check reports the first value that cannot be drawn.
func (c Curve) check() error {
	for i, p := range c.Points {
		if !(p.Concentration >= 0) || math.IsInf(p.Concentration, 1) {
			return fmt.Errorf("plots: point %d: concentration %g: give a finite number, 0 for the control", i+1, p.Concentration)
		}
		if p.Dead < 0 || p.Dead > p.Exposed {
			return fmt.Errorf("plots: point %d (concentration %g): %d dead of %d exposed: dead must lie between 0 and exposed", i+1, p.Concentration, p.Dead, p.Exposed)
		}
	}
	if n := c.NaturalMortality; n < 0 || n >= 1 {
		return fmt.Errorf("plots: natural mortality %g: give a proportion from 0 to below 1, or NaN for none", n)
	}
	if c.LC50 < 0 || math.IsInf(c.LC50, 1) {
		return fmt.Errorf("plots: LC50 %g: give a positive number, or NaN when there is no estimate", c.LC50)
	}
	if c.hasLC50() && c.Lower > c.Upper {
		return fmt.Errorf("plots: limits %g to %g of the LC50: give the lower first", c.Lower, c.Upper)
	}
	if b := c.Bracket; b != [2]float64{} && !(b[0] >= 0 && b[0] < b[1]) {
		return fmt.Errorf("plots: bracket %g to %g: give the lower concentration first, 0 or more", b[0], b[1])
	}
	return nil
}

// hasLC50 reports whether there is an estimate to mark.
func (c Curve) hasLC50() bool { return c.LC50 > 0 }

// hasLimits reports whether the estimate comes with limits.
func (c Curve) hasLimits() bool {
	return c.hasLC50() && !math.IsNaN(c.Lower) && !math.IsNaN(c.Upper)
}

// hasBracket reports whether to shade the range in which the LC50 must lie.
func (c Curve) hasBracket() bool {
	return !c.hasLC50() && c.Bracket[0] < c.Bracket[1]
}

// hasNatural reports whether there is a natural mortality to draw.
func (c Curve) hasNatural() bool { return !math.IsNaN(c.NaturalMortality) }

// halfKill is the mortality at the LC50, natural mortality included.
func (c Curve) halfKill() float64 {
	if !c.hasNatural() {
		return 0.5
	}
	return c.NaturalMortality + (1-c.NaturalMortality)/2
}

// size returns the size with the defaults filled in.
func (c Curve) size() (w, h vg.Length) {
	w, h = c.Width, c.Height
	if w == 0 {
		w = DefaultWidth
	}
	if h == 0 {
		h = DefaultHeight
	}
	return w, h
}

// split returns the points with mites, controls and treated apart, the treated
// in ascending order of concentration.
func (c Curve) split() (controls, treated []Point) {
	for _, p := range c.Points {
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

// fewestAndMost returns the smallest and the largest number of mites at a point,
// zeros when no point has any.
func (c Curve) fewestAndMost() (least, most int) {
	for _, p := range c.Points {
		if p.Exposed == 0 {
			continue
		}
		if least == 0 || p.Exposed < least {
			least = p.Exposed
		}
		most = max(most, p.Exposed)
	}
	return least, most
}
