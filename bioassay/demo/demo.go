// Package demo holds invented data to try the program on and to test it with:
// three acaricides in ten apiaries on the Ostrelaine coast over four seasons,
// and a programme of sixty apiaries over six.
//
// Nothing in it was measured. The coast, its places and its contact codes do
// not exist (the coordinates lie in the open North Atlantic), and neither does
// the protocol; LC50 values, exposure and reading times were chosen for the
// example and are no guide to those of real mites. The counts are drawn from a
// stated truth, which is part of the package, so that a method can be seen to
// find it or not. README.md describes the tables.
package demo

import _ "embed" // for the tables

//go:generate go run ./internal/generate

var (
	//go:embed counts.csv
	counts []byte
	//go:embed apiaries.csv
	apiaries []byte
	//go:embed truth.csv
	truth []byte
	//go:embed programme-counts.csv
	programmeCounts []byte
	//go:embed programme-apiaries.csv
	programmeApiaries []byte
	//go:embed programme-truth.csv
	programmeTruth []byte
	//go:embed coast.geojson
	land []byte
)

// Counts returns a copy of the count table, one row per container. Invented
// data.
func Counts() []byte { return clone(counts) }

// Apiaries returns a copy of the table of apiaries. Invented data.
func Apiaries() []byte { return clone(apiaries) }

// Truth returns a copy of the table of what each assay was drawn from, and why
// it is in the demo. Invented data.
func Truth() []byte { return clone(truth) }

// ProgrammeCounts returns a copy of the count table of the programme, a data set
// by itself with its own baselines. Invented data.
func ProgrammeCounts() []byte { return clone(programmeCounts) }

// ProgrammeApiaries returns a copy of the table of apiaries of the programme.
// Invented data.
func ProgrammeApiaries() []byte { return clone(programmeApiaries) }

// ProgrammeTruth returns a copy of the table of what each assay of the programme
// was drawn from, in the columns of [Truth]. Invented data.
func ProgrammeTruth() []byte { return clone(programmeTruth) }

// Coast returns a copy of the land that the apiaries stand on and the boundaries
// of its regions, as GeoJSON (RFC 7946). Invented data.
func Coast() []byte { return clone(land) }

// clone keeps callers from changing what the next caller gets.
func clone(b []byte) []byte { return append([]byte(nil), b...) }
