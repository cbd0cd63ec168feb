package geo

import (
	"math"
	"slices"
)

// Drawing is what a map draws of a GeoJSON file, in the plane.
type Drawing struct {
	Land   [][][]XY // closed rings of each polygon, the exterior first; to be filled by the even-odd rule
	Shores [][]XY   // the outlines of the land, without what the frame or the antimeridian cut
	Lines  [][]XY   // from lines, such as boundaries
	Points []XY
}

// Draw brings a collection to the plane: projected, clipped to the frame, and
// simplified so that no line departs from its course by more than a tolerance
// in km, 0 for none. A ring smaller than the tolerance is left out. The width
// of a thin pen is a good tolerance.
//
// What lies more than a quarter of the globe from the centre is cut off
// before, so a coast of the whole world can be given for a map of a region.
func (p *Projection) Draw(c *FeatureCollection, frame Frame, tolerance float64) Drawing {
	d := &drawer{p: p, frame: frame, tolerance: tolerance}
	for i := range c.Features {
		c.Features[i].Geometry.each(d.geometry)
	}
	return d.Drawing
}

// drawer gathers a drawing.
type drawer struct {
	Drawing
	p         *Projection
	frame     Frame
	tolerance float64
}

func (d *drawer) geometry(g *Geometry) {
	for _, q := range g.Points {
		if xy := d.p.Forward(q); d.frame.holds(xy) {
			d.Points = append(d.Points, xy)
		}
	}
	for _, line := range g.Lines {
		d.Lines = d.pieces(d.Lines, d.p.Path(line))
	}
	for _, polygon := range g.Polygons {
		d.polygon(polygon)
	}
}

func (d *drawer) polygon(polygon Polygon) {
	var whole flat
	for i, ring := range polygon {
		path := d.p.Path(ring)
		for _, shore := range shores(ring) {
			onMap := path // a ring without a cut is in the plane already
			if len(shore) < len(ring) {
				onMap = d.p.Path(shore)
			}
			d.Shores = d.pieces(d.Shores, onMap)
		}
		counter := signedArea(open(unwrapped(ring))) > 0
		path = open(path)
		if counter != (i == 0) {
			slices.Reverse(path)
		}
		whole = append(whole, path)
	}
	for _, part := range d.p.nearHalf(whole) {
		if rings := d.clipped(part); len(rings) > 0 {
			d.Land = append(d.Land, rings)
		}
	}
}

// clipped returns the rings of a polygon inside the frame.
func (d *drawer) clipped(part flat) (rings [][]XY) {
	for i, ring := range part {
		ring = simplifyRing(clipRing(ring, d.frame), d.tolerance)
		if ring == nil && i == 0 {
			return nil
		}
		if ring != nil {
			rings = append(rings, ring)
		}
	}
	return rings
}

// shores returns the parts of a ring that are no cut along the antimeridian.
func shores(ring Ring) (parts [][]Point) {
	var part []Point
	flush := func() {
		if len(part) > 1 {
			parts = append(parts, part)
		}
		part = nil
	}
	for i, q := range ring {
		if i > 0 && seam(ring[i-1], q) {
			flush()
		}
		part = append(part, q)
	}
	flush()
	return parts
}

// seam reports whether a side lies on the antimeridian or at a pole.
func seam(a, b Point) bool {
	return math.Abs(a.Lon) == 180 && math.Abs(b.Lon) == 180 || math.Abs(a.Lat) == 90 && a.Lat == b.Lat
}

// pieces appends what the frame holds of a line.
func (d *drawer) pieces(to [][]XY, line []XY) [][]XY {
	for _, piece := range clipLine(line, d.frame) {
		to = append(to, Simplify(piece, d.tolerance))
	}
	return to
}

// longestStep is the length in degrees beyond which a side is divided, since
// it is straight in longitude and latitude and bent in the plane. At 60
// degrees what remains is 0.03 km.
const longestStep = 0.25

// Path maps a line to the plane. Long sides get points between, so that the
// path keeps to the course that RFC 7946, section 3.1.1, gives them.
func (p *Projection) Path(line []Point) []XY {
	path := make([]XY, 0, len(line))
	for i, q := range line {
		if i > 0 {
			last := line[i-1]
			along := stride(last, q)
			steps := math.Ceil(max(math.Abs(along), math.Abs(q.Lat-last.Lat)) / longestStep)
			for k := 1.0; k < steps; k++ {
				path = append(path, p.Forward(Point{last.Lon + along*k/steps, last.Lat + (q.Lat-last.Lat)*k/steps}))
			}
		}
		path = append(path, p.Forward(q))
	}
	return path
}

// nearHalf returns what of a polygon lies less than a quarter of the globe
// from the centre. Beyond it, sides near the antipode would jump across the
// plane.
func (p *Projection) nearHalf(whole flat) []flat {
	radius := p.el.radius * math.Sqrt2
	if !slices.ContainsFunc(whole, func(ring []XY) bool {
		return slices.ContainsFunc(ring, func(q XY) bool { return math.Hypot(q[0], q[1]) >= radius })
	}) {
		return []flat{whole}
	}
	return whole.keep(knife{
		inside: func(q XY) float64 { return radius - math.Hypot(q[0], q[1]) },
		onto: func(q XY) XY {
			by := radius / math.Hypot(q[0], q[1])
			return XY{q[0] * by, q[1] * by}
		},
		along:  func(q XY) float64 { return math.Atan2(q[1], q[0]) },
		closed: true,
		bridge: func(from, to XY) []XY { return arc(from, to, radius) },
	})
}

// arc returns points counterclockwise along a circle about the centre, a
// degree apart, from a point to another without the two.
func arc(from, to XY, radius float64) (points []XY) {
	a, b := math.Atan2(from[1], from[0]), math.Atan2(to[1], to[0])
	if b < a {
		b += 2 * math.Pi
	}
	for angle := a + degree; angle < b; angle += degree {
		sin, cos := math.Sincos(angle)
		points = append(points, XY{radius * cos, radius * sin})
	}
	return points
}
