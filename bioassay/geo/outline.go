package geo

import "math"

// outlineTolerance is how far an outline may depart from its square, as a
// share of the side. Two thirds of it along four sides make at most 0.006 % of
// the area.
const outlineTolerance = 2e-5

// Outline returns a square as a ring of places, counterclockwise. Its sides
// are straight in the plane and not in longitude and latitude, so it has as
// many points as its area on the ellipsoid needs to be right within 0.01 %.
// Neighbours of one level share the points of their common side.
//
// The ring of a square that a pole lies in goes once around it, which Area and
// Write know how to read. It panics for a square that reaches out of the disc of the whole globe.
func (g Grid) Outline(c Cell) Ring {
	f := g.Square(c)
	if f.Reach() > 2*g.Projection.el.radius/1.01 {
		panic("geo: square " + c.String() + " lies beyond the globe")
	}
	var ring Ring
	path := g.Path(c)
	for i := range 4 {
		ring = append(ring, g.side(path[i], path[i+1])...)
	}
	return append(ring, ring[0])
}

// side returns the places along a side without its end. Sides are halved, so
// neighbours get the same places whichever way each goes.
func (g Grid) side(a, b XY) []Point {
	p := g.Projection
	from, to := p.Inverse(a), p.Inverse(b)
	tolerance := outlineTolerance * math.Hypot(b[0]-a[0], b[1]-a[1])
	return p.bend([]Point{from}, a, b, from, to, tolerance, 12)
}

// bend appends the places between two ends that keep a line, straight in
// longitude and latitude from place to place, within the tolerance in km of
// the line that is straight in the plane.
func (p *Projection) bend(points []Point, a, b XY, from, to Point, tolerance float64, depth int) []Point {
	m := XY{(a[0] + b[0]) / 2, (a[1] + b[1]) / 2}
	middle := p.Inverse(m)
	chord := Point{from.Lon + turn(to.Lon-from.Lon)/2, (from.Lat + to.Lat) / 2}
	off := p.Forward(chord)
	if depth == 0 || math.Hypot(off[0]-m[0], off[1]-m[1]) <= tolerance {
		return points
	}
	points = p.bend(points, a, m, from, middle, tolerance, depth-1)
	points = append(points, middle)
	return p.bend(points, m, b, middle, to, tolerance, depth-1)
}
