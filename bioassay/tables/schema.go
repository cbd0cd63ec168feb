package tables

import (
	_ "embed" // for the schemas
	"slices"
)

//go:embed counts.schema.json
var countSchema []byte

//go:embed apiaries.schema.json
var apiarySchema []byte

//go:embed treatments.schema.json
var treatmentSchema []byte

//go:embed hives.schema.json
var hivesSchema []byte

// CountSchema returns the description of the count table as a Table Schema
// (Data Package standard, version 2), for programs that write or check one.
func CountSchema() []byte { return slices.Clone(countSchema) }

// ApiarySchema returns the same for the table of apiaries.
func ApiarySchema() []byte { return slices.Clone(apiarySchema) }

// TreatmentSchema returns the same for the table of treatments.
func TreatmentSchema() []byte { return slices.Clone(treatmentSchema) }

// HivesSchema returns the same for the table of hives.
func HivesSchema() []byte { return slices.Clone(hivesSchema) }
