package bioassay

import (
	"fmt"
	"strings"
)

// Population names the mites an assay speaks for: all those of an apiary, or
// a named part of them. It is comparable, so it can be the key of a map.
type Population struct {
	Apiary string // code of the apiary, blank for a laboratory population
	Name   string // blank when the apiary is sampled as a whole
}

// String returns "apiary, name", or whichever of the two is known.
func (p Population) String() string {
	return strings.Trim(p.Apiary+", "+p.Name, ", ")
}

// Apiary is a place where colonies stand. The coordinates are exact and stay
// on the user's machine; whatever leaves it is coarsened first.
type Apiary struct {
	Code        string
	Region      string
	Latitude    Optional // degrees, north positive
	Longitude   Optional // degrees, east positive
	ContactCode string   // a code for the beekeeper, not a name
	Extra       []Field  // filled cells of unknown columns, by rising name
	Source      Origin
}

// Located reports whether both coordinates are known.
func (a Apiary) Located() bool { return a.Latitude.Known && a.Longitude.Known }

// Codes lists the first few apiaries, each with its place in a file where that is
// known, and counts the others: `"A07" (apiaries.csv:8), "A09" and 3 more`.
func Codes(apiaries []Apiary) string {
	const most = 3
	var names []string
	for _, a := range apiaries[:min(most, len(apiaries))] {
		name := fmt.Sprintf("%q", a.Code)
		if a.Source.File != "" {
			name += " (" + a.Source.String() + ")"
		}
		names = append(names, name)
	}
	if more := len(apiaries) - len(names); more > 0 {
		names = append(names, fmt.Sprintf("%d more", more))
	}
	return Listed(names)
}

// Hemisphere is the half of the Earth that decides which months are summer.
type Hemisphere uint8

// The hemispheres.
const (
	North Hemisphere = iota
	South
)

// String returns "north" or "south".
func (h Hemisphere) String() string {
	if h == South {
		return "south"
	}
	return "north"
}

// HemisphereOf returns the hemisphere of a latitude in degrees, north positive.
// The equator counts as north.
func HemisphereOf(latitude float64) Hemisphere {
	if latitude < 0 {
		return South
	}
	return North
}
