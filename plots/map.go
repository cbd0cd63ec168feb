package plots

import (
	"cmp"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// XY is a place in the plane of a map: km to the east and km to the north.
type XY = [2]float64

// Map is the figure of a region in which each area shows how far an acaricide
// has lost its effect there. Everything is in the plane of a projection, in km.
// An area without enough results is drawn as one, and never as one without
// resistance.
type Map struct {
	Caption
	Quantity string     // what the classes are of, such as "Mean resistance ratio at LC50"
	Extent   MapExtent  // what the map shows; zero for the areas and points with a margin
	Land     [][][]XY   // polygons: an outer ring and holes
	Lines    [][]XY     // boundaries
	Areas    []MapArea  // convex, without overlap
	Classes  []MapClass // rising: from no resistance to the most
	Points   []MapPoint // apiaries at their exact places, only of a map that is not for sharing
	Fewest   int        // results that an area must have to be shown, named in the key
	ScaleKM  float64    // length of the scale bar; 0 for a round one
	North    [2]float64 // least and greatest direction of true north on the map, in degrees clockwise from up
	// Projection is named under the map, such as "Lambert azimuthal equal-area
	// about 44.2° N 9.8° E".
	Projection string
	// NotForSharing puts words to that effect along every side of the figure.
	NotForSharing bool
}

// MapExtent is a rectangle of the plane, in km.
type MapExtent struct{ West, South, East, North float64 }

// MapClass is a class of resistance.
type MapClass struct{ Name string }

// MapArea is an area of the map, such as a square.
type MapArea struct {
	Outline   []XY // its corners; a closing one may repeat the first
	Status    MapStatus
	Class     int // likeliest one, position among Map.Classes
	Certainty MapCertainty
	Label     string // set small under the number of the class, such as the number of apiaries
}

// MapStatus says whether an area has enough results.
type MapStatus uint8

// The kinds of areas: one that shows a class, and one with fewer results than
// Map.Fewest, down to none.
const (
	MapShown MapStatus = iota
	MapFew
)

// MapCertainty says how sure the class of an area is.
type MapCertainty uint8

// The degrees of certainty.
const (
	MapUnsure MapCertainty = iota
	MapLikely
	MapClear
)

var mapCertaintyNames = [...]string{MapUnsure: "unsure", MapLikely: "likely", MapClear: "clear"}

// String returns the word for the degree.
func (c MapCertainty) String() string { return mapCertaintyNames[c] }

// MapPoint is an apiary at its exact place.
type MapPoint struct {
	At    XY
	Class int // position among Map.Classes, below 0 for none
	Label string
}

func (m Map) withTexts(do func(string) string) Figure {
	m.Caption, m.Quantity, m.Projection = m.Caption.withTexts(do), do(m.Quantity), do(m.Projection)
	m.Areas, m.Classes, m.Points = append([]MapArea(nil), m.Areas...), append([]MapClass(nil), m.Classes...), append([]MapPoint(nil), m.Points...)
	for i := range m.Areas {
		m.Areas[i].Label = do(m.Areas[i].Label)
	}
	for i := range m.Classes {
		m.Classes[i].Name = do(m.Classes[i].Name)
	}
	for i := range m.Points {
		m.Points[i].Label = do(m.Points[i].Label)
	}
	return m
}

// notForSharing is what a map of exact places says along its sides.
const notForSharing = "Not for sharing: exact places of apiaries"

func (m Map) quantity() string {
	return cmp.Or(clean(m.Quantity), "Resistance")
}

func (m Map) words() (name, description string) {
	var say []string
	for i, class := range m.Classes {
		say = append(say, "Class "+strconv.Itoa(i+1)+", "+clean(class.Name)+": "+m.sayClass(i))
	}
	if n := m.few(); n > 0 {
		say = append(say, m.fewWords()+": "+count(n, "area"))
	}
	if n := len(m.Points); n > 0 {
		say = append(say, count(n, "apiary", "apiaries")+" at the exact place")
	}
	say = append(say, clean(m.Projection))
	if m.NotForSharing {
		say = append(say, notForSharing)
	}
	return m.name("Map of " + m.quantity()), m.tell("Map of "+m.quantity(), say...)
}

// sayClass counts the areas of a class by their certainty.
func (m Map) sayClass(class int) string {
	var of [len(mapCertaintyNames)]int
	all := 0
	for _, a := range m.Areas {
		if a.Status == MapShown && a.Class == class {
			of[a.Certainty]++
			all++
		}
	}
	s := count(all, "area")
	var parts []string
	for i := range of {
		if c := MapClear - MapCertainty(i); of[c] > 0 {
			parts = append(parts, strconv.Itoa(of[c])+" "+c.String())
		}
	}
	if len(parts) > 0 {
		s += " (" + strings.Join(parts, ", ") + ")"
	}
	return s
}

func (m Map) few() (n int) {
	for _, a := range m.Areas {
		if a.Status == MapFew {
			n++
		}
	}
	return n
}

func (m Map) fewWords() string {
	if m.Fewest == 0 {
		return "too few results"
	}
	return "fewer than " + count(m.Fewest, "result")
}

// count writes a number with its noun; a plural that is more than an s is given.
func count(n int, noun string, plural ...string) string {
	switch {
	case n == 1:
	case len(plural) > 0:
		noun = plural[0]
	default:
		noun += "s"
	}
	return strconv.Itoa(n) + " " + noun
}

func (m Map) check() error {
	for i, a := range m.Areas {
		if len(a.Outline) < 3 || !finite(a.Outline...) {
			return fmt.Errorf("plots: area %d of the map: give at least three corners at finite places", i+1)
		}
		if a.Status == MapShown && (a.Class < 0 || a.Class >= len(m.Classes)) {
			return fmt.Errorf("plots: area %d of the map: class %d of %d: count from 0", i+1, a.Class, len(m.Classes))
		}
	}
	for i, p := range m.Points {
		if !finite(p.At) || p.Class >= len(m.Classes) {
			return fmt.Errorf("plots: point %d of the map: give a finite place and one of the %d classes", i+1, len(m.Classes))
		}
	}
	e := m.extent()
	if !(e.West < e.East && e.South < e.North) || math.IsInf(e.East-e.West, 0) || math.IsInf(e.North-e.South, 0) {
		return fmt.Errorf("plots: a map without an extent: give areas, points or an Extent")
	}
	return nil
}

func finite(places ...XY) bool {
	for _, p := range places {
		if s := p[0] + p[1]; math.IsNaN(s) || math.IsInf(s, 0) {
			return false
		}
	}
	return true
}
