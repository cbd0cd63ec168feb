package plots

import (
	"image/color"
	"math"
	"testing"

	"gonum.org/v1/plot/vg"
)

// textBox is the room that a text takes on the page.
type textBox struct {
	s              string
	x0, y0, x1, y1 vg.Length
}

// boxOf takes the text to be as wide as the room that must be left for it.
func boxOf(l lettering) textBox {
	const rise, drop = 0.72, 0.16 // capital height and most of a descender, in ems
	w, size := room(l.face, l.s), l.face.Font.Size
	from := -vg.Length(l.anchor) * w
	if l.up {
		return textBox{l.s, l.at.X - rise*size, l.at.Y + from, l.at.X + drop*size, l.at.Y + from + w}
	}
	return textBox{l.s, l.at.X + from, l.at.Y - drop*size, l.at.X + from + w, l.at.Y + rise*size}
}

// standApart fails the test for every two texts that overlap.
func standApart(t *testing.T, name string, boxes []textBox) {
	t.Helper()
	for i, a := range boxes {
		for _, b := range boxes[:i] {
			if a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1 {
				t.Errorf("%s: %q overlaps %q", name, a.s, b.s)
			}
		}
	}
}

// drawn draws a figure on a recording, or fails the test.
func drawn(t *testing.T, f Figure) (page, *recording) {
	t.Helper()
	g, err := f.page()
	if err != nil {
		t.Fatal(err)
	}
	return g, g.record()
}

// Both as SVG has the texts and as the files that carry every glyph have them.
func TestTextNeitherOverlapsNorRunsOut(t *testing.T) {
	for name, one := range figures() {
		for _, f := range []Figure{one, one.withTexts(printable)} {
			g, r := drawn(t, f)
			var boxes []textBox
			for _, l := range r.texts {
				a := boxOf(l)
				if a.x0 < 0 || a.y0 < 0 || a.x1 > g.w || a.y1 > g.h {
					t.Errorf("%s: %q runs off the page", name, a.s)
				}
				boxes = append(boxes, a)
			}
			standApart(t, name, boxes)
		}
	}
}

// No mark leaves the page either.
func TestMarksStayOnThePage(t *testing.T) {
	for name, f := range figures() {
		g, r := drawn(t, f)
		r.replay(bounds{func(p vg.Point) {
			const hair = 0.01
			if p.X < -hair || p.Y < -hair || p.X > g.w+hair || p.Y > g.h+hair || math.IsNaN(float64(p.X+p.Y)) {
				t.Errorf("%s: a mark at (%g, %g) on a page of %g by %g", name, p.X, p.Y, g.w, g.h)
			}
		}})
	}
}

// bounds is a canvas that sees every place of a path.
type bounds struct{ see func(vg.Point) }

func (b bounds) stroke(p vg.Path, _ stroke) { b.fill(p, ink) }
func (b bounds) write(lettering)            {}
func (b bounds) fill(p vg.Path, _ color.NRGBA) {
	for _, k := range p {
		if k.Type != vg.CloseComp {
			b.see(k.Pos)
		}
	}
}

// Apart from a remark in an empty figure, no text stands among the data.
func TestTextStaysOffTheData(t *testing.T) {
	for name, c := range curves() {
		_, l, err := c.arrange()
		if err != nil {
			t.Fatal(err)
		}
		f := l.frame
		_, r := drawn(t, c)
		for _, k := range r.texts {
			if b := boxOf(k); b.s != noTreated && b.x1 > f.axis && b.y0 < f.top+maxRadius && b.y1 > f.foot {
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
	for _, c := range append(seriesColours[:len(seriesColours):len(seriesColours)], blue, vermilion, grey) {
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
	c := curves()["micro"]
	if got, want := c.axisLabel(), "Amitraz (µg/vial)"; got != want {
		t.Errorf("axis label %q, want %q", got, want)
	}
	if got, want := c.axisWords(), "Amitraz (ug/vial)"; got != want {
		t.Errorf("axis in words %q, want %q", got, want)
	}
}

// No row of the key is wider than the column, and the ordinary one needs two.
func TestKeyRows(t *testing.T) {
	l, _, err := ordinary().arrange()
	if err != nil {
		t.Fatal(err)
	}
	if len(l.key.rows) != 2 {
		t.Errorf("%d rows of the key, want 2", len(l.key.rows))
	}
	for _, row := range l.key.rows {
		used := -keySpace
		for _, k := range row {
			used += keySpace + k.width()
		}
		if used > l.w-2*margin {
			t.Errorf("a row of the key is %g wide", used)
		}
	}
	if k := (keyBox{items: ordinary().key()}).fit(1000); len(k.rows) != 1 {
		t.Errorf("%d rows of the key where one has room", len(k.rows))
	}
}

// A grid reads down its columns, as many as fit.
func TestKeyGrid(t *testing.T) {
	var items []keyItem
	for i := range 7 {
		items = append(items, keyItem{name: apiary(i)})
	}
	k := keyBox{items: items, grid: true}.fit(160)
	if len(k.rows) != 3 || k.rows[0][0].name != "Apiary 1" || k.rows[1][0].name != "Apiary 2" || k.rows[0][1].name != "Apiary 4" {
		t.Errorf("rows %d, first %v", len(k.rows), k.rows[0][0].name)
	}
	if wide := vg.Length(len(k.rows[0]))*(k.each+keySpace) - keySpace; wide > 160 {
		t.Errorf("the grid is %g wide, want at most 160", wide)
	}
}
