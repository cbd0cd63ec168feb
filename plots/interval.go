package plots

import (
	"math"

	"gonum.org/v1/plot/vg"
)

// limitEnd is one end of a bar of limits: its place and the arrow there, 0 for
// none, else the signed length of the head.
type limitEnd struct{ at, arrow vg.Length }

// drawInterval draws a bar from low to high, log10 values, at height y, with end
// strokes of half the given length, and an arrow head where a limit does not
// exist or lies beyond the axis. A bar without length is not drawn.
func (f frame) drawInterval(p pen, s stroke, y vg.Length, low, high float64, half vg.Length) {
	from, to := f.barEnd(low), f.barEnd(high)
	if low == high && from.arrow == 0 {
		return
	}
	a, b := from.at+max(0, -from.arrow), to.at-max(0, to.arrow)
	if a >= b { // the whole bar lies beyond one end
		a, b = min(from.at, to.at)-max(0, to.arrow)*2, max(from.at, to.at)+max(0, -from.arrow)*2
	}
	p.across(s.colour, s.width, s.dash, a, b, y)
	for _, e := range []limitEnd{from, to} {
		if e.arrow != 0 {
			p.arrow(s.colour, vg.Point{X: e.at, Y: y}, e.arrow)
		} else {
			p.upright(s.colour, s.width, nil, e.at, y-half, y+half)
		}
	}
}

// barEnd returns the place of a limit and the arrow it needs: none on the axis,
// towards the left before it, towards the right after it.
func (f frame) barEnd(limit float64) limitEnd {
	switch {
	case limit < f.across.lo:
		return limitEnd{f.left - offset/2, -arrowLen}
	case limit > f.across.hi:
		return limitEnd{f.right + offset, arrowLen}
	}
	return limitEnd{f.x(limit), 0}
}

// logOf returns the log10 of a limit; one that is 0 or below lies at -Inf.
func logOf(v float64) float64 { return math.Log10(max(v, 0)) }
