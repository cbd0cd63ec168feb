package plots

import (
	"math"

	"gonum.org/v1/plot/vg"
)

// drawPoints draws the observed mortality of every point with its exact limits;
// a control is an open circle.
func (c Curve) drawPoints(p pen, f frame) {
	controls, treated := c.split()
	_, most := c.fewestAndMost()
	for _, pt := range controls {
		at, r := c.drawBar(p, f, pt, f.control, most)
		p.disc(blue, at, r)
		p.disc(white, at, r*0.62)
	}
	for _, pt := range treated {
		at, r := c.drawBar(p, f, pt, f.x(math.Log10(pt.Concentration)), most)
		p.disc(blue, at, r)
	}
}

// drawBar draws the bar of a point and the white rim of its mark, and returns
// the centre and the radius of the mark. The area is proportional to the number
// of mites, down to minRadius.
func (c Curve) drawBar(p pen, f frame, pt Point, x vg.Length, most int) (vg.Point, vg.Length) {
	low, high := exactLimits(pt.Dead, pt.Exposed)
	p.line(blue, barLine, nil, vg.Point{X: x, Y: f.y(low)}, vg.Point{X: x, Y: f.y(high)})
	at := vg.Point{X: x, Y: f.y(float64(pt.Dead) / float64(pt.Exposed))}
	r := max(minRadius, maxRadius*vg.Length(math.Sqrt(float64(pt.Exposed)/float64(most))))
	p.disc(white, at, r+0.5)
	return at, r
}

// drawCurve draws the fitted mortality, sampled evenly in log concentration:
// solid over the tested range and a little beyond, dashed where the axis goes on
// to an extrapolated estimate.
func (c Curve) drawCurve(p pen, f frame) {
	if c.Response == nil {
		return
	}
	solid := f.dose
	if t := c.tested(); !t.empty() {
		solid = t.padded()
	}
	solid.lo, solid.hi = max(solid.lo, f.dose.lo), min(solid.hi, f.dose.hi)
	c.drawStretch(p, f, span{f.dose.lo, solid.lo}, extrapolated)
	c.drawStretch(p, f, span{solid.hi, f.dose.hi}, extrapolated)
	c.drawStretch(p, f, solid, nil)
}

// drawStretch draws the fitted mortality over part of the axis. It leaves a gap
// where the response is not a number.
func (c Curve) drawStretch(p pen, f frame, s span, dash []vg.Length) {
	const least = 1e-9 // decades; shorter is rounding
	if s.hi-s.lo < least {
		return
	}
	steps := max(2, int(math.Ceil(curveSteps*(s.hi-s.lo)/(f.dose.hi-f.dose.lo))))
	var run []vg.Point
	for i := range steps + 1 {
		x := s.lo + (s.hi-s.lo)*float64(i)/float64(steps)
		y := c.Response(math.Pow(10, x))
		if math.IsNaN(y) {
			p.line(ink, curveLine, dash, run...)
			run = nil
			continue
		}
		run = append(run, vg.Point{X: f.x(x), Y: f.y(min(max(y, 0), 1))})
	}
	p.line(ink, curveLine, dash, run...)
}

// drawNatural draws the natural mortality across the figure.
func (c Curve) drawNatural(p pen, f frame) {
	if !c.hasNatural() {
		return
	}
	y := f.y(c.NaturalMortality)
	p.line(grey, barLine, natural, vg.Point{X: f.axis, Y: y}, vg.Point{X: f.right + offset, Y: y})
}

// drawLC50 drops a line from the curve to the axis at the LC50 and draws its
// limits as a bar, with an arrow head where a limit does not exist or lies
// beyond the axis. An LC50 beyond the axis is itself an arrow.
func (c Curve) drawLC50(p pen, f frame) {
	if !c.hasLC50() {
		return
	}
	lc, y := math.Log10(c.LC50), f.y(c.halfKill())
	low, high := lc, lc
	if c.hasLimits() {
		low, high = math.Log10(max(c.Lower, 0)), math.Log10(c.Upper)
	}
	if f.dose.holds(lc) {
		p.line(vermilion, axisLine, nil, vg.Point{X: f.x(lc), Y: y}, vg.Point{X: f.x(lc), Y: f.foot})
	}
	start, end := f.left-offset/2, f.right+offset
	from, fromArrow := c.barEnd(f, low, start, end)
	to, toArrow := c.barEnd(f, high, start, end)
	if from == to && fromArrow == 0 {
		return // no limits, and the diamond says it all
	}
	c.drawLimits(p, y, limitEnd{from, fromArrow}, limitEnd{to, toArrow})
}

// limitEnd is one end of the bar of limits: its place and the arrow there, 0
// for none, else the signed length of the head.
type limitEnd struct{ x, arrow vg.Length }

// barEnd returns the place of a limit and the arrow it needs: none on the axis,
// towards the left before it, towards the right after it.
func (c Curve) barEnd(f frame, limit float64, start, end vg.Length) (x, arrow vg.Length) {
	switch {
	case limit < f.dose.lo:
		return start, -arrowLen
	case limit > f.dose.hi:
		return end, arrowLen
	}
	return f.x(limit), 0
}

// drawLimits draws the bar of limits at height y.
func (c Curve) drawLimits(p pen, y vg.Length, from, to limitEnd) {
	a, b := vg.Point{X: from.x + max(0, -from.arrow), Y: y}, vg.Point{X: to.x - max(0, to.arrow), Y: y}
	if a.X >= b.X { // the whole bar lies beyond one end
		a.X, b.X = min(from.x, to.x)-max(0, to.arrow)*2, max(from.x, to.x)+max(0, -from.arrow)*2
	}
	p.line(vermilion, limitLine, nil, a, b)
	for _, e := range []limitEnd{from, to} {
		if e.arrow != 0 {
			p.arrow(vermilion, vg.Point{X: e.x, Y: y}, e.arrow)
			continue
		}
		p.line(vermilion, limitLine, nil, vg.Point{X: e.x, Y: y - 2.5}, vg.Point{X: e.x, Y: y + 2.5})
	}
}

// drawBracket shades the range in which the LC50 must lie.
func (c Curve) drawBracket(p pen, f frame) {
	if !c.hasBracket() {
		return
	}
	from, to := f.left-offset/2, f.right+offset
	var edges []vg.Length
	if c.Bracket[0] > 0 {
		from = f.x(math.Log10(c.Bracket[0]))
		edges = append(edges, from)
	}
	if !math.IsInf(c.Bracket[1], 1) {
		to = f.x(math.Log10(c.Bracket[1]))
		edges = append(edges, to)
	}
	p.box(orangeTint, from, f.foot, to, f.top)
	for _, x := range edges {
		p.line(vermilion, barLine, bandEdge, vg.Point{X: x, Y: f.foot}, vg.Point{X: x, Y: f.top})
	}
}
