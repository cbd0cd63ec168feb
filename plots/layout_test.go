package plots

import (
	"image/color"
	"math"
	"testing"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/vgsvg"
)

// textBox is the room that a text takes on the page.
type textBox struct {
	s              string
	x0, y0, x1, y1 vg.Length
}

// boxCanvas records where text goes. It follows translation and a quarter turn,
// which is all that the figure uses.
type boxCanvas struct {
	*vgsvg.Canvas
	at     vg.Point
	turned bool
	boxes  []textBox
}

func (c *boxCanvas) Translate(pt vg.Point) { c.at = pt; c.Canvas.Translate(pt) }
func (c *boxCanvas) Rotate(r float64)      { c.turned = true; c.Canvas.Rotate(r) }
func (c *boxCanvas) Pop()                  { c.at, c.turned = vg.Point{}, false; c.Canvas.Pop() }

// fillAnchored takes the text to be as wide as the room that must be left for it.
func (c *boxCanvas) fillAnchored(f font.Face, pt vg.Point, anchor float64, s string) {
	const rise, drop = 0.72, 0.16 // capital height and most of a descender, in ems
	w, size := room(f, s), f.Font.Size
	pt.X -= vg.Length(anchor) * w
	b := textBox{s, c.at.X + pt.X, c.at.Y + pt.Y - drop*size, c.at.X + pt.X + w, c.at.Y + pt.Y + rise*size}
	if c.turned {
		b = textBox{s, c.at.X - rise*size, c.at.Y + pt.X, c.at.X + drop*size, c.at.Y + pt.X + w}
	}
	c.boxes = append(c.boxes, b)
	c.Canvas.FillString(f, pt, s)
}

func TestTextNeitherOverlapsNorRunsOut(t *testing.T) {
	for name, c := range figures() {
		l, err := c.arrange()
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		canvas := &boxCanvas{Canvas: vgsvg.New(l.w, l.h)}
		c.draw(canvas, l)
		for i, a := range canvas.boxes {
			if a.x0 < 0 || a.y0 < 0 || a.x1 > l.w || a.y1 > l.h {
				t.Errorf("%s: %q runs off the page", name, a.s)
			}
			for _, b := range canvas.boxes[:i] {
				if a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1 {
					t.Errorf("%s: %q overlaps %q", name, a.s, b.s)
				}
			}
		}
	}
}

// Apart from a remark in an empty figure, no text stands among the data.
func TestTextStaysOffTheData(t *testing.T) {
	for name, c := range figures() {
		l, err := c.arrange()
		if err != nil {
			t.Fatal(err)
		}
		f := l.frame
		canvas := &boxCanvas{Canvas: vgsvg.New(l.w, l.h)}
		c.draw(canvas, l)
		for _, b := range canvas.boxes {
			if b.s != "no treated mites" && b.x1 > f.axis && b.y0 < f.top+maxRadius && b.y1 > f.foot {
				t.Errorf("%s: %q stands among the data", name, b.s)
			}
		}
	}
}

// The axis holds the tested range and a near estimate, not a far one.
func TestAxisSpan(t *testing.T) {
	const tolerance = 1e-12
	for _, c := range []struct {
		what   string
		curve  Curve
		lo, hi float64
	}{
		{"tested 1 to 8, estimate inside", beyond(3, 2, 4), -minPad, math.Log10(8) + minPad},
		{"estimate and limit near", beyond(30, 12, 50), -(padPart * math.Log10(50)), math.Log10(50) * (1 + padPart)},
		{"estimate far above", beyond(5000, 900, inf), -minPad, math.Log10(8) + minPad},
		{"bracket above", allAlive(), math.Log10(0.5) - minPad, math.Log10(4) + minPad},
	} {
		got := c.curve.axisSpan()
		if math.Abs(got.lo-c.lo) > tolerance || math.Abs(got.hi-c.hi) > tolerance {
			t.Errorf("%s: axis %v, want %g to %g", c.what, got, c.lo, c.hi)
		}
	}
}

// luminance and contrast follow WCAG 2.1, "relative luminance" and "contrast
// ratio".
func luminance(c color.NRGBA) float64 {
	channel := func(v uint8) float64 {
		s := float64(v) / 255
		if s <= 0.03928 {
			return s / 12.92
		}
		return math.Pow((s+0.055)/1.055, 2.4)
	}
	return 0.2126*channel(c.R) + 0.7152*channel(c.G) + 0.0722*channel(c.B)
}

func contrast(a, b color.NRGBA) float64 {
	x, y := luminance(a), luminance(b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

// WCAG 2.1 asks for 4.5 for text (1.4.3) and 3 for marks (1.4.11).
func TestContrast(t *testing.T) {
	tint := color.NRGBA{R: 0xF7, G: 0xDF, B: 0xAA, A: 0xFF} // orangeTint on white
	for _, c := range []color.NRGBA{ink, text} {
		if got := contrast(c, white); got < 4.5 {
			t.Errorf("text %v on white: contrast %.2f", c, got)
		}
	}
	for _, c := range []color.NRGBA{blue, vermilion, grey} {
		if got := contrast(c, white); got < 3 {
			t.Errorf("mark %v on white: contrast %.2f", c, got)
		}
	}
	if got := contrast(blue, tint); got < 3 {
		t.Errorf("points on the shaded range: contrast %.2f", got)
	}
}

// The micro sign is printed for "ug" and for nothing that only begins so.
func TestPrintedUnit(t *testing.T) {
	for unit, want := range map[string]string{
		"ug/vial": "µg/vial", "ug": "µg", "ug per vial": "µg per vial", "ug·L⁻¹": "µg·L⁻¹",
		"ugly": "ugly", "ugά": "ugά", "mg/vial": "mg/vial", "UG/vial": "UG/vial", "mug/l": "mug/l", "µg/vial": "µg/vial", "": "",
	} {
		if got := printedUnit(unit); got != want {
			t.Errorf("unit %q is printed %q, want %q", unit, got, want)
		}
	}
	c := figures()["micro"]
	if got, want := c.axisLabel(), "Amitraz (µg/vial)"; got != want {
		t.Errorf("axis label %q, want %q", got, want)
	}
	if got, want := c.axisWords(), "Amitraz (ug/vial)"; got != want {
		t.Errorf("axis in words %q, want %q", got, want)
	}
}

// No row of the key is wider than the column, and the ordinary one needs two.
func TestKeyRows(t *testing.T) {
	l, err := ordinary().arrange()
	if err != nil {
		t.Fatal(err)
	}
	if len(l.rows) != 2 {
		t.Errorf("%d rows of the key, want 2", len(l.rows))
	}
	for _, row := range l.rows {
		used := -keySpace
		for _, k := range row {
			used += keySpace + k.width()
		}
		if used > l.w-2*margin {
			t.Errorf("a row of the key is %g wide", used)
		}
	}
	if rows := keyRows(ordinary().key(), 1000); len(rows) != 1 {
		t.Errorf("%d rows of the key where one has room", len(rows))
	}
}
