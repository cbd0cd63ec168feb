package plots

import (
	"image/color"
	"slices"
	"strconv"

	"gonum.org/v1/plot/vg"
)

// Sizes of what is drawn on a map.
const (
	classSize  vg.Length = 8.5 // the number of the class in its area
	classSmall vg.Length = 6
	labelSize  vg.Length = 6
	placeSize  vg.Length = 5.5 // names of exact places
	placeDot   vg.Length = 2.4
)

// draw draws the map in its frame, with the strip below it.
func (m Map) draw(p pen, f mapFrame) {
	p.box(sea, f.left, f.bottom, f.right, f.top)
	for _, polygon := range m.Land {
		m.drawLand(p, f, polygon)
	}
	for _, line := range m.Lines {
		for _, piece := range clipLine(f.path(line), f.area) {
			p.line(coast, axisLine, []vg.Length{4, 2, 1, 2}, piece...)
		}
	}
	for _, a := range m.Areas {
		m.drawArea(p, f, a)
	}
	m.drawPoints(p, f)
	p.outline(text, axisLine, corners(f.area)...)
	m.drawStrip(p, f)
}

func corners(a area) []vg.Point {
	return []vg.Point{{X: a.left, Y: a.bottom}, {X: a.right, Y: a.bottom}, {X: a.right, Y: a.top}, {X: a.left, Y: a.top}}
}

// drawLand fills a polygon with its holes open, and draws its shore. The outer
// ring turns one way and the holes the other, by which every format leaves the
// holes open.
func (m Map) drawLand(p pen, f mapFrame, polygon [][]XY) {
	var shape vg.Path
	var shore [][]vg.Point
	for i, ring := range polygon {
		pts := f.path(ring)
		shore = append(shore, clipLine(append(pts, pts[0]), f.area)...)
		if turnsLeft(pts) != (i == 0) {
			slices.Reverse(pts)
		}
		if inside := clipRing(pts, f.area); len(inside) > 2 {
			shape = append(shape, path(inside, true)...)
		}
	}
	if len(shape) > 0 {
		p.canvas.fill(shape, land)
	}
	for _, piece := range shore {
		p.line(coast, axisLine, nil, piece...)
	}
}

// turnsLeft reports whether a ring runs counterclockwise, by the sign of its area.
func turnsLeft(ring []vg.Point) bool {
	var twice vg.Length
	for i, to := range ring {
		from := ring[(i+len(ring)-1)%len(ring)]
		twice += from.X*to.Y - to.X*from.Y
	}
	return twice > 0
}

// areaInks are the colours of an area: its fill, the lines on it and the plate
// under its number.
type areaInks struct {
	fill, lines color.NRGBA
	apart, wide vg.Length // of the lines; none where apart is 0
}

// inks returns how an area of a class is drawn: whole where the class is clear,
// with fine lines where it is likely, faint under thick lines where it is unsure.
func inks(c color.NRGBA, certainty MapCertainty) areaInks {
	dark := mix(c, black, 0.45)
	switch certainty {
	case MapClear:
		return areaInks{fill: c}
	case MapLikely:
		if brightness(c) > middling {
			return areaInks{c, dark, 4.2, 0.45}
		}
		return areaInks{c, white, 4.2, 0.7}
	}
	if brightness(c) > middling {
		return areaInks{mix(c, white, 0.7), dark, 2.4, 0.6}
	}
	return areaInks{mix(c, white, 0.8), c, 2.4, 0.9}
}

func (m Map) drawArea(p pen, f mapFrame, a MapArea) {
	shape := clipRing(f.path(a.Outline), f.area)
	if len(shape) < 3 {
		return
	}
	if a.Status == MapFew {
		drawFew(p, shape)
		return
	}
	k := inks(classColour(a.Class, len(m.Classes)), a.Certainty)
	k.draw(p, shape)
	m.drawAreaWords(p, boxAround(shape), a, k)
}

// draw draws an area without its words.
func (k areaInks) draw(p pen, shape []vg.Point) {
	p.shape(k.fill, shape...)
	if k.apart > 0 {
		p.canvas.stroke(hatching(shape, k.apart), stroke{colour: k.lines, width: k.wide})
	}
	p.outline(ink, hairline, shape...)
}

// drawFew draws an area with too few results: white paper with dots.
func drawFew(p pen, shape []vg.Point) {
	p.shape(white, shape...)
	if dots := dotting(boxAround(shape), 4, 0.8); len(dots) > 0 {
		p.canvas.fill(dots, grey)
	}
	p.canvas.stroke(path(shape, true), stroke{grey, hairline * 1.25, []vg.Length{2, 1.5}})
}

func boxAround(pts []vg.Point) area {
	a := area{pts[0].X, pts[0].X, pts[0].Y, pts[0].Y}
	for _, p := range pts {
		a = area{min(a.left, p.X), max(a.right, p.X), min(a.bottom, p.Y), max(a.top, p.Y)}
	}
	return a
}

// areaWords are the number of the class and the label of an area as set; none
// where there is no room.
func areaWords(box area, a MapArea) (class, label block) {
	wide, high := box.right-box.left-2, box.top-box.bottom-2
	set := func(s string, size vg.Length, bold bool) (b block, ok bool) {
		b = block{face: face(size, bold)}
		if s != "" && room(b.face, s) <= wide {
			b.lines = []string{s}
		}
		return b, len(b.lines) > 0
	}
	number := strconv.Itoa(a.Class + 1)
	class, ok := set(number, classSize, true)
	if ok && high >= classSize+labelSize*1.1 {
		label, _ = set(clean(a.Label), labelSize, false)
		return class, label
	}
	if !ok || high < classSize {
		class, ok = set(number, classSmall, true)
	}
	if !ok || high < classSmall*0.8 {
		class.lines = nil
	}
	return class, label
}

// drawAreaWords sets the number of the class and the label, on a plate that keeps
// the lines of the area off them.
func (m Map) drawAreaWords(p pen, box area, a MapArea, k areaInks) {
	class, label := areaWords(box, a)
	if len(class.lines) == 0 {
		return
	}
	const capital = 0.72 // of the size
	x, y := (box.left+box.right)/2, (box.bottom+box.top)/2
	high := class.face.Font.Size * capital
	wide := width(class.face, class.lines[0])
	if len(label.lines) > 0 {
		high += labelSize * 1.15
		wide = max(wide, width(label.face, label.lines[0]))
	}
	if k.apart > 0 {
		p.box(k.fill, x-wide/2-1.5, y-high/2-1.5, x+wide/2+1.5, y+high/2+1.5)
	}
	colour := on(k.fill)
	p.write(class.face, colour, x, y+high/2-class.face.Font.Size*capital, atMiddle, class.lines[0])
	if len(label.lines) > 0 {
		p.write(label.face, colour, x, y-high/2, atMiddle, label.lines[0])
	}
}

// labelled reports whether every area that is shown has room for its number.
func (m Map) labelled(f mapFrame) bool {
	for _, a := range m.Areas {
		if shape := clipRing(f.path(a.Outline), f.area); a.Status == MapShown && len(shape) > 2 {
			if class, _ := areaWords(boxAround(shape), a); len(class.lines) == 0 {
				return false
			}
		}
	}
	return true
}

// drawPoints draws the exact places, and their names where these stand clear of
// each other and of the frame.
func (m Map) drawPoints(p pen, f mapFrame) {
	var taken []area
	clear := func(a area) bool {
		for _, b := range taken {
			if a.left < b.right && b.left < a.right && a.bottom < b.top && b.bottom < a.top {
				return false
			}
		}
		return a.left > f.left && a.right < f.right && a.bottom > f.bottom && a.top < f.top
	}
	var inside []MapPoint
	for _, one := range m.Points {
		at := f.at(one.At)
		if at.X < f.left || at.X > f.right || at.Y < f.bottom || at.Y > f.top {
			continue
		}
		inside = append(inside, one)
		taken = append(taken, area{at.X - placeDot, at.X + placeDot, at.Y - placeDot, at.Y + placeDot})
		p.disc(white, at, placeDot+0.6)
		p.disc(ink, at, placeDot)
		if one.Class >= 0 {
			p.disc(classColour(one.Class, len(m.Classes)), at, placeDot*0.62)
		}
	}
	small := face(placeSize, false)
	for _, one := range inside {
		at, s := f.at(one.At), clean(one.Label)
		w := room(small, s)
		for _, left := range []vg.Length{at.X + placeDot + 1.5, at.X - placeDot - 1.5 - w} {
			box := area{left, left + w, at.Y - placeSize*0.5, at.Y + placeSize*0.5}
			if s != "" && clear(box) {
				taken = append(taken, box)
				p.box(color.NRGBA{R: 0xFF, G: 0xFF, B: 0xFF, A: 0xD0}, box.left-0.5, box.bottom, box.left+width(small, s)+0.5, box.top)
				p.write(small, ink, left, at.Y-placeSize*0.35, atStart, s)
				break
			}
		}
	}
}
