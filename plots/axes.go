package plots

import "gonum.org/v1/plot/vg"

const (
	controlLabel           = "control"
	exponentSize vg.Length = 5.5
)

// drawAxes draws the grid, both axes, their ticks, labels and names.
func (l panel) drawAxes(p pen) {
	f := l.frame
	for _, t := range l.levels {
		y := f.bottom + vg.Length((t.at-f.up.lo)/(f.up.hi-f.up.lo))*(f.top-f.bottom)
		if t.label == "" {
			p.across(text, axisLine, nil, f.axis-tickLength*0.55, f.axis, y)
			continue
		}
		p.across(faint, hairline, nil, f.axis, f.right+offset, y)
		p.across(text, axisLine, nil, f.axis-tickLength, f.axis, y)
		l.writeTick(p, t, f.axis-tickLength-1, y-bodySize*0.35, atEnd)
	}
	start := f.axis
	if f.hasControl {
		start = f.split + 1.2
		l.drawControlAxis(p)
	}
	l.drawStripAxis(p)
	p.upright(text, axisLine, nil, f.axis, f.bottom-offset, f.top)
	p.across(text, axisLine, nil, start, f.right+offset, f.foot)
	for _, t := range l.marks {
		l.drawTick(p, t)
	}
	p.writeBlock(l.xBlock, text, l.labelCentre(), f.foot-tickLength-gap-bodySize, atMiddle)
	l.writeUpLabel(p)
}

// writeUpLabel sets the name of the vertical axis beside its labels: centred on
// the data, or where it is longer than them beside the whole panel.
func (l panel) writeUpLabel(p pen) {
	f := l.frame
	x := f.axis - tickLength - 1 - l.widestLevel() - gap
	for i := len(l.yBlock.lines) - 1; i >= 0; i-- {
		s := l.yBlock.lines[i]
		half := room(l.yBlock.face, s) / 2
		y := max((f.bottom+f.top)/2, f.foot+half)
		p.writeUp(l.yBlock.face, text, vg.Point{X: x, Y: min(y, f.top-half)}, s)
		x -= l.yBlock.leading()
	}
}

// widestLevel is the room of the widest label of the vertical axis.
func (l panel) widestLevel() vg.Length {
	w := vg.Length(0)
	for _, t := range l.levels {
		w = max(w, tickWidth(t))
	}
	return w
}

// drawStripAxis draws the rule above the strip and the names of its rows.
func (l panel) drawStripAxis(p pen) {
	if len(l.row) == 0 {
		return
	}
	f := l.frame
	p.across(grey, hairline, nil, f.axis, f.right+offset, f.bottom-offset)
	p.upright(text, axisLine, nil, f.axis, f.foot, f.bottom-offset)
	for i, name := range l.row {
		p.write(face(keySize, false), text, f.axis-tickLength-1, l.stripY(i)-keySize*0.35, atEnd, name)
	}
}

// stripY is the middle of a row of the strip, counted from the top.
func (l panel) stripY(i int) vg.Length {
	return l.frame.bottom - offset - gap - (vg.Length(i)+0.5)*l.stripRow
}

// labelCentre is where the name of the horizontal axis is centred: under the
// axis, unless its text would then leave the page.
func (l panel) labelCentre() vg.Length {
	centre := (l.frame.left + l.frame.right) / 2
	left, right := l.area.left, l.area.right
	for _, s := range l.xBlock.lines {
		half := room(l.xBlock.face, s) / 2
		centre = min(centre, right-half)
		centre = max(centre, min(left+half, (left+right)/2))
	}
	return centre
}

// drawControlAxis draws the piece of axis under the control and the break that
// says that the scale does not go on to it.
func (l panel) drawControlAxis(p pen) {
	f := l.frame
	p.across(text, axisLine, nil, f.axis, f.split-1.2, f.foot)
	p.upright(text, axisLine, nil, f.control, f.foot, f.foot-tickLength)
	p.write(face(bodySize, false), text, f.control, l.tickBaseline(), atMiddle, controlLabel)
	for _, x := range []vg.Length{f.split - 1.2, f.split + 1.2} {
		p.line(text, axisLine, nil, vg.Point{X: x - 1.2, Y: f.foot - 3}, vg.Point{X: x + 1.2, Y: f.foot + 3})
	}
}

// tickBaseline is the baseline of the labels under the horizontal axis.
func (l panel) tickBaseline() vg.Length {
	return l.frame.foot - tickLength - 1.8 - bodySize*0.8
}

// drawTick draws a tick of the horizontal axis with its label, if any.
func (l panel) drawTick(p pen, t tick) {
	x, long := l.frame.x(t.at), tickLength
	if t.label == "" {
		long = tickLength * 0.55
	}
	p.upright(text, axisLine, nil, x, l.frame.foot, l.frame.foot-long)
	l.writeTick(p, t, x, l.tickBaseline(), atMiddle)
	p.write(face(bodySize, false), text, x, l.tickBaseline()-bodySize*1.15, atMiddle, t.under)
}

// writeTick sets the label of a tick with its exponent raised.
func (l panel) writeTick(p pen, t tick, x, baseline vg.Length, anchor float64) {
	base, raised := face(bodySize, false), face(exponentSize, false)
	if t.exponent == "" {
		p.write(base, text, x, baseline, anchor, t.label)
		return
	}
	// Both parts start from where they meet, so that neither font can part them.
	joint := x - room(raised, t.exponent)
	if anchor == atMiddle {
		joint = x + (room(base, t.label)-room(raised, t.exponent))/2
	}
	p.write(base, text, joint, baseline, atEnd, t.label)
	p.write(raised, text, joint, baseline+bodySize*0.32, atStart, t.exponent)
}
