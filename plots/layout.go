package plots

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"gonum.org/v1/plot/vg"
)

const (
	margin     vg.Length = 6
	gap        vg.Length = 3
	tickLength vg.Length = 2.5
	offset     vg.Length = 4  // axes stand off the data, so 0 and 100 % stay visible
	minData    vg.Length = 36 // a lower or narrower data area cannot be read
)

// layout is where everything goes on a page of the given size.
type layout struct {
	w, h   vg.Length
	header []block // from the top down
	xLabel block
	rows   [][]keyItem // of the key, from the top down
	footer block
	frame  frame
	ticks  []tick
}

// arrange lays the figure out, or reports that the size does not hold it.
func (c Curve) arrange() (layout, error) {
	w, h := c.size()
	l := layout{w: w, h: h}
	inner := w - 2*margin
	if !(inner >= 2*minData) || !(h > 0) {
		return l, fmt.Errorf("plots: a figure %.0f mm wide and %.0f mm high has no room for its text: use the default size", w/vg.Millimeter, h/vg.Millimeter)
	}
	l.header = c.header(inner)
	l.frame = c.frameAcross(w)
	l.xLabel = fitBlock(c.axisLabel(), inner, axisSize, footSize, false, 2)
	l.rows = keyRows(c.key(), inner)
	l.footer = c.footer(l.frame, inner)

	bottom := margin + l.footer.height() + l.keyHeight() + gap + l.xLabel.height()
	l.frame.foot = bottom + bodySize + gap + tickLength
	l.frame.bottom = l.frame.foot + offset
	l.frame.top = h - margin - l.headerHeight() - bodySize
	if l.frame.top-l.frame.bottom < minData || l.frame.right-l.frame.left < minData {
		return l, fmt.Errorf("plots: a figure %.0f mm wide and %.0f mm high leaves no room for its data: make it larger or its texts shorter", w/vg.Millimeter, h/vg.Millimeter)
	}
	if !l.frame.dose.empty() {
		l.ticks = concentrationTicks(l.frame.dose.lo, l.frame.dose.hi, l.roomFor)
		l.dropCrowded()
	}
	return l, nil
}

// header returns the paragraphs above the data.
func (c Curve) header(limit vg.Length) []block {
	var out []block
	if s := clean(c.Title); s != "" {
		out = append(out, fitBlock(s, limit, titleSize, titleSmall, true, 2))
	}
	for _, s := range []string{clean(c.Subtitle), clean(c.Note)} {
		if s != "" {
			out = append(out, fitBlock(s, limit, bodySize, footSize, false, 2))
		}
	}
	return out
}

// headerHeight is the height of the paragraphs above the data.
func (l layout) headerHeight() vg.Length {
	var sum vg.Length
	for _, b := range l.header {
		sum += b.height()
	}
	return sum
}

// keyHeight is the height of the key, with the gap below it.
func (l layout) keyHeight() vg.Length {
	if len(l.rows) == 0 {
		return 0
	}
	return vg.Length(len(l.rows))*keyLeading + gap
}

// frameAcross returns the frame with its horizontal places filled in.
func (c Curve) frameAcross(w vg.Length) frame {
	f := frame{dose: c.axisSpan()}
	f.axis = margin + axisSize + gap + room(face(bodySize, false), "100") + tickLength + 1
	f.left, f.right = f.axis+offset, w-margin-offset
	controls, _ := c.split()
	if len(controls) > 0 {
		half := room(face(bodySize, false), controlLabel) / 2
		f.hasControl = true
		f.control = f.axis + half + 1
		f.split = f.control + half + gap
		f.left = f.split + 3*gap
	}
	return f
}

// axisLabel names the concentration axis as it is printed, with the micro sign.
func (c Curve) axisLabel() string { return c.nameAxis(printedUnit(clean(c.Unit))) }

// axisWords names the concentration axis with the unit as it was entered.
func (c Curve) axisWords() string { return c.nameAxis(clean(c.Unit)) }

// printedUnit writes a leading "ug" as "µg", unless it begins a longer word.
func printedUnit(unit string) string {
	rest, found := strings.CutPrefix(unit, "ug")
	if r, _ := utf8.DecodeRuneInString(rest); !found || unicode.IsLetter(r) {
		return unit
	}
	return "µg" + rest
}

// nameAxis names the concentration axis with the given unit, "" for none.
func (c Curve) nameAxis(unit string) string {
	name := clean(c.Acaricide)
	if name == "" {
		name = "concentration"
	}
	r, n := utf8.DecodeRuneInString(name)
	name = string(unicode.ToUpper(r)) + name[n:]
	if unit != "" {
		name += " (" + unit + ")"
	}
	return name
}

// tickWidth is the room for a tick's label.
func tickWidth(t tick) vg.Length {
	w := room(face(bodySize, false), t.label)
	if t.exponent != "" {
		w += room(face(exponentSize, false), t.exponent)
	}
	return w
}

// roomFor reports whether the labels of the ticks stand clear of each other.
func (l layout) roomFor(ticks []tick) bool {
	for i := 1; i < len(ticks); i++ {
		between := l.frame.x(ticks[i].at) - l.frame.x(ticks[i-1].at)
		if between < (tickWidth(ticks[i])+tickWidth(ticks[i-1]))/2+gap {
			return false
		}
	}
	return true
}

// dropCrowded takes the label from a tick at either end whose text would run
// into the label of the control or over the edge of the page.
func (l layout) dropCrowded() {
	from := vg.Length(1)
	if l.frame.hasControl {
		from = l.frame.split + gap
	}
	for i, t := range l.ticks {
		x, half := l.frame.x(t.at), tickWidth(t)/2
		if x-half < from || x+half > l.w-1 {
			l.ticks[i].label, l.ticks[i].exponent = "", ""
		}
	}
}
