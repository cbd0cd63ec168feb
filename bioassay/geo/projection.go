package geo

import (
	"fmt"
	"math"
	"strconv"
)

// Projection is the Lambert azimuthal equal-area projection of the WGS 84
// ellipsoid (Snyder 1987, pp. 182-190).
//
// It is the one projection of the project, whatever the region. Shares of a
// map's surface are read as shares of the country, so areas must be right;
// this projection keeps them everywhere, has no special case at the poles or
// the antimeridian, and its distortion of shape depends on the distance from
// the centre alone: see [Projection.Stretch].
//
// Forward and inverse agree to 1e-9 degrees within 10,000 km of the centre. A
// whole hemisphere, which such a map can just show, ends 9,010 km from the
// middle of the plane.
type Projection struct {
	centre     Point
	el         ellipsoid
	sin1, cos1 float64 // of the authalic latitude of the centre
	d          float64 // (24-20)
}

// NewProjection returns the projection about a centre. It panics when the
// centre is no place on Earth.
func NewProjection(centre Point) *Projection { return newProjection(centre, wgs84) }

func newProjection(centre Point, el ellipsoid) *Projection {
	if !(math.Abs(centre.Lat) <= 90 && math.Abs(centre.Lon) <= 180) {
		panic(fmt.Sprintf("geo: a projection about longitude %v, latitude %v", centre.Lon, centre.Lat))
	}
	p := &Projection{centre: centre, el: el, d: 1} // at a pole D tends to 1
	phi := centre.Lat * degree
	p.sin1, p.cos1 = el.authalic(phi)
	if math.Abs(centre.Lat) < 90 {
		sin, cos := math.Sincos(phi)
		p.d = el.a * cos / math.Sqrt(1-el.e2*sin*sin) / (el.radius * p.cos1)
	}
	return p
}

// Centre returns the centre.
func (p *Projection) Centre() Point { return p.centre }

// Forward maps a place to the plane, (24-17) to (24-20). Places more than a
// quarter of the globe away are mapped too, right in area and hopeless in
// shape. The antipode of the centre is a whole circle in the plane and is put
// somewhere on it.
func (p *Projection) Forward(q Point) XY {
	sin, cos := p.el.authalic(q.Lat * degree)
	sl, cl := math.Sincos((q.Lon - p.centre.Lon) * degree)
	up := p.sin1*sin + p.cos1*cos*cl
	b := p.el.radius * math.Sqrt(2/max(1+up, 1e-15))
	return XY{b * p.d * cos * sl, b / p.d * (p.cos1*sin - p.sin1*cos*cl)}
}

// Inverse maps a place of the plane to the Earth, (24-26) to (24-30) written
// as a rotation of the authalic sphere. The longitude lies above -180 and up
// to 180. What lies outside the plane's disc of the whole globe is mapped as the
// nearest place in it.
func (p *Projection) Inverse(xy XY) Point {
	x, y := xy[0]/p.d, xy[1]*p.d
	rho := math.Hypot(x, y)
	if rho == 0 {
		return p.centre
	}
	sin, up := math.Sincos(2 * math.Asin(min(1, rho/(2*p.el.radius)))) // (24-29)
	east, north := sin*x/rho, sin*y/rho
	q := p.el.point(vector{up*p.cos1 - north*p.sin1, east, up*p.sin1 + north*p.cos1})
	if q.Lon = turn(q.Lon + p.centre.Lon); q.Lon == -180 {
		q.Lon = 180
	}
	return q
}

// Describe names the projection in words, such as "Lambert azimuthal
// equal-area, centre 40.6 N 45.1 W, WGS 84".
func (p *Projection) Describe() string {
	return "Lambert azimuthal equal-area, centre " + place(p.centre) + ", WGS 84"
}

func place(q Point) string {
	return coordinate(q.Lat, "N", "S") + " " + coordinate(q.Lon, "E", "W")
}

func coordinate(v float64, plus, minus string) string {
	side := plus
	if v < 0 {
		side = minus
	}
	return strconv.FormatFloat(math.Round(math.Abs(v)*1e4)/1e4, 'f', -1, 64) + " " + side
}

// Stretch returns by how much lengths on the map differ from those on the
// Earth at a distance from the centre of the plane in km, at most, as a share:
// 0.01 for 1 %. At the angle c from the centre, lengths towards it are drawn
// cos(c/2) as long as they are, and lengths across it 1/cos(c/2) (Snyder 1987,
// (24-2)), so this is 1/cos(c/2) - 1: 0.08 % at 500 km, 0.3 % at 1,000 km,
// 1.2 % at 2,000 km. A scale bar is exact at the centre and right within this
// share elsewhere. The ellipsoid adds less than a tenth of it.
func (p *Projection) Stretch(km float64) float64 {
	half := min(1, km/(2*p.el.radius)) // sin(c/2)
	return 1/math.Sqrt(1-half*half) - 1
}

// Convergence returns by how many degrees true north at a place is turned from
// the top of the map, clockwise positive. It is NaN at a pole, where every
// direction is north or south.
func (p *Projection) Convergence(q Point) float64 {
	if math.Abs(q.Lat) == 90 {
		return math.NaN()
	}
	const step = 1e-4 // degrees; about 10 m, far from rounding and from curvature
	north, south := q, q
	north.Lat = min(90, q.Lat+step)
	south.Lat = max(-90, q.Lat-step)
	a, b := p.Forward(south), p.Forward(north)
	return math.Atan2(b[0]-a[0], b[1]-a[1]) / degree
}
