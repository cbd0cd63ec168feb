package plots

import (
	"image/color"
	"math"

	"gonum.org/v1/plot/vg"
)

const curveSteps = 120 // segments of a curve over the axis

// drawPoints draws the observed mortality of every point with its exact limits;
// a control is an open mark.
func (c Population) drawPoints(p pen, f frame, s curveStyle, most int) {
	controls, treated := split(c.Points)
	for _, pt := range controls {
		at, r := drawBar(p, f, pt, f.control+s.control, s, most)
		p.hollow(s.look, at, r)
	}
	for _, pt := range treated {
		at, r := drawBar(p, f, pt, f.x(math.Log10(pt.Concentration))+s.shift, s, most)
		p.mark(s.look, at, r)
	}
}

// drawBar draws the bar of a point, and returns the centre and the radius of its
// mark. The area is proportional to the number of mites, down to minRadius.
func drawBar(p pen, f frame, pt Point, x vg.Length, s curveStyle, most int) (vg.Point, vg.Length) {
	low, high := exactLimits(pt.Dead, pt.Exposed)
	p.upright(s.colour, s.barWidth, nil, x, f.y(low), f.y(high))
	at := vg.Point{X: x, Y: f.y(float64(pt.Dead) / float64(pt.Exposed))}
	return at, max(minRadius, s.biggest*vg.Length(math.Sqrt(float64(pt.Exposed)/float64(most))))
}

// drawCurve draws the fitted mortality, sampled evenly in log concentration: over
// the tested range and a little beyond as the style has it, and where the axis
// goes on to an extrapolated estimate dashed, or thinner if it is dashed already.
func (c Population) drawCurve(p pen, f frame, s curveStyle) {
	if c.Response == nil {
		return
	}
	solid := f.across
	if t := tested(c.Points); !t.empty() {
		solid = t.padded()
	}
	solid.lo, solid.hi = max(solid.lo, f.across.lo), min(solid.hi, f.across.hi)
	beyond := stroke{s.line.colour, s.lineWidth, extrapolated}
	if s.line.dash != nil {
		beyond = stroke{s.line.colour, s.lineWidth / 2, s.line.dash}
	}
	f.trace(p, c.Response, span{f.across.lo, solid.lo}, beyond)
	f.trace(p, c.Response, span{solid.hi, f.across.hi}, beyond)
	f.trace(p, c.Response, solid, stroke{s.line.colour, s.lineWidth, s.line.dash})
}

// trace draws a response over part of the axis. It leaves a gap where the
// response is not a number, and ends where it leaves a bent axis.
func (f frame) trace(p pen, response func(float64) float64, s span, with stroke) {
	var run []vg.Point
	flush := func() {
		p.line(with.colour, with.width, with.dash, run...)
		run = nil
	}
	for _, x := range f.samples(s) {
		y := response(math.Pow(10, x))
		if math.IsNaN(y) || f.outside(y) {
			flush()
			continue
		}
		run = append(run, vg.Point{X: f.x(x), Y: f.y(min(max(y, 0), 1))})
	}
	flush()
}

// outside reports whether a bent axis has no place for a mortality.
func (f frame) outside(mortality float64) bool {
	return f.bend != nil && !f.up.holds(f.bend(mortality))
}

// samples returns places evenly spaced over part of the axis, as close together
// as curveSteps over all of it.
func (f frame) samples(s span) []float64 {
	const least = 1e-9 // decades; shorter is rounding
	if s.hi-s.lo < least {
		return nil
	}
	steps := max(2, int(math.Ceil(curveSteps*(s.hi-s.lo)/(f.across.hi-f.across.lo))))
	out := make([]float64, steps+1)
	for i := range out {
		out[i] = s.lo + (s.hi-s.lo)*float64(i)/float64(steps)
	}
	return out
}

// drawBand fills the pointwise band of the fitted mortality. Where a limit is not
// a number the band has a gap.
func (c Population) drawBand(p pen, f frame, fill color.NRGBA) {
	if c.Band == nil {
		return
	}
	var low, high []vg.Point
	flush := func() {
		if len(low) > 1 {
			for i := len(high) - 1; i >= 0; i-- {
				low = append(low, high[i])
			}
			p.shape(fill, low...)
		}
		low, high = nil, nil
	}
	for _, x := range f.samples(f.across) {
		lower, upper := c.Band(math.Pow(10, x))
		if math.IsNaN(lower) || math.IsNaN(upper) {
			flush()
			continue
		}
		low = append(low, vg.Point{X: f.x(x), Y: f.y(min(max(lower, 0), 1))})
		high = append(high, vg.Point{X: f.x(x), Y: f.y(min(max(upper, 0), 1))})
	}
	flush()
}

// drawNatural draws the natural mortality across the figure.
func (c Population) drawNatural(p pen, f frame) {
	if c.hasNatural() && (f.hasControl || !f.across.empty()) {
		p.across(grey, barLine, natural, f.axis, f.right+offset, f.y(c.NaturalMortality))
	}
}

// drawLC50 drops a line from the curve to the axis at the LC50 and draws its
// limits as a bar.
func (c Population) drawLC50(p pen, f frame) {
	if !c.hasLC50() {
		return
	}
	lc, y := math.Log10(c.LC50), f.y(c.halfKill())
	if f.across.holds(lc) {
		p.upright(vermilion, axisLine, nil, f.x(lc), y, f.foot)
	}
	low, high := lc, lc
	if c.hasLimits() {
		low, high = math.Log10(max(c.Lower, 0)), math.Log10(c.Upper)
	}
	f.drawInterval(p, stroke{vermilion, limitLine, nil}, y, low, high, 2.5)
}

// drawBracket shades the range in which the LC50 must lie.
func (c Population) drawBracket(p pen, f frame) {
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
		p.upright(vermilion, barLine, bandEdge, x, f.foot, f.top)
	}
}
