package tables

import (
	_ "embed" // for the two schemas
	"slices"
)

//go:embed counts.schema.json
var countSchema []byte

//go:embed apiaries.schema.json
var apiarySchema []byte

// CountSchema returns the description of the count table as a Table Schema
// (Data Package standard, version 2), for programs that write or check one.
func CountSchema() []byte { return slices.Clone(countSchema) }

// ApiarySchema returns the same for the table of apiaries.
func ApiarySchema() []byte { return slices.Clone(apiarySchema) }
