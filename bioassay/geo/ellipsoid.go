package geo

import "math"

// ellipsoid is the figure of the Earth, with what its authalic sphere needs:
// the sphere of the same surface, on which areas can be reckoned.
type ellipsoid struct {
	a      float64 // equatorial radius, km
	e2, e  float64 // squared eccentricity and its root
	qp     float64 // q at the pole, (3-12)
	radius float64 // Rq of the authalic sphere, km, (3-13)
}

// wgs84 is the ellipsoid of GeoJSON: a = 6378137 m, 1/f = 298.257223563 (NIMA
// TR8350.2, 3rd edition, table 3.1).
var wgs84 = func() ellipsoid {
	const flattening = 1 / 298.257223563
	return newEllipsoid(6378.137, flattening*(2-flattening))
}()

func newEllipsoid(a, e2 float64) ellipsoid {
	e := math.Sqrt(e2)
	qp := 1 + (1-e2)*math.Atanh(e)/e
	return ellipsoid{a: a, e2: e2, e: e, qp: qp, radius: a * math.Sqrt(qp/2)}
}

// authalic returns sine and cosine of the authalic latitude of a latitude in
// radians, (3-11) and (3-12): sin β = q/qp.
//
// Near a pole q and qp cancel, so what is computed is their difference, with
// t = 1 - |sin φ|:
//
//	qp - q = t (1 + e² s)/(1 - e² s²) + (1 - e²) atanh(e t/(1 - e² s))/e
//
// and the cosine follows from 1 - sin β without loss. Both are right to a few
// units of the last place at every latitude.
func (el ellipsoid) authalic(phi float64) (sin, cos float64) {
	half := math.Sin((math.Pi/2 - math.Abs(phi)) / 2)
	t := 2 * half * half
	s := 1 - t
	difference := t*(1+el.e2*s)/(1-el.e2*s*s) + (1-el.e2)*math.Atanh(el.e*t/(1-el.e2*s))/el.e
	w := difference / el.qp
	return math.Copysign(1-w, phi), math.Sqrt(w * (2 - w))
}

// geodetic is the inverse of authalic: the latitude in radians that belongs to
// an authalic latitude. The two differ by less than e²/3 times the sine of
// twice the latitude, so each round of the iteration gains more than two
// digits, at the poles too.
func (el ellipsoid) geodetic(beta float64) float64 {
	phi := beta
	for range 12 {
		sin, cos := el.authalic(phi)
		step := beta - math.Atan2(sin, cos)
		phi += step
		if math.Abs(step) < 1e-16 {
			break
		}
	}
	return max(-math.Pi/2, min(math.Pi/2, phi))
}

const degree = math.Pi / 180

// turn brings a difference of longitudes in degrees to [-180, 180], and leaves
// what lies there as it is.
func turn(d float64) float64 {
	if d >= -180 && d <= 180 {
		return d
	}
	return math.Remainder(d, 360)
}

// vector is a direction from the middle of the authalic sphere.
type vector [3]float64

func (a vector) dot(b vector) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

func (a vector) unit() vector {
	n := math.Sqrt(a.dot(a))
	return vector{a[0] / n, a[1] / n, a[2] / n}
}

// mix returns (1-t) a + t b.
func (a vector) mix(b vector, t float64) vector {
	for i := range a {
		a[i] += t * (b[i] - a[i])
	}
	return a
}

// angle returns the angle between two unit vectors in radians, accurate for
// small angles too.
func (a vector) angle(b vector) float64 {
	d := vector{a[0] - b[0], a[1] - b[1], a[2] - b[2]}
	return 2 * math.Asin(min(1, math.Sqrt(d.dot(d))/2))
}

func (el ellipsoid) vector(p Point) vector {
	sin, cos := el.authalic(p.Lat * degree)
	sl, cl := math.Sincos(p.Lon * degree)
	return vector{cos * cl, cos * sl, sin}
}

func (el ellipsoid) point(v vector) Point {
	beta := math.Atan2(v[2], math.Hypot(v[0], v[1]))
	return Point{math.Atan2(v[1], v[0]) / degree, el.geodetic(beta) / degree}
}
