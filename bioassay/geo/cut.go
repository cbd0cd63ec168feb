package geo

import (
	"math"
	"slices"
)

// unwrapped returns a line as points of a plane, longitude to the right and
// latitude up, in which it does not jump: each step goes as stride says, so
// longitudes may leave -180 to 180.
func unwrapped(line []Point) []XY {
	points := make([]XY, len(line))
	for i, q := range line {
		points[i] = XY{q.Lon, q.Lat}
		if i > 0 {
			points[i][0] = points[i-1][0] + stride(line[i-1], q)
		}
	}
	return points
}

// stride is the step from the longitude of one point to that of the next, the
// shorter way around the globe. A step along a parallel from -180 to 180 or
// back is left as it is: so the rings of a file that was cut at the
// antimeridian close, and a belt around the globe is written.
func stride(from, to Point) float64 {
	if d := to.Lon - from.Lon; math.Abs(d) != 360 || from.Lat != to.Lat {
		return turn(d)
	}
	return to.Lon - from.Lon
}

// poled returns a ring in which a corner at a pole, where every longitude is
// right, has those of its neighbours: first the one it is reached along, then
// the one it is left along. So its sides are meridians.
func poled(r Ring) Ring {
	if !slices.ContainsFunc(r, func(q Point) bool { return math.Abs(q.Lat) == 90 }) {
		return r
	}
	corners := r[:len(r)-1]
	var out Ring
	for i, q := range corners {
		before, after := corners[(i+len(corners)-1)%len(corners)], corners[(i+1)%len(corners)]
		if math.Abs(q.Lat) < 90 {
			out = append(out, q)
			continue
		}
		if before.Lat != q.Lat {
			out = append(out, Point{before.Lon, q.Lat})
		}
		if after.Lat != q.Lat {
			out = append(out, Point{after.Lon, q.Lat})
		}
	}
	if len(out) < 3 { // nothing but a pole
		return r
	}
	return append(out, out[0])
}

// cutPolygon cuts a polygon at the antimeridian (RFC 7946, section 3.1.9) and
// turns its rings by the right-hand rule (section 3.1.6): exterior
// counterclockwise, holes clockwise. One that holds a pole gets a seam along
// the antimeridian to the pole and back.
func cutPolygon(p Polygon) []flat {
	if len(p) == 0 {
		return nil
	}
	whole := flat{}
	for i, ring := range p {
		points := unwrapped(poled(ring))
		if around := points[len(points)-1][0] - points[0][0]; math.Abs(around) > 180 {
			points = seamed(points)
		}
		if i > 0 {
			shift(points, whole[0])
		}
		whole = append(whole, turned(open(points), i == 0))
	}
	var done []flat
	for _, part := range splitAll(whole) {
		part.recentre()
		done = append(done, part)
	}
	return done
}

// flat is a polygon in a plane, its rings without a repeated last point,
// turned by the right-hand rule.
type flat [][]XY

// open leaves out the last point of a closed ring.
func open(ring []XY) []XY { return ring[:len(ring)-1] }

// signedArea is positive for a ring that runs counterclockwise.
func signedArea(ring []XY) float64 {
	sum := 0.0
	for i, b := range ring {
		a := ring[(i+len(ring)-1)%len(ring)]
		sum += (a[0]-ring[0][0])*(b[1]-ring[0][1]) - (b[0]-ring[0][0])*(a[1]-ring[0][1])
	}
	return sum / 2
}

// turned returns a ring counterclockwise or clockwise.
func turned(ring []XY, counterclockwise bool) []XY {
	if signedArea(ring) > 0 != counterclockwise {
		slices.Reverse(ring)
	}
	return ring
}

// seamed closes a ring that goes around the globe by way of the pole it is
// nearer to. It begins at the antimeridian, so that the seam lies there.
func seamed(points []XY) []XY {
	mean := 0.0
	for _, q := range points {
		mean += q[1]
	}
	pole := math.Copysign(90, mean)
	ring := open(points)
	around := math.Copysign(360, points[len(points)-1][0]-points[0][0])
	// The side that crosses the antimeridian first becomes the last one.
	low := math.Min(points[0][0], points[len(points)-1][0])
	edge := meridianAbove(low)
	for i := range ring {
		a, b := points[i], points[i+1]
		if (a[0] < edge) == (b[0] < edge) {
			continue
		}
		lat := a[1] + (b[1]-a[1])*(edge-a[0])/(b[0]-a[0])
		path := []XY{{edge, lat}}
		path = append(path, points[i+1:]...)
		for _, q := range ring[1 : i+1] {
			path = append(path, XY{q[0] + around, q[1]})
		}
		end := edge + around
		return append(path, XY{end, lat}, XY{end, pole}, XY{edge, pole}, XY{edge, lat})
	}
	return points
}

// shift moves a hole by whole turns to where its exterior lies.
func shift(hole, exterior []XY) {
	low, high := span(exterior)
	left, right := span(hole)
	by := 360 * math.Round(((low+high)-(left+right))/720)
	for i := range hole {
		hole[i][0] += by
	}
}

// span returns the lowest and highest longitude.
func span(ring []XY) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, q := range ring {
		low, high = min(low, q[0]), max(high, q[0])
	}
	return low, high
}

// splitAll cuts a polygon at every antimeridian it crosses.
func splitAll(p flat) []flat {
	low, high := span(p[0])
	edge := meridianAbove(low)
	if edge >= high {
		return []flat{p}
	}
	parts := p.half(edge, 1)
	for _, rest := range p.half(edge, -1) {
		parts = append(parts, splitAll(rest)...)
	}
	return parts
}

// meridianAbove returns the first antimeridian above a longitude: 180, 540, or
// -180 and below.
func meridianAbove(lon float64) float64 { return 180 + 360*math.Floor((lon+180)/360) }

// recentre moves a polygon by whole turns to -180 to 180.
func (p flat) recentre() {
	low, high := span(p[0])
	by := 360 * math.Round((low+high)/720)
	for _, ring := range p {
		for i := range ring {
			ring[i][0] -= by
		}
	}
}

// half returns the part of a polygon west of a meridian, for sign 1, or east of
// it, for sign -1.
func (p flat) half(edge, sign float64) []flat {
	return p.keep(knife{
		inside: func(q XY) float64 { return sign * (edge - q[0]) },
		onto:   func(q XY) XY { return XY{edge, q[1]} },
		along:  func(q XY) float64 { return sign * q[1] },
	})
}

// cutLine cuts a line at the antimeridian.
func cutLine(line []Point) (parts [][]XY) {
	var part []XY
	for i, q := range unwrapped(line) {
		if i > 0 {
			part, parts = crossed(part, parts, q)
		}
		part = append(part, q)
	}
	parts = append(parts, part)
	for _, part := range parts {
		flat{part}.recentre()
	}
	return parts
}

// crossed ends a part at the antimeridian, and begins the next one, where the
// way to the next point crosses it.
func crossed(part []XY, parts [][]XY, to XY) ([]XY, [][]XY) {
	from := part[len(part)-1]
	low, high := min(from[0], to[0]), max(from[0], to[0])
	edge := meridianAbove(low)
	if edge >= high {
		return part, parts
	}
	at := XY{edge, from[1] + (to[1]-from[1])*(edge-from[0])/(to[0]-from[0])}
	return []XY{at}, append(parts, append(part, at))
}
