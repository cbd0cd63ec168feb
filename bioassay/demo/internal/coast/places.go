// Package coast invents the demo data: the places, the truth about the mites in
// each of them, and the assays drawn from it.
package coast

import "strconv"

// place is an invented apiary.
type place struct {
	code, name, region  string
	latitude, longitude float64
	contact             string
	untold              untold
}

// untold is what the table of apiaries keeps back.
type untold uint8

const (
	nothing untold = iota
	theRegion
	thePosition
)

// places stand on a coast that was invented together with their names. The
// coordinates are in the open North Atlantic, midway between Newfoundland and
// the Azores, so that no map can point at anyone's hives.
var places = []place{
	{"A01", "Dorvassy", "Yrdemoor", 41.62, -45.91, "invented-11", nothing},
	{"A02", "Liskembra", "Yrdemoor", 41.48, -45.37, "invented-24", nothing},
	{"A03", "Hærvola", "Yrdemoor", 41.31, -45.74, "invented-08", nothing},
	{"A04", "Tibbenholm", "Cormavelle", 40.88, -45.22, "invented-35", nothing},
	{"A05", "Wrendicott", "Cormavelle", 40.73, -44.69, "invented-19", nothing},
	{"A06", "Quennacre", "Cormavelle", 40.55, -45.05, "invented-42", nothing},
	{"A07", "Prévonel", "Cormavelle", 40.41, -44.58, "invented-27", nothing},
	{"A08", "Gostelund", "Saskellan", 39.97, -44.83, "invented-03", nothing},
	{"A09", "Marrisquay", "Saskellan", 39.82, -44.31, "invented-16", nothing},
	{"A10", "Fennegarth", "Saskellan", 39.64, -44.62, "invented-30", nothing},
}

// active is an acaricide with an invented susceptibility.
type active struct {
	name string
	lc50 float64 // ug/vial, of the invented reference colonies
}

var actives = map[byte]active{
	'a': {"amitraz", 0.5},
	't': {"tau-fluvalinate", 4},
	'c': {"coumaphos", 2},
}

const (
	unit          = "ug/vial"
	protocol      = "vial-residue"
	exposureHours = 24 // invented, as is the reading time
	readingHours  = 24
	note          = "invented data"
)

// season is one round of sampling.
type season struct {
	name       string
	year       int
	month, day int // the first day of sampling
}

const samplingDays = 60 // each round ends before its season does

var seasons = []season{
	{"2031-spring", 2031, 3, 20},
	{"2031-autumn", 2031, 9, 5},
	{"2032-spring", 2032, 3, 20},
	{"2032-autumn", 2032, 9, 5},
}

// programmeSeasons are those of the programme: the same and a third year.
var programmeSeasons = append(seasons[:len(seasons):len(seasons)],
	season{"2033-spring", 2033, 3, 20},
	season{"2033-autumn", 2033, 9, 5},
)

// number writes a number with as many digits as it has.
func number(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }
