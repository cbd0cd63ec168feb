package plots

import (
	"image/color"
	"math"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
)

// pen draws shapes and text on a canvas; it sets all the state it needs, so no
// call depends on the one before.
type pen struct{ canvas vg.Canvas }

// line strokes an open path through the points.
func (p pen) line(c color.Color, w vg.Length, dash []vg.Length, pts ...vg.Point) {
	if len(pts) < 2 {
		return
	}
	p.canvas.SetColor(c)
	p.canvas.SetLineWidth(w)
	p.canvas.SetLineDash(dash, 0)
	p.canvas.Stroke(path(pts, false))
}

// shape fills a polygon.
func (p pen) shape(c color.Color, pts ...vg.Point) {
	p.canvas.SetColor(c)
	p.canvas.Fill(path(pts, true))
}

// box fills a rectangle.
func (p pen) box(c color.Color, x0, y0, x1, y1 vg.Length) {
	p.shape(c, vg.Point{X: x0, Y: y0}, vg.Point{X: x1, Y: y0}, vg.Point{X: x1, Y: y1}, vg.Point{X: x0, Y: y1})
}

// disc fills a circle.
func (p pen) disc(c color.Color, at vg.Point, r vg.Length) {
	var circle vg.Path
	circle.Move(vg.Point{X: at.X + r, Y: at.Y})
	circle.Arc(at, r, 0, 2*math.Pi)
	circle.Close()
	p.canvas.SetColor(c)
	p.canvas.Fill(circle)
}

// outline strokes a polygon.
func (p pen) outline(c color.Color, w vg.Length, pts ...vg.Point) {
	p.canvas.SetColor(c)
	p.canvas.SetLineWidth(w)
	p.canvas.SetLineDash(nil, 0)
	p.canvas.Stroke(path(pts, true))
}

// diamond returns the corners of a square standing on one of them.
func diamond(at vg.Point, r vg.Length) []vg.Point {
	return []vg.Point{{X: at.X, Y: at.Y + r}, {X: at.X + r, Y: at.Y}, {X: at.X, Y: at.Y - r}, {X: at.X - r, Y: at.Y}}
}

// arrow fills an arrow head with its tip at the point, towards the right for a
// positive length, towards the left for a negative one.
func (p pen) arrow(c color.Color, tip vg.Point, length vg.Length) {
	half := arrowLen * 0.5
	p.shape(c, tip, vg.Point{X: tip.X - length, Y: tip.Y + half}, vg.Point{X: tip.X - length, Y: tip.Y - half})
}

// Where the given x lies on a line of text.
const (
	atStart  = 0.0
	atMiddle = 0.5
	atEnd    = 1.0
)

// anchored is a canvas that can leave it to the reader to align a text, whose
// font, and so the width of the text, only the reader knows.
type anchored interface {
	fillAnchored(f font.Face, at vg.Point, anchor float64, s string)
}

// write sets one line of text with the part of its width given by anchor to the
// left of x.
func (p pen) write(f font.Face, c color.Color, x, baseline vg.Length, anchor float64, s string) {
	if s == "" {
		return
	}
	p.canvas.SetColor(c)
	if a, ok := p.canvas.(anchored); ok {
		a.fillAnchored(f, vg.Point{X: x, Y: baseline}, anchor, s)
		return
	}
	p.canvas.FillString(f, vg.Point{X: x - vg.Length(anchor)*width(f, s), Y: baseline}, s)
}

// writeUp sets one line of text upwards, centred on the point.
func (p pen) writeUp(f font.Face, c color.Color, at vg.Point, s string) {
	p.canvas.Push()
	p.canvas.Translate(at)
	p.canvas.Rotate(math.Pi / 2)
	p.write(f, c, 0, 0, atMiddle, s)
	p.canvas.Pop()
}

// writeBlock sets a block downwards from top and returns where it ends.
func (p pen) writeBlock(b block, c color.Color, x, top vg.Length, anchor float64) vg.Length {
	for _, s := range b.lines {
		p.write(b.face, c, x, top-b.face.Font.Size, anchor, s)
		top -= b.leading()
	}
	return top
}

// path joins the points.
func path(pts []vg.Point, closed bool) vg.Path {
	var out vg.Path
	for i, pt := range pts {
		if i == 0 {
			out.Move(pt)
			continue
		}
		out.Line(pt)
	}
	if closed {
		out.Close()
	}
	return out
}
