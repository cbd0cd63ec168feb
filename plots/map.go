package plots

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
	Areas    []MapArea  // squares that do not overlap
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

// MapArea is a square of the map.
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
