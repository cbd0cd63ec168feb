package plots

import (
	"image/color"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
)

// pen draws shapes and text on a canvas.
type pen struct{ canvas canvas }

// line strokes an open path through the points.
func (p pen) line(c color.NRGBA, w vg.Length, dash []vg.Length, pts ...vg.Point) {
	if len(pts) < 2 {
		return
	}
	p.canvas.stroke(path(pts, false), stroke{c, w, dash})
}

// across strokes a horizontal line.
func (p pen) across(c color.NRGBA, w vg.Length, dash []vg.Length, x0, x1, y vg.Length) {
	p.line(c, w, dash, vg.Point{X: x0, Y: y}, vg.Point{X: x1, Y: y})
}

// upright strokes a vertical line.
func (p pen) upright(c color.NRGBA, w vg.Length, dash []vg.Length, x, y0, y1 vg.Length) {
	p.line(c, w, dash, vg.Point{X: x, Y: y0}, vg.Point{X: x, Y: y1})
}

// shape fills a polygon.
func (p pen) shape(c color.NRGBA, pts ...vg.Point) {
	p.canvas.fill(path(pts, true), c)
}

// box fills a rectangle.
func (p pen) box(c color.NRGBA, x0, y0, x1, y1 vg.Length) {
	p.shape(c, vg.Point{X: x0, Y: y0}, vg.Point{X: x1, Y: y0}, vg.Point{X: x1, Y: y1}, vg.Point{X: x0, Y: y1})
}

// outline strokes a polygon.
func (p pen) outline(c color.NRGBA, w vg.Length, pts ...vg.Point) {
	p.canvas.stroke(path(pts, true), stroke{colour: c, width: w})
}

// disc fills a circle.
func (p pen) disc(c color.NRGBA, at vg.Point, r vg.Length) {
	p.canvas.fill(circle(at, r), c)
}

// circle returns a circle as four cubic Bézier curves, which every file format
// has. Its radius is right to 0.03 %.
func circle(at vg.Point, r vg.Length) vg.Path {
	const handle = 0.5522847498307936 // 4/3 (√2 - 1)
	k := r * handle
	on := func(dx, dy vg.Length) vg.Point { return vg.Point{X: at.X + dx, Y: at.Y + dy} }
	var out vg.Path
	out.Move(on(r, 0))
	out.CubeTo(on(r, k), on(k, r), on(0, r))
	out.CubeTo(on(-k, r), on(-r, k), on(-r, 0))
	out.CubeTo(on(-r, -k), on(-k, -r), on(0, -r))
	out.CubeTo(on(k, -r), on(r, -k), on(r, 0))
	out.Close()
	return out
}

// diamond returns the corners of a square standing on one of them.
func diamond(at vg.Point, r vg.Length) []vg.Point {
	return []vg.Point{{X: at.X, Y: at.Y + r}, {X: at.X + r, Y: at.Y}, {X: at.X, Y: at.Y - r}, {X: at.X - r, Y: at.Y}}
}

// arrow fills an arrow head with its tip at the point, towards the right for a
// positive length, towards the left for a negative one.
func (p pen) arrow(c color.NRGBA, tip vg.Point, length vg.Length) {
	half := arrowLen * 0.5
	p.shape(c, tip, vg.Point{X: tip.X - length, Y: tip.Y + half}, vg.Point{X: tip.X - length, Y: tip.Y - half})
}

// arrowUp fills an arrow head with its tip at the point, upwards for a positive
// length, downwards for a negative one.
func (p pen) arrowUp(c color.NRGBA, tip vg.Point, length vg.Length) {
	half := arrowLen * 0.5
	p.shape(c, tip, vg.Point{X: tip.X - half, Y: tip.Y - length}, vg.Point{X: tip.X + half, Y: tip.Y - length})
}

// Where the given x lies on a line of text.
const (
	atStart  = 0.0
	atMiddle = 0.5
	atEnd    = 1.0
)

// write sets one line of text with the part of its width given by anchor to the
// left of x.
func (p pen) write(f font.Face, c color.NRGBA, x, baseline vg.Length, anchor float64, s string) {
	if s != "" {
		p.canvas.write(lettering{face: f, colour: c, at: vg.Point{X: x, Y: baseline}, anchor: anchor, s: s})
	}
}

// writeUp sets one line of text upwards, centred on the point.
func (p pen) writeUp(f font.Face, c color.NRGBA, at vg.Point, s string) {
	if s != "" {
		p.canvas.write(lettering{face: f, colour: c, at: at, anchor: atMiddle, up: true, s: s})
	}
}

// writeBlock sets a block downwards from top and returns where it ends.
func (p pen) writeBlock(b block, c color.NRGBA, x, top vg.Length, anchor float64) vg.Length {
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
