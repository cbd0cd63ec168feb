package geo

import (
	"fmt"
	"math"

	"vialwise/bioassay"
)

// farKM is the distance between the places and a file beyond which the file is
// doubted. It must exceed the way from the inside of a large country to its
// boundary.
const farKM = 2000

// Doubts compares a collection that should surround places, such as a coast
// around apiaries, with them. It warns when everything in it is far from the
// places, and says so when exchanging longitude and latitude would cure it: an
// exchange that leaves every number within its bounds shows in no other way.
func (c *FeatureCollection) Doubts(places []Point) []bioassay.Warning {
	if len(places) == 0 {
		return nil
	}
	around := ExtentOf(places)
	as, exchanged := math.Inf(1), math.Inf(1)
	for i := range c.Features {
		c.Features[i].Geometry.each(func(g *Geometry) {
			g.eachPoint(func(q Point) {
				as = min(as, Distance(around.Centre, q))
				if math.Abs(q.Lon) <= 90 {
					exchanged = min(exchanged, Distance(around.Centre, Point{q.Lat, q.Lon}))
				}
			})
		})
	}
	if reach := around.KM + farKM; math.IsInf(as, 1) || as <= reach {
		return nil
	} else if exchanged <= reach {
		return []bioassay.Warning{{
			Code:    Exchanged,
			Message: fmt.Sprintf("the nearest point lies %.0f km from the apiaries, and with longitude and latitude exchanged only %.0f km", as, exchanged),
			Cure:    "write positions there as [longitude, latitude], or exchange latitude and longitude in the table of apiaries if it is they that are wrong",
		}}
	}
	return []bioassay.Warning{{
		Code:    FarAway,
		Message: fmt.Sprintf("the nearest point lies %.0f km from the apiaries around %s", as, place(around.Centre)),
		Cure:    "give the coast and boundaries of the region, or correct the coordinates of the apiaries",
	}}
}

// eachPoint calls do for the points of a geometry that is no collection.
func (g *Geometry) eachPoint(do func(Point)) {
	all := func(points []Point) {
		for _, q := range points {
			do(q)
		}
	}
	all(g.Points)
	for _, line := range g.Lines {
		all(line)
	}
	for _, p := range g.Polygons {
		for _, ring := range p {
			all(ring)
		}
	}
}
