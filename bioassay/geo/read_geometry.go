package geo

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// DeepestCollection is how deeply geometry collections may be nested. RFC
// 7946, section 3.1.8, advises against nesting them at all.
const DeepestCollection = 8

// types maps the names of the types to the depth of their coordinates.
var types = map[string]struct {
	kind Kind
	many bool
}{
	"Point":              {Points, false},
	"MultiPoint":         {Points, true},
	"LineString":         {Lines, false},
	"MultiLineString":    {Lines, true},
	"Polygon":            {Polygons, false},
	"MultiPolygon":       {Polygons, true},
	"GeometryCollection": {Collection, true},
}

func (r *reader) geometry(at int) Geometry {
	members, ok := r.object(at, "type", "coordinates", "geometries")
	if !ok {
		return Geometry{}
	}
	name, ok := r.typeOf(at, members)
	if !ok {
		return Geometry{}
	}
	t, known := types[name]
	if !known {
		r.enter("type")
		r.fail(members["type"], "this is no type of GeoJSON that belongs here", "use "+typeLike(name))
		r.leave()
		return Geometry{}
	}
	if t.kind == Collection {
		return r.parts(at, members)
	}
	list, given := members["coordinates"]
	if !given {
		r.fail(at, `no member "coordinates"`, "a "+name+" lists them there")
		return Geometry{}
	}
	r.enter("coordinates")
	defer r.leave()
	return r.coordinates(list, t.kind, t.many)
}

// typeLike returns the type that was probably meant.
func typeLike(name string) string {
	for known := range types {
		if strings.EqualFold(known, name) {
			return known
		}
	}
	return "Polygon, MultiPolygon, LineString, MultiLineString, Point, MultiPoint or GeometryCollection"
}

func (r *reader) parts(at int, members map[string]int) Geometry {
	g := Geometry{Kind: Collection}
	list, given := members["geometries"]
	if !given || r.text[list] != '[' {
		r.fail(at, `no list "geometries"`, "a GeometryCollection lists them there")
		return g
	}
	if r.nesting == DeepestCollection {
		r.fail(at, fmt.Sprintf("geometry collections are nested more than %d deep", DeepestCollection), "put the geometries into one collection")
		return g
	}
	r.nesting++
	r.enter("geometries")
	r.list(list, "geometries", func(value int) { g.Parts = append(g.Parts, r.geometry(value)) })
	r.leave()
	r.nesting--
	return g
}

// list reads the elements of a list one by one, and says what is wrong with a
// value that is none.
func (r *reader) list(at int, of string, read func(int)) {
	if r.text[at] != '[' {
		r.fail(at, r.text.kind(at)+" where a list of "+of+" belongs", "count the brackets: the type of the geometry says how deep its coordinates lie")
		return
	}
	for i, value := range r.text.elements(at) {
		if r.full() {
			return
		}
		r.item(i)
		read(value)
		r.leave()
	}
}

func (r *reader) coordinates(at int, kind Kind, many bool) Geometry {
	g := Geometry{Kind: kind}
	var one func(int)
	switch kind {
	case Points:
		one = func(at int) { g.Points = append(g.Points, r.position(at)) }
	case Lines:
		one = func(at int) { g.Lines = append(g.Lines, r.line(at)) }
	case Polygons:
		one = func(at int) { g.Polygons = append(g.Polygons, r.polygon(at)) }
	}
	if many {
		r.list(at, [...]string{Points: "positions", Lines: "lines", Polygons: "polygons"}[kind], one)
	} else {
		one(at)
	}
	return g
}

func (r *reader) positions(at int) (points []Point) {
	r.list(at, "positions", func(at int) { points = append(points, r.position(at)) })
	return points
}

func (r *reader) line(at int) []Point {
	before := len(r.errs)
	points := r.positions(at)
	if len(points) < 2 && len(r.errs) == before {
		r.fail(at, fmt.Sprintf("a line of %d positions", len(points)), "a line needs two, a single place is a Point")
	}
	return points
}

func (r *reader) polygon(at int) (p Polygon) {
	r.list(at, "rings", func(at int) { p = append(p, r.ring(at)) })
	return p
}

// ring reads a ring and closes it (RFC 7946, section 3.1.6).
func (r *reader) ring(at int) Ring {
	before := len(r.errs)
	ring := Ring(r.positions(at))
	if len(r.errs) > before {
		return ring
	}
	if n := len(ring); n >= 3 && ring[0] != ring[n-1] {
		r.doubt(at, UnclosedRing, "the ring does not end where it begins, and was closed", "repeat the first position at the end")
		ring = append(ring, ring[0])
	}
	if len(ring) < 4 {
		r.fail(at, fmt.Sprintf("a ring of %d positions", len(ring)), "a ring needs at least four, the last of which repeats the first")
	}
	return ring
}

// position reads longitude and latitude, and passes over what follows them.
func (r *reader) position(at int) Point {
	if r.text[at] != '[' {
		r.fail(at, r.text.kind(at)+" where a position belongs", "write a position as [longitude, latitude]")
		return Point{}
	}
	var xy [2]float64
	n := 0
	for i := r.text.space(at + 1); r.text[i] != ']' && n < 2; i = r.text.next(i) {
		v, err := strconv.ParseFloat(string(r.text[i:r.text.end(i)]), 64)
		if err != nil {
			r.item(n)
			r.fail(i, "this is no number, or too large a one, where a coordinate belongs", "write degrees as in 5.25")
			r.leave()
			return Point{}
		}
		xy[n] = v
		n++
	}
	if n < 2 {
		r.fail(at, "a position without latitude", "write a position as [longitude, latitude]")
		return Point{}
	}
	return r.placed(at, Point{xy[0], xy[1]})
}

// rounding is by how much a coordinate may exceed its bound and is put on it,
// in degrees: a tenth of a millimetre.
const rounding = 1e-9

// placed judges whether coordinates are a place, and what else they may be.
func (r *reader) placed(at int, q Point) Point {
	lon, lat := math.Abs(q.Lon), math.Abs(q.Lat)
	switch {
	case lon <= 180 && lat <= 90:
		return q
	case lon <= 180+rounding && lat <= 90+rounding:
		return Point{max(-180, min(180, q.Lon)), max(-90, min(90, q.Lat))}
	case lon > 360 || lat > 360:
		r.fail(at, "these are no degrees but lengths on a plane, probably metres", "convert the file to longitude and latitude on WGS 84")
	case lat > 90 && lon <= 90 && lat <= 180:
		r.fail(at, "the latitude is beyond 90 degrees; longitude and latitude are probably exchanged", "write a position as [longitude, latitude]")
	case lat > 90:
		r.fail(at, "the latitude is beyond 90 degrees", "write a latitude from -90 to 90, as the second number")
	default:
		r.fail(at, "the longitude is beyond 180 degrees", fmt.Sprintf("subtract a whole turn: %s becomes %s", number(q.Lon), number(q.Lon-math.Copysign(360, q.Lon))))
	}
	return Point{}
}

// number writes a coordinate with six decimals at most, 0.1 m on the Earth.
func number(v float64) string {
	s := strconv.FormatFloat(v, 'f', 6, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}
