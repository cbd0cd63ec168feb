package plots

import (
	"image/color"

	"gonum.org/v1/plot/vg"
)

// look is how one population is told from the others: by colour, by dash and by
// the shape of its points, so that two are still apart where one of the three is
// lost, as in grey print.
type look struct {
	colour color.NRGBA
	dash   []vg.Length
	shape  shape
}

// shape is the outline of a point.
type shape uint8

const (
	round shape = iota
	square
	triangle
	tilted
	inverted
	cross
)

// seriesColours are those of the palette that stand out on white.
var seriesColours = []color.NRGBA{blue, vermilion, ink, green, purple}

var seriesDashes = [][]vg.Length{nil, {6, 2}, {2.5, 1.5}, {6, 1.5, 1.2, 1.5}, {1.1, 1.5}}

// maxPopulations is the number of different looks that are still told apart.
const maxPopulations = 24

// dashOf is the dash of each population, found by search: those that share a
// colour, every fifth, or a shape, every sixth, have different ones.
var dashOf = [maxPopulations]int{0, 1, 2, 3, 4, 1, 2, 3, 4, 1, 2, 4, 4, 0, 0, 4, 3, 0, 1, 2, 3, 0, 1, 2}

// lookOf returns the look of the i-th population. Any two differ in at least two
// of colour, dash and shape.
func lookOf(i int) look {
	return look{seriesColours[i%len(seriesColours)], seriesDashes[dashOf[i]], shape(i % 6)}
}

// mark draws a point: filled, with a white rim that keeps neighbours apart. The
// area is that of a circle of radius r, but for the cross.
func (p pen) mark(l look, at vg.Point, r vg.Length) {
	if l.shape == round {
		p.disc(white, at, r+0.5)
		p.disc(l.colour, at, r)
		return
	}
	p.shape(white, l.corners(at, r, 0.6)...)
	p.shape(l.colour, l.corners(at, r, 0)...)
}

// corners returns the corners of the shape, moved outwards by grow.
func (l look) corners(at vg.Point, r, grow vg.Length) []vg.Point {
	on := func(dx, dy vg.Length) vg.Point { return vg.Point{X: at.X + dx, Y: at.Y + dy} }
	switch l.shape {
	case square:
		a := r*0.886 + grow // √π/2
		return []vg.Point{on(-a, -a), on(a, -a), on(a, a), on(-a, a)}
	case triangle, inverted:
		side := r*2.694 + grow*3.46 // 2 √(π/√3); the rim is 2√3 wider than at the corners' foot
		h := side * 0.866
		up := vg.Length(1)
		if l.shape == inverted {
			up = -1
		}
		return []vg.Point{on(-side/2, -up*h/3), on(side/2, -up*h/3), on(0, up*h*2/3)}
	case tilted:
		return diamond(at, r*1.2533+grow*1.4) // √(π/2)
	default: // cross
		a, b := r*1.25+grow, r*0.42+grow
		return []vg.Point{
			on(-b, -a), on(b, -a), on(b, -b), on(a, -b), on(a, b), on(b, b),
			on(b, a), on(-b, a), on(-b, b), on(-a, b), on(-a, -b), on(-b, -b),
		}
	}
}

// hollow draws a point with a white inside, as for a control.
func (p pen) hollow(l look, at vg.Point, r vg.Length) {
	p.mark(l, at, r)
	if l.shape == round {
		p.disc(white, at, r*0.62)
		return
	}
	if l.shape != cross {
		p.shape(white, l.corners(at, r*0.5, 0)...)
	}
}

// tint returns the colour as a translucent fill.
func tint(c color.NRGBA) color.NRGBA {
	c.A = 0x24
	return c
}
