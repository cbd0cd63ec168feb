package plots

import (
	"math"
	"slices"

	"gonum.org/v1/plot/vg"
)

// plan says what a panel of data needs.
type plan struct {
	across         span // horizontal range, in log10 where the axis is logarithmic; empty for none
	up             span // vertical range
	xLabel, yLabel string

	// xTicks and yTicks choose the marks of an axis of the given length, in
	// ascending order; fits says whether the labels of a choice stand clear.
	xTicks, yTicks func(s span, fits func([]tick) bool) []tick

	controls int       // columns of untreated mites at the left; 0 for none
	twoLines bool      // the labels of the horizontal axis may have a second line
	strip    []string  // names of the rows between the data and the axis
	stripRow vg.Length // height of such a row
	right    vg.Length // kept free at the right
	bend     func(mortality float64) float64
}

// panel is a plan in its place.
type panel struct {
	plan
	area   area
	frame  frame
	xBlock block
	yBlock block
	marks  []tick // of the horizontal axis
	levels []tick // of the vertical axis
	row    []string
}

// frame is the data area on the page, in points from the bottom left.
type frame struct {
	left, right, bottom, top vg.Length // the ranges across and up
	axis                     vg.Length // x of the vertical axis
	foot                     vg.Length // y of the horizontal axis
	control                  vg.Length // x of the middle of the control column, if there is one
	split                    vg.Length // x of the axis break, if there is one
	hasControl               bool
	across, up               span
	bend                     func(float64) float64 // of the vertical axis; nil for a straight one
}

// x returns the place of a value across, a log10 where the axis is logarithmic.
func (f frame) x(v float64) vg.Length {
	part := (v - f.across.lo) / (f.across.hi - f.across.lo)
	return f.left + vg.Length(part)*(f.right-f.left)
}

// y returns the place of a value up; on a bent axis one beyond the range lies at
// its end.
func (f frame) y(v float64) vg.Length {
	if f.bend != nil {
		v = min(max(f.bend(v), f.up.lo), f.up.hi)
	}
	return f.bottom + vg.Length((v-f.up.lo)/(f.up.hi-f.up.lo))*(f.top-f.bottom)
}

// xHeight is the room below the horizontal axis: ticks, their labels and the name.
func (p plan) xHeight(limit vg.Length) (vg.Length, block) {
	b := fitBlock(p.xLabel, limit, axisSize, footSize, false, 2)
	if p.xLabel == "" {
		b.lines = nil
	}
	h := b.height() + bodySize + 2*gap + tickLength
	if p.twoLines {
		h += bodySize * 1.15
	}
	return h, b
}

// stripHeight is the height of the rows between the data and the axis.
func (p plan) stripHeight() vg.Length {
	if len(p.strip) == 0 {
		return 0
	}
	return vg.Length(len(p.strip))*p.stripRow + 2*gap
}

// needs is the height that the panel asks for, with good data.
func (p plan) needs(limit vg.Length) vg.Length {
	below, _ := p.xHeight(limit)
	return below + offset + p.stripHeight() + goodData + bodySize/2
}

// place puts the panel into an area of the page.
func (s sheet) place(p plan, a area) (panel, error) {
	out := panel{plan: p, area: a}
	below, b := p.xHeight(a.right - a.left)
	out.xBlock = b
	f := frame{across: p.across, up: p.up, bend: p.bend}
	f.foot = a.bottom + below
	f.bottom = f.foot + p.stripHeight() + offset
	f.top = a.top - bodySize/2
	if f.top-f.bottom < minData {
		return out, errNoRoom(s.w, s.h, "leaves no room for its data", "make it larger or its texts shorter")
	}
	up := func(v float64) vg.Length { return vg.Length((v-p.up.lo)/(p.up.hi-p.up.lo)) * (f.top - f.bottom) }
	if p.yTicks != nil {
		out.levels = p.yTicks(p.up, func(t []tick) bool { return stacked(t, up) })
	}
	if p.yLabel != "" {
		out.yBlock = fitBlock(p.yLabel, f.top-f.foot, axisSize, footSize, false, 2)
	}
	out.placeAcross(&f, a)
	if f.right-f.left < minData {
		return out, errNoRoom(s.w, s.h, "leaves no room for its data", "make it larger or its texts shorter")
	}
	out.frame = f
	if !f.across.empty() {
		out.marks = p.xTicks(f.across, out.roomFor)
		out.dropCrowded()
	}
	return out, nil
}

// onePanel lays out a figure of one panel, with more than good data where it asks
// for extra height.
func (c Caption) onePanel(p plan, key keyBox, footer [][]string, extra vg.Length) (sheet, panel, error) {
	s, err := c.sheet(key, footer, p.needs(c.width()-2*margin)+extra)
	if err != nil {
		return s, panel{}, err
	}
	l, err := s.place(p, s.body)
	return s, l, err
}

// placeAcross fills in the horizontal places of the frame.
func (p *panel) placeAcross(f *frame, a area) {
	widest := vg.Length(0)
	for _, t := range p.levels {
		widest = max(widest, tickWidth(t))
	}
	side := widest
	for _, name := range p.strip {
		limit := (a.right - a.left) * 0.3
		short := shortened(face(keySize, false), clean(name), limit)
		p.row = append(p.row, short)
		side = max(side, room(face(keySize, false), short)-gap)
	}
	f.axis = a.left + gap + max(side, widest+p.yBlock.height()-axisSize*0.2) + tickLength + 1
	f.left, f.right = f.axis+offset, a.right-offset-p.right
	if p.controls > 0 {
		half := max(room(face(bodySize, false), controlLabel)/2, vg.Length(p.controls-1)*controlStep(p.controls)/2+gap)
		f.hasControl = true
		f.control = f.axis + half + 1
		f.split = f.control + half + gap
		f.left = f.split + 3*gap
	}
}

// controlStep is the distance between the controls of n populations.
func controlStep(n int) vg.Length {
	const apart, most = 3.2, 40
	return min(apart, most/vg.Length(max(1, n-1)))
}

// tickWidth is the room for a tick's label.
func tickWidth(t tick) vg.Length {
	w := max(room(face(bodySize, false), t.label), room(face(bodySize, false), t.under))
	if t.exponent != "" {
		w += room(face(exponentSize, false), t.exponent)
	}
	return w
}

// roomFor reports whether the labels of ticks on the horizontal axis stand clear
// of each other.
func (p *panel) roomFor(ticks []tick) bool {
	for i := 1; i < len(ticks); i++ {
		between := p.frame.x(ticks[i].at) - p.frame.x(ticks[i-1].at)
		if between < (tickWidth(ticks[i])+tickWidth(ticks[i-1]))/2+gap {
			return false
		}
	}
	return true
}

// stacked reports whether the labels of ticks on the vertical axis stand clear.
func stacked(ticks []tick, up func(float64) vg.Length) bool {
	for i := 1; i < len(ticks); i++ {
		if up(ticks[i].at)-up(ticks[i-1].at) < bodySize*1.3 {
			return false
		}
	}
	return true
}

// dropCrowded takes the label from a tick at either end whose text would run
// into the label of the control or beyond the area.
func (p *panel) dropCrowded() {
	from := p.area.left
	if p.frame.hasControl {
		from = p.frame.split + gap
	}
	for i, t := range p.marks {
		x, half := p.frame.x(t.at), tickWidth(t)/2
		if x-half < from || x+half > p.area.right+margin-1 {
			p.marks[i].label, p.marks[i].exponent, p.marks[i].under = "", "", ""
		}
	}
}

// percents are the marks of an axis of proportions.
func percents(span, func([]tick) bool) []tick {
	return percentTicks([]float64{0, 25, 50, 75, 100}, func(v float64) float64 { return v })
}

// percentTicks labels percentages at the places that at gives to proportions.
func percentTicks(percent []float64, at func(float64) float64) []tick {
	var out []tick
	for _, v := range percent {
		out = append(out, tick{at: at(v / 100), value: v, label: digits(v)})
	}
	return out
}

// evenTicks are the marks of a straight axis: the multiples of 1, 2 or 5 times a
// power of ten that give at least three and fit.
func evenTicks(s span, fits func([]tick) bool) []tick {
	var out []tick
	start := int(math.Floor(math.Log10((s.hi - s.lo) / 10)))
	for e := start; e < start+3; e++ {
		for _, m := range []float64{1, 2, 5} {
			step := decimal(m, e)
			var ticks []tick
			for k := math.Ceil(s.lo/step - 1e-9); k*step <= s.hi+1e-9*step; k++ {
				v := k * step
				ticks = append(ticks, tick{at: v, value: v, label: signed(v)})
			}
			if len(ticks) < 2 {
				return out
			}
			if out = ticks; len(out) <= maxLabels && fits(out) {
				return out
			}
		}
	}
	return slices.Clip(out)
}

// signed writes a number with a true minus sign.
func signed(v float64) string {
	if v < 0 {
		return "−" + digits(-v)
	}
	return digits(v)
}
