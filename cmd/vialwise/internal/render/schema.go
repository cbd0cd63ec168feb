package render

import _ "embed"

//go:embed fits.schema.json
var fitsSchema []byte

//go:embed comparisons.schema.json
var comparisonsSchema []byte

//go:embed baselines.schema.json
var baselinesSchema []byte

//go:embed check.schema.json
var checkSchema []byte

//go:embed tracks.schema.json
var tracksSchema []byte

// FitsSchema returns the JSON Schema (2020-12) of the json format of fits.
func FitsSchema() []byte { return fitsSchema }

// ComparisonsSchema returns the JSON Schema of the json format of comparisons.
// It refers to that of fits by the name fits.schema.json.
func ComparisonsSchema() []byte { return comparisonsSchema }

// BaselinesSchema returns the JSON Schema of the json format of baselines.
func BaselinesSchema() []byte { return baselinesSchema }

// CheckSchema returns the JSON Schema of the json format of checks.
func CheckSchema() []byte { return checkSchema }

// TracksSchema returns the JSON Schema of the json format of track. It refers
// to that of baselines by the name baselines.schema.json.
func TracksSchema() []byte { return tracksSchema }
