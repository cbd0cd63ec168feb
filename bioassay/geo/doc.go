// Package geo places things on the Earth: it reads and writes GeoJSON, maps a
// region to a plane without changing areas, and divides that plane into nested
// squares.
//
// Every place is longitude and latitude in degrees on the WGS 84 ellipsoid.
// Plane coordinates are kilometres, x east and y north of the centre of the
// projection.
//
// The sources are RFC 7946, The GeoJSON Format (August 2016), and Snyder 1987,
// Map Projections: A Working Manual, U.S. Geological Survey Professional Paper
// 1395; equations are numbered as there.
package geo

import "math"

// Point is a place, in degrees on WGS 84: longitude east positive, latitude
// north positive.
type Point struct{ Lon, Lat float64 }

// XY is a place in the plane, in km: x east and y north of the centre.
type XY = [2]float64

// Ring is a closed line: its last point is its first. It needs four points.
type Ring []Point

// Polygon is an exterior ring, followed by the holes in it.
type Polygon []Ring

// Kind is the kind of a geometry.
type Kind uint8

// The kinds. A feature without a place has NoGeometry.
const (
	NoGeometry Kind = iota
	Points
	Lines
	Polygons
	Collection
)

// Geometry is one or more points, lines or polygons, or a collection of
// geometries. A single point and several are of one kind; which GeoJSON type
// is written follows from their number.
type Geometry struct {
	Kind     Kind
	Points   []Point
	Lines    [][]Point
	Polygons []Polygon
	Parts    []Geometry // of a Collection
}

// PointsOf returns a geometry of points.
func PointsOf(points ...Point) Geometry { return Geometry{Kind: Points, Points: points} }

// LinesOf returns a geometry of lines.
func LinesOf(lines ...[]Point) Geometry { return Geometry{Kind: Lines, Lines: lines} }

// PolygonsOf returns a geometry of polygons.
func PolygonsOf(polygons ...Polygon) Geometry {
	return Geometry{Kind: Polygons, Polygons: polygons}
}

// Property is a named value: text, a number, a truth value, nil, or a list or
// object of those. A number that is not finite is written as null.
type Property struct {
	Name  string
	Value any
}

// Feature is a geometry with what is known of it.
type Feature struct {
	ID         string // blank for none
	Properties []Property
	Geometry   Geometry
}

// FeatureCollection is a list of features, with members of its own beside them
// (foreign members, RFC 7946, section 6.1).
type FeatureCollection struct {
	Members  []Property
	Features []Feature
}

// Value returns a property by name, nil when the feature has none of it.
func (f Feature) Value(name string) any { return valueOf(f.Properties, name) }

// Text returns a property that is text, and blank when it is not.
func (f Feature) Text(name string) string {
	s, _ := f.Value(name).(string)
	return s
}

// Number returns a property that is a number, and NaN when it is not.
func (f Feature) Number(name string) float64 { return numberOf(f.Properties, name) }

// Value returns a member of the collection by name, nil when it has none of it.
func (c *FeatureCollection) Value(name string) any { return valueOf(c.Members, name) }

// Number returns a member of the collection that is a number, and NaN when it
// is not.
func (c *FeatureCollection) Number(name string) float64 { return numberOf(c.Members, name) }

func valueOf(list []Property, name string) any {
	for _, p := range list {
		if p.Name == name {
			return p.Value
		}
	}
	return nil
}

func numberOf(list []Property, name string) float64 {
	switch v := valueOf(list, name).(type) {
	case float64:
		return v
	case int:
		return float64(v)
	}
	return math.NaN()
}

// each calls do for a geometry and everything in it that is no collection.
func (g *Geometry) each(do func(*Geometry)) {
	if g.Kind != Collection {
		do(g)
		return
	}
	for i := range g.Parts {
		g.Parts[i].each(do)
	}
}
