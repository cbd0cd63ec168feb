package geo

import (
	"fmt"
	"math"

	"vialwise/bioassay"
)

// TooWide is the warning about a region that a map of one piece distorts.
const TooWide bioassay.WarningCode = "region-too-wide"

// WidestKM is the distance from the centre beyond which a region is too wide:
// there lengths are off by 5 % in both directions.
const WidestKM = 4000

// Extent is a circle on the Earth around places.
type Extent struct {
	Centre Point
	KM     float64 // from the centre to the farthest place
}

// ExtentOf returns a circle that holds every place, near the smallest there
// is. It panics without a place.
//
// The centre is found on the sphere by the iteration of Bădoiu and Clarkson
// (2003, Smaller core-sets for balls, Proceedings of the 14th ACM-SIAM
// Symposium on Discrete Algorithms, 801-802; from memory): walk towards the
// farthest place, by an ever smaller part of the way. So neither the
// antimeridian nor a pole is a special case, and a dense cluster does not draw
// the centre to itself as a mean would. Places that fill more than a half of
// the globe have no smallest circle that is worth having, and get one that
// says so by its size.
func ExtentOf(places []Point) Extent {
	if len(places) == 0 {
		panic("geo: the extent of no place")
	}
	vectors := make([]vector, len(places))
	for i, q := range places {
		vectors[i] = wgs84.vector(q)
	}
	centre := vectors[0]
	for round := range 400 {
		_, far := farthest(centre, vectors)
		next := centre.mix(far, 1/float64(round+2))
		if next.dot(next) < 1e-12 { // half way to the antipode: any direction will do
			continue
		}
		centre = next.unit()
	}
	angle, _ := farthest(centre, vectors)
	return Extent{wgs84.point(centre), angle * wgs84.radius}
}

func farthest(from vector, list []vector) (float64, vector) {
	least, far := math.Inf(1), from
	for _, v := range list {
		if d := v.dot(from); d < least {
			least, far = d, v
		}
	}
	return far.angle(from), far
}

// Distance returns the distance between two places in km, on the authalic
// sphere: right within 0.6 %.
func Distance(a, b Point) float64 {
	return wgs84.vector(a).angle(wgs84.vector(b)) * wgs84.radius
}

// Regional returns the projection for places: about the centre of their
// extent, rounded to whole degrees. The rounding has two reasons. One more
// place seldom moves the centre, and with it the squares of a grid; and the
// centre does not give away where the outermost places lie.
//
// It is an error when a place lies more than a quarter of the globe from the
// centre. A region that reaches beyond WidestKM is usable, with a warning.
func Regional(places []Point) (*Projection, []bioassay.Warning, error) {
	if len(places) == 0 {
		return nil, nil, fmt.Errorf("no place is known, so there is nothing to map; enter latitude and longitude of the apiaries")
	}
	centre := ExtentOf(places).Centre
	centre = Point{math.Round(centre.Lon), math.Round(centre.Lat)}
	if math.Abs(centre.Lat) == 90 {
		centre.Lon = 0
	}
	p := NewProjection(centre)
	km := p.reach(places)
	return p, p.doubts(km), p.refuse(km)
}

// reach returns how far from the centre the farthest place lies.
func (p *Projection) reach(places []Point) (km float64) {
	for _, q := range places {
		km = max(km, Distance(p.centre, q))
	}
	return km
}

func (p *Projection) refuse(km float64) error {
	if km > wgs84.radius*math.Pi/2 {
		return fmt.Errorf("the places reach %.0f km from their centre, %s, beyond a quarter of the globe; map each region on its own, or correct the place that is wrong", km, place(p.centre))
	}
	return nil
}

func (p *Projection) doubts(km float64) []bioassay.Warning {
	if km <= WidestKM {
		return nil
	}
	return []bioassay.Warning{{
		Code:    TooWide,
		Message: fmt.Sprintf("the places reach %.0f km from their centre, %s; at the edge of the map lengths are off by %.0f %%, areas are right", km, place(p.centre), 100*(1/math.Cos(km/wgs84.radius/2)-1)),
		Cure:    fmt.Sprintf("map parts of at most %d km about their centre", WidestKM),
	}}
}
