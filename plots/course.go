package plots

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/plot/vg"
)

// course is one series of seasons with its trend.
type course struct {
	seasons []Season
	trend   []TrendPoint
}

// anyOf reports whether something is so of one of the courses.
func anyOf(all []course, is func(course) bool) bool { return slices.ContainsFunc(all, is) }

// check reports what cannot be drawn; who names the series among others.
func (c course) check(who string) error {
	for _, s := range c.seasons {
		if err := checkEstimate(who+"season "+clean(s.Label), s.Censored, s.Estimate, s.Lower, s.Upper); err != nil {
			return err
		}
	}
	if len(c.trend) != 0 && len(c.trend) != len(c.seasons) {
		return fmt.Errorf("plots: %sa trend of %d points for %d seasons: give one for each", who, len(c.trend), len(c.seasons))
	}
	for i, t := range c.trend {
		if !math.IsNaN(t.Fit) && !(0 < t.Lower && t.Lower <= t.Fit && t.Fit <= t.Upper && !math.IsInf(t.Upper, 1)) {
			return fmt.Errorf("plots: %strend %g, limits %g to %g at season %d: give positive numbers, the fit within its limits",
				who, t.Fit, t.Lower, t.Upper, i+1)
		}
	}
	return nil
}

// upOf is the range of the vertical axis: the estimates, the baseline, the trend
// where it passes near them, and limits that are not far from them.
func upOf(baseline [2]float64, all ...course) span {
	core := nothing
	for _, c := range all {
		for _, s := range c.seasons {
			core = s.Censored.stretch(core, s.Estimate)
		}
	}
	if baseline != ([2]float64{}) {
		core = core.with(math.Log10(baseline[0])).with(math.Log10(baseline[1]))
	}
	if core.empty() {
		core = span{0, 0}
	}
	out := core
	for _, c := range all {
		for _, s := range c.seasons {
			if s.Censored == Estimated {
				out = out.withNear(logOf(s.Lower), core).withNear(logOf(s.Upper), core)
			}
		}
		for _, t := range c.trend {
			out = out.withNear(math.Log10(t.Lower), core).withNear(math.Log10(t.Upper), core)
		}
	}
	return out.padded()
}

// censored reports whether a season has only a bound.
func (c course) censored() bool {
	return slices.ContainsFunc(c.seasons, func(s Season) bool { return s.Censored != Estimated && !math.IsNaN(s.Estimate) })
}

// gaps reports whether a season has no result.
func (c course) gaps() bool {
	return slices.ContainsFunc(c.seasons, func(s Season) bool { return math.IsNaN(s.Estimate) })
}

// trending reports whether there is a trend to draw.
func (c course) trending() bool {
	return slices.ContainsFunc(c.trend, func(t TrendPoint) bool { return !math.IsNaN(t.Fit) })
}

// beyond reports whether a bar has an arrow.
func (c course) beyond(up span) bool {
	return slices.ContainsFunc(c.seasons, func(s Season) bool {
		low, high := s.Censored.limits(s.Estimate, s.Lower, s.Upper)
		return !math.IsNaN(s.Estimate) && (logOf(low) < up.lo || math.Log10(high) > up.hi)
	})
}

// drawBaseline draws the range of the susceptible.
func drawBaseline(p pen, f frame, b [2]float64) {
	if b != ([2]float64{}) {
		p.box(bandGrey, f.axis, f.y(math.Log10(b[0])), f.right+offset, f.y(math.Log10(b[1])))
	}
}

// draw draws the trend, the seasons and the line that joins them, with points of
// the given radius.
func (c course) draw(p pen, f frame, radius vg.Length) {
	c.drawTrend(p, f)
	var run []vg.Point
	for i, s := range c.seasons {
		if math.IsNaN(s.Estimate) || s.Censored != Estimated {
			p.line(blue, barLine, extrapolated, run...)
			run = nil
			continue
		}
		run = append(run, vg.Point{X: f.x(float64(i)), Y: f.y(math.Log10(s.Estimate))})
	}
	p.line(blue, barLine, extrapolated, run...)
	for i, s := range c.seasons {
		if !math.IsNaN(s.Estimate) {
			s.draw(p, f, f.x(float64(i)), radius)
		}
	}
}

// drawTrend draws the fitted line on the tint of its limits, within the axes.
func (c course) drawTrend(p pen, f frame) {
	inside := area{f.left - offset/2, f.right + offset/2, f.y(f.up.lo), f.y(f.up.hi)}
	var line, above, below []vg.Point
	for i, t := range c.trend {
		if math.IsNaN(t.Fit) {
			continue
		}
		at := func(v float64) vg.Point { return vg.Point{X: f.x(float64(i)), Y: f.y(math.Log10(v))} }
		line, above, below = append(line, at(t.Fit)), append(above, at(t.Upper)), append(below, at(t.Lower))
	}
	slices.Reverse(below)
	if band := clipRing(append(above, below...), inside); len(band) > 2 {
		p.shape(vermilionTint, band...)
	}
	for _, piece := range clipLine(line, inside) {
		p.line(vermilion, curveLine, nil, piece...)
	}
}

// draw draws the estimate of one season with its bar.
func (s Season) draw(p pen, f frame, x, radius vg.Length) {
	low, high := s.Censored.limits(s.Estimate, s.Lower, s.Upper)
	at := vg.Point{X: x, Y: f.y(math.Log10(s.Estimate))}
	if !math.IsNaN(low) && !math.IsNaN(high) {
		f.drawUpright(p, x, logOf(low), math.Log10(high), radius)
	}
	if s.Censored == Estimated {
		p.mark(look{colour: blue}, at, radius)
	} else {
		p.hollow(look{colour: blue}, at, radius)
	}
}

// drawUpright draws a bar from low to high, log10 values, with an arrow head where
// a limit does not exist or lies beyond the axis.
func (f frame) drawUpright(p pen, x vg.Length, low, high float64, radius vg.Length) {
	from, to := f.y(max(low, f.up.lo)), f.y(min(high, f.up.hi))
	wide, tip := barLine*1.25*radius/seasonRadius, 2*radius/seasonRadius
	p.upright(blue, wide, nil, x, from, to)
	if low < f.up.lo {
		p.arrowUp(blue, vg.Point{X: x, Y: from - offset/2}, -arrowLen)
	} else {
		p.across(blue, wide, nil, x-tip, x+tip, from)
	}
	if high > f.up.hi {
		p.arrowUp(blue, vg.Point{X: x, Y: to + offset/2}, arrowLen)
	} else {
		p.across(blue, wide, nil, x-tip, x+tip, to)
	}
}
