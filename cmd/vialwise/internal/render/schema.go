package render

import _ "embed"

//go:embed fits.schema.json
var fitsSchema []byte

// FitsSchema returns the JSON Schema (2020-12) of the json format of fits.
func FitsSchema() []byte { return fitsSchema }
