package plots

import (
	"image"
	"image/color"
	"math"

	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"
	"gonum.org/v1/plot/vg"
)

// imageCanvas draws on a picture, text as filled outlines.
type imageCanvas struct {
	img      *image.RGBA
	scale, h float64 // pixels per point, height of the page in points
	raster   vector.Rasterizer
	glyphs   sfnt.Buffer
}

// dot is a place on the picture, in pixels from the top left.
type dot struct{ x, y float64 }

func (i *imageCanvas) dot(p vg.Point) dot {
	return dot{float64(p.X) * i.scale, (i.h - float64(p.Y)) * i.scale}
}

// polygon is a closed outline.
type polygon []dot

func (i *imageCanvas) fill(p vg.Path, k color.NRGBA) {
	i.paint(k, i.flatten(p)...)
}

// paint fills the polygons as one shape. The rasterizer adds up their windings,
// so those that overlap must turn the same way.
func (i *imageCanvas) paint(k color.NRGBA, shapes ...polygon) {
	lo, hi := dot{math.Inf(1), math.Inf(1)}, dot{math.Inf(-1), math.Inf(-1)}
	for _, s := range shapes {
		for _, d := range s {
			lo = dot{min(lo.x, d.x), min(lo.y, d.y)}
			hi = dot{max(hi.x, d.x), max(hi.y, d.y)}
		}
	}
	if !(lo.x <= hi.x) {
		return
	}
	box := image.Rect(int(math.Floor(lo.x)), int(math.Floor(lo.y)), int(math.Ceil(hi.x)), int(math.Ceil(hi.y))).Inset(-1).Intersect(i.img.Bounds())
	i.raster.Reset(box.Dx(), box.Dy())
	for _, s := range shapes {
		for j, d := range s {
			x, y := float32(d.x-float64(box.Min.X)), float32(d.y-float64(box.Min.Y))
			if j == 0 {
				i.raster.MoveTo(x, y)
			} else {
				i.raster.LineTo(x, y)
			}
		}
		i.raster.ClosePath()
	}
	i.raster.Draw(i.img, box, image.NewUniform(k), image.Point{})
}

// flatten turns a path into lines.
func (i *imageCanvas) flatten(p vg.Path) []polygon {
	var out []polygon
	for _, k := range p {
		last := len(out) - 1
		switch k.Type {
		case vg.MoveComp:
			out = append(out, polygon{i.dot(k.Pos)})
		case vg.LineComp:
			out[last] = append(out[last], i.dot(k.Pos))
		case vg.CurveComp:
			out[last] = bend(out[last], i.dot(k.Control[0]), i.dot(k.Control[1]), i.dot(k.Pos))
		case vg.CloseComp:
			out[last] = append(out[last], out[last][0])
		default:
			panic("plots: a path with an arc")
		}
	}
	return out
}

// bend appends a cubic Bézier curve that begins at the end of the line.
func bend(line polygon, b, c, d dot) polygon {
	const steps = 12 // a curve spans a letter's stroke or a quarter of a mark
	a := line[len(line)-1]
	for k := 1; k <= steps; k++ {
		t := float64(k) / steps
		u := 1 - t
		wa, wb, wc, wd := u*u*u, 3*u*u*t, 3*u*t*t, t*t*t
		line = append(line, dot{wa*a.x + wb*b.x + wc*c.x + wd*d.x, wa*a.y + wb*b.y + wc*c.y + wd*d.y})
	}
	return line
}

func (i *imageCanvas) stroke(p vg.Path, s stroke) {
	half := float64(s.width) * i.scale / 2
	var quads []polygon
	for _, line := range i.flatten(p) {
		for _, piece := range dashed(line, s.dash, i.scale) {
			quads = append(quads, outlineOf(piece, half)...)
		}
	}
	i.paint(s.colour, quads...)
}

// dashed cuts a line into its dashes; the pattern begins with one.
func dashed(line polygon, dash []vg.Length, scale float64) []polygon {
	if len(dash) == 0 {
		return []polygon{line}
	}
	var out []polygon
	index, left := 0, float64(dash[0])*scale
	piece := polygon{line[0]}
	for j := 1; j < len(line); j++ {
		from, to := line[j-1], line[j]
		for length := math.Hypot(to.x-from.x, to.y-from.y); length > left; length = math.Hypot(to.x-from.x, to.y-from.y) {
			part := left / length
			from = dot{from.x + part*(to.x-from.x), from.y + part*(to.y-from.y)}
			if index%2 == 0 {
				out = append(out, append(piece, from))
			}
			piece = polygon{from}
			index++
			left = float64(dash[index%len(dash)]) * scale
		}
		left -= math.Hypot(to.x-from.x, to.y-from.y)
		piece = append(piece, to)
	}
	if index%2 == 0 && len(piece) > 1 {
		out = append(out, piece)
	}
	return out
}

// outlineOf returns the shape of a line of some width: a rectangle for each
// segment, and where segments meet a disc.
func outlineOf(line polygon, half float64) []polygon {
	var out []polygon
	closed := line[0] == line[len(line)-1]
	for j := 1; j < len(line); j++ {
		a, b := line[j-1], line[j]
		length := math.Hypot(b.x-a.x, b.y-a.y)
		if length == 0 {
			continue
		}
		nx, ny := -(b.y-a.y)/length*half, (b.x-a.x)/length*half
		out = append(out, polygon{{a.x + nx, a.y + ny}, {a.x - nx, a.y - ny}, {b.x - nx, b.y - ny}, {b.x + nx, b.y + ny}})
		if j > 1 || closed {
			out = append(out, joint(a, half))
		}
	}
	return out
}

// joint is a disc that turns the same way as the rectangles it joins.
func joint(at dot, r float64) polygon {
	const corners = 12
	out := make(polygon, corners)
	for k := range out {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / corners)
		out[k] = dot{at.x + r*cos, at.y + r*sin}
	}
	return out
}

// em is the grid that outlines are taken at, the one they were drawn on.
const em = 2048

func (i *imageCanvas) write(l lettering) {
	s := visual(l.s)
	unit := float64(l.face.Font.Size) * i.scale / em
	origin := i.dot(l.at)
	shift := -l.anchor * float64(width(l.face, s)) * i.scale
	var last sfnt.GlyphIndex
	var shapes []polygon
	for _, r := range s {
		g := i.glyph(l, r)
		if kern, err := l.face.Face.Kern(&i.glyphs, last, g, fixed.I(em), font.HintingNone); last != 0 && err == nil {
			shift += float64(kern) / 64 * unit
		}
		place := func(p fixed.Point26_6) dot {
			x, y := shift+float64(p.X)/64*unit, float64(p.Y)/64*unit
			if l.up {
				return dot{origin.x + y, origin.y - x}
			}
			return dot{origin.x + x, origin.y + y}
		}
		segments, advance := i.outline(l, g)
		shapes = append(shapes, glyphShape(segments, place)...)
		shift += float64(advance) / 64 * unit
		last = g
	}
	i.paint(l.colour, shapes...)
}

// glyph returns the glyph of a rune; the font is part of the program, so an error
// in it is a mistake of the programmer.
func (i *imageCanvas) glyph(l lettering, r rune) sfnt.GlyphIndex {
	g, err := l.face.Face.GlyphIndex(&i.glyphs, r)
	if err != nil {
		panic(err)
	}
	return g
}

// outline returns the outline of a glyph, valid until the next call, and its
// advance width.
func (i *imageCanvas) outline(l lettering, g sfnt.GlyphIndex) (sfnt.Segments, fixed.Int26_6) {
	advance, err := l.face.Face.GlyphAdvance(&i.glyphs, g, fixed.I(em), font.HintingNone)
	if err != nil {
		panic(err)
	}
	segments, err := l.face.Face.LoadGlyph(&i.glyphs, g, fixed.I(em), nil)
	if err != nil {
		panic(err)
	}
	return segments, advance
}

// glyphShape turns the segments of a glyph into polygons.
func glyphShape(segments sfnt.Segments, place func(fixed.Point26_6) dot) []polygon {
	var out []polygon
	for _, s := range segments {
		last := len(out) - 1
		switch s.Op {
		case sfnt.SegmentOpMoveTo:
			out = append(out, polygon{place(s.Args[0])})
		case sfnt.SegmentOpLineTo:
			out[last] = append(out[last], place(s.Args[0]))
		case sfnt.SegmentOpQuadTo: // raised to a cubic
			a, b, c := out[last][len(out[last])-1], place(s.Args[0]), place(s.Args[1])
			third := func(p dot) dot { return dot{p.x + 2.0/3*(b.x-p.x), p.y + 2.0/3*(b.y-p.y)} }
			out[last] = bend(out[last], third(a), third(c), c)
		default:
			panic("plots: a cubic outline in a TrueType font")
		}
	}
	return out
}
