package geo

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"vialwise/bioassay"
)

// PolarCircle is the latitude beyond which a place of hives is doubted (common
// practice: hardly any bees are kept there).
const PolarCircle = 66.5

// PlacesOf returns the places of the apiaries that have one, in their order.
func PlacesOf(apiaries []bioassay.Apiary) (out []Point) {
	for _, a := range apiaries {
		if a.Located() {
			out = append(out, placeOf(a))
		}
	}
	return out
}

func placeOf(a bioassay.Apiary) Point { return Point{a.Longitude.Value, a.Latitude.Value} }

func (q Point) exchanged() Point { return Point{q.Lat, q.Lon} }

// Whereabouts says where apiaries lie and when summer is there, so that somebody
// who knows can tell coordinates that are exchanged throughout: they contradict
// nothing in the table itself. It is blank where no apiary has a place.
func Whereabouts(apiaries []bioassay.Apiary) string {
	places := PlacesOf(apiaries)
	if len(places) == 0 {
		return ""
	}
	around := ExtentOf(places)
	var sides [2]int
	for _, q := range places {
		sides[bioassay.HemisphereOf(q.Lat)]++
	}
	side := "on both sides of the equator"
	switch 0 {
	case sides[bioassay.South]:
		side = "north of the equator, where June to August is summer"
	case sides[bioassay.North]:
		side = "south of the equator, where December to February is summer"
	}
	lie := fmt.Sprintf("lie within %.0f km of", math.Ceil(around.KM))
	if len(places) == 1 {
		lie = "lies near"
	}
	centre := Point{math.Round(around.Centre.Lon*10) / 10, math.Round(around.Centre.Lat*10) / 10}
	return fmt.Sprintf("%s with a place %s %s, %s", bioassay.Plural(len(places), "apiary"), lie, place(centre), side)
}

// DoubtPlaces looks for places that no hives can have and for coordinates that seem
// to be exchanged: those that, exchanged, lie much nearer to the middle of the
// apiaries that were known before, or of the table itself where none was.
func DoubtPlaces(table, before []bioassay.Apiary) []bioassay.Warning {
	all := PlacesOf(before)
	whose := "the apiaries known before"
	if len(all) == 0 {
		all, whose = PlacesOf(table), "the apiaries"
	}
	if len(all) == 0 {
		return nil
	}
	middle := middleOf(all)
	var polar, exchanged []bioassay.Apiary
	for _, a := range table {
		switch {
		case !a.Located():
		case seemsExchanged(placeOf(a), middle):
			exchanged = append(exchanged, a)
		case math.Abs(a.Latitude.Value) > PolarCircle:
			polar = append(polar, a)
		}
	}
	var out []bioassay.Warning
	if len(exchanged) > 0 {
		q := placeOf(exchanged[0])
		out = append(out, doubt(exchanged, Exchanged,
			fmt.Sprintf("%.0f km from the middle of %s, and with latitude and longitude exchanged only %.0f km", Distance(q, middle), whose, Distance(q.exchanged(), middle)),
			"correct the table, or the places of the others if it is they that are wrong: seasons and maps rest on them"))
	}
	if len(polar) > 0 {
		cure := "correct its latitude"
		if math.Abs(polar[0].Longitude.Value) <= PolarCircle {
			cure = "look whether latitude and longitude are exchanged"
		}
		out = append(out, doubt(polar, Polar, fmt.Sprintf("beyond %g degrees of latitude, where hardly any bees are kept", PolarCircle), cure))
	}
	return out
}

// middleOf is the place nearest to the medians of longitude and latitude: a few
// wrong places do not move it far.
func middleOf(places []Point) Point {
	median := func(of func(Point) float64) float64 {
		var values []float64
		for _, q := range places {
			values = append(values, of(q))
		}
		slices.Sort(values)
		return values[(len(values)-1)/2] // one that occurs: a mean would fail at 180 degrees
	}
	at := Point{median(func(q Point) float64 { return q.Lon }), median(func(q Point) float64 { return q.Lat })}
	return slices.MinFunc(places, func(p, q Point) int { return cmp.Compare(Distance(p, at), Distance(q, at)) })
}

// seemsExchanged says that a place is far from the middle and its exchange is not,
// or ten times nearer.
func seemsExchanged(q, middle Point) bool {
	const leastKM, nearer = 100, 10
	if math.Abs(q.Lon) > 90 {
		return false
	}
	as, exchanged := Distance(q, middle), Distance(q.exchanged(), middle)
	return as > farKM && exchanged <= farKM || as > leastKM && nearer*exchanged < as
}

// doubt is a warning about apiaries, at the place of the first.
func doubt(apiaries []bioassay.Apiary, code bioassay.WarningCode, where, cure string) bioassay.Warning {
	subject := fmt.Sprintf("apiary %q", apiaries[0].Code)
	if rest := bioassay.Codes(apiaries[1:]); rest != "" {
		subject += " (and so " + rest + ")"
	}
	return bioassay.Warning{Code: code, Message: subject + " lies " + where, Cure: cure, Origin: apiaries[0].Source}
}
