package geo

import (
	"bytes"
	"math"
)

// cut returns a geometry as it is written: cut at the antimeridian, rounded,
// and turned by the right-hand rule.
func (g Geometry) cut() Geometry {
	out := Geometry{Kind: g.Kind}
	for _, q := range g.Points {
		out.Points = append(out.Points, Point{rounded(q.Lon), rounded(q.Lat)})
	}
	for _, line := range g.Lines {
		for _, part := range cutLine(line) {
			if points := thinned(part); len(points) > 1 {
				out.Lines = append(out.Lines, points)
			}
		}
	}
	for _, p := range g.Polygons {
		for _, part := range cutPolygon(p) {
			if written := part.polygon(); written != nil {
				out.Polygons = append(out.Polygons, written)
			}
		}
	}
	for _, part := range g.Parts {
		out.Parts = append(out.Parts, part.cut())
	}
	return out
}

// rounded returns the nearest number of six decimals.
func rounded(v float64) float64 { return math.Round(v*1e6) / 1e6 }

// thinned rounds a line and leaves out points that repeat the one before.
func thinned(line []XY) (points []Point) {
	for _, q := range line {
		p := Point{rounded(q[0]), rounded(q[1])}
		if len(points) == 0 || points[len(points)-1] != p {
			points = append(points, p)
		}
	}
	return points
}

// polygon returns a polygon with closed rings, nil when rounding leaves its
// exterior no area.
func (p flat) polygon() (out Polygon) {
	for i, ring := range p {
		points := Ring(thinned(append(ring[:len(ring):len(ring)], ring[0])))
		if len(points) < 4 || signedArea(open(unwrappedAsIs(points))) > 0 != (i == 0) {
			if i == 0 {
				return nil
			}
			continue
		}
		out = append(out, points)
	}
	return out
}

// unwrappedAsIs returns a line that was cut already as points of a plane.
func unwrappedAsIs(line []Point) []XY {
	points := make([]XY, len(line))
	for i, q := range line {
		points[i] = XY{q.Lon, q.Lat}
	}
	return points
}

// write writes a geometry that was cut.
func (g Geometry) write(b *bytes.Buffer) {
	switch {
	case g.Kind == Points:
		list(b, "Point", len(g.Points), func(i int) { g.Points[i].write(b) })
	case g.Kind == Lines && len(g.Lines) > 0:
		list(b, "LineString", len(g.Lines), func(i int) { writeLine(b, g.Lines[i]) })
	case g.Kind == Polygons && len(g.Polygons) > 0:
		list(b, "Polygon", len(g.Polygons), func(i int) { g.Polygons[i].write(b) })
	case g.Kind == Collection:
		b.WriteString(`{"type":"GeometryCollection","geometries":[`)
		several(b, len(g.Parts), func(i int) { g.Parts[i].write(b) })
		b.WriteString(`]}`)
	default:
		b.WriteString("null")
	}
}

// list writes the type, Multi before it for any number but one, and the
// coordinates.
func list(b *bytes.Buffer, name string, n int, write func(int)) {
	if n == 1 {
		b.WriteString(`{"type":"` + name + `","coordinates":`)
		write(0)
		b.WriteByte('}')
		return
	}
	b.WriteString(`{"type":"Multi` + name + `","coordinates":[`)
	several(b, n, write)
	b.WriteString(`]}`)
}

func several(b *bytes.Buffer, n int, write func(int)) {
	for i := range n {
		if i > 0 {
			b.WriteByte(',')
		}
		write(i)
	}
}

func (q Point) write(b *bytes.Buffer) {
	b.WriteString("[" + number(q.Lon) + "," + number(q.Lat) + "]")
}

func writeLine(b *bytes.Buffer, line []Point) {
	b.WriteByte('[')
	several(b, len(line), func(i int) { line[i].write(b) })
	b.WriteByte(']')
}

func (p Polygon) write(b *bytes.Buffer) {
	b.WriteByte('[')
	several(b, len(p), func(i int) { writeLine(b, p[i]) })
	b.WriteByte(']')
}
