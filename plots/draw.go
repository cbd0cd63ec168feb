package plots

import (
	"math"
	"strconv"

	"gonum.org/v1/plot/vg"
)

const (
	controlLabel           = "control"
	exponentSize vg.Length = 5.5
	curveSteps             = 120 // segments of the fitted curve over the axis
)

// draw draws the laid-out figure on a canvas of its size.
func (c Curve) draw(canvas vg.Canvas, l layout) {
	p := pen{canvas}
	p.box(white, 0, 0, l.w, l.h)
	l.drawText(p)
	l.drawAxes(p)
	f := l.frame
	if f.dose.empty() {
		p.write(face(bodySize, false), text, (f.left+f.right)/2, f.y(0.5)+gap, atMiddle, "no treated mites")
	} else {
		c.drawBracket(p, f)
		c.drawNatural(p, f)
		c.drawCurve(p, f)
		c.drawLC50(p, f)
	}
	if f.dose.empty() && f.hasControl {
		c.drawNatural(p, f)
	}
	c.drawMarks(p, f)
}

// drawMarks draws the points and the diamond of the LC50. The diamond is white
// inside, over the curve, but its white lies under the points and only its
// outline above them, so that a point at the LC50 stays in sight.
func (c Curve) drawMarks(p pen, f frame) {
	if f.dose.empty() || !c.hasLC50() || !f.dose.holds(math.Log10(c.LC50)) {
		c.drawPoints(p, f)
		return
	}
	at := vg.Point{X: f.x(math.Log10(c.LC50)), Y: f.y(c.halfKill())}
	p.shape(white, diamond(at, diamondRad)...)
	c.drawPoints(p, f)
	p.outline(white, diamondLine+0.5, diamond(at, diamondRad)...)
	p.outline(vermilion, diamondLine, diamond(at, diamondRad)...)
}

// drawText sets the paragraphs above and below the data, and the key.
func (l layout) drawText(p pen) {
	top := l.h - margin
	for i, b := range l.header {
		c := text
		if i == 0 {
			c = ink
		}
		top = p.writeBlock(b, c, margin, top, atStart)
	}
	f := l.frame
	top = p.writeBlock(l.xLabel, text, l.labelCentre(), f.foot-tickLength-gap-bodySize, atMiddle) - gap
	for _, row := range l.rows {
		x, y := margin, top-keyLeading/2
		for _, k := range row {
			k.sample(p, x, y)
			p.write(face(keySize, false), text, x+keySwatch+gap, y-keySize*0.35, atStart, k.name)
			x += k.width() + keySpace
		}
		top -= keyLeading
	}
	p.writeBlock(l.footer, text, margin, margin+l.footer.height(), atStart)
	p.writeUp(face(axisSize, false), text, vg.Point{X: margin + axisSize - 1, Y: f.y(0.5)}, "Mortality (%)")
}

// labelCentre is where the name of the concentration axis is centred: under the
// axis, unless its text would then leave the page.
func (l layout) labelCentre() vg.Length {
	centre := (l.frame.left + l.frame.right) / 2
	for _, s := range l.xLabel.lines {
		half := room(l.xLabel.face, s) / 2
		centre = min(centre, l.w-margin-half)
		centre = max(centre, min(margin+half, l.w/2))
	}
	return centre
}

// drawAxes draws the grid, both axes, their ticks and labels.
func (l layout) drawAxes(p pen) {
	f := l.frame
	labels := face(bodySize, false)
	for percent := 0; percent <= 100; percent += 25 {
		y := f.y(float64(percent) / 100)
		p.line(faint, hairline, nil, vg.Point{X: f.axis, Y: y}, vg.Point{X: f.right + offset, Y: y})
		p.line(text, axisLine, nil, vg.Point{X: f.axis - tickLength, Y: y}, vg.Point{X: f.axis, Y: y})
		p.write(labels, text, f.axis-tickLength-1, y-bodySize*0.35, atEnd, strconv.Itoa(percent))
	}
	p.line(text, axisLine, nil, vg.Point{X: f.axis, Y: f.foot}, vg.Point{X: f.axis, Y: f.top})
	start := f.axis
	if f.hasControl {
		start = f.split + 1.2
		l.drawControlAxis(p)
	}
	p.line(text, axisLine, nil, vg.Point{X: start, Y: f.foot}, vg.Point{X: f.right + offset, Y: f.foot})
	for _, t := range l.ticks {
		l.drawTick(p, t)
	}
}

// drawControlAxis draws the piece of axis under the control and the break that
// says that the scale does not go on to it.
func (l layout) drawControlAxis(p pen) {
	f := l.frame
	p.line(text, axisLine, nil, vg.Point{X: f.axis, Y: f.foot}, vg.Point{X: f.split - 1.2, Y: f.foot})
	p.line(text, axisLine, nil, vg.Point{X: f.control, Y: f.foot}, vg.Point{X: f.control, Y: f.foot - tickLength})
	p.write(face(bodySize, false), text, f.control, l.tickBaseline(), atMiddle, controlLabel)
	for _, x := range []vg.Length{f.split - 1.2, f.split + 1.2} {
		p.line(text, axisLine, nil, vg.Point{X: x - 1.2, Y: f.foot - 3}, vg.Point{X: x + 1.2, Y: f.foot + 3})
	}
}

// tickBaseline is the baseline of the labels under the concentration axis.
func (l layout) tickBaseline() vg.Length {
	return l.frame.foot - tickLength - 1.8 - bodySize*0.8
}

// drawTick draws a tick of the concentration axis with its label, if any.
func (l layout) drawTick(p pen, t tick) {
	x, long := l.frame.x(t.at), tickLength
	if t.label == "" {
		long = tickLength * 0.55
	}
	p.line(text, axisLine, nil, vg.Point{X: x, Y: l.frame.foot}, vg.Point{X: x, Y: l.frame.foot - long})
	base, raised := face(bodySize, false), face(exponentSize, false)
	if t.exponent == "" {
		p.write(base, text, x, l.tickBaseline(), atMiddle, t.label)
		return
	}
	// Both parts start from where they meet, so that neither font can part them.
	joint := x + (room(base, t.label)-room(raised, t.exponent))/2
	p.write(base, text, joint, l.tickBaseline(), atEnd, t.label)
	p.write(raised, text, joint, l.tickBaseline()+bodySize*0.32, atStart, t.exponent)
}
