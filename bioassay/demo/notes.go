package demo

import _ "embed"

//go:embed programme.toml
var settings []byte

//go:embed treatments.csv
var treatments []byte

//go:embed hives.csv
var hives []byte

// NoteDay is the day of the demo's notes, after the last of its tests.
const NoteDay = "2033-11-20"

// ProgrammeSettings returns the invented settings of the programme, a TOML file.
func ProgrammeSettings() []byte { return clone(settings) }

// Treatments returns the invented table of treatments.
func Treatments() []byte { return clone(treatments) }

// Hives returns the invented table of hives.
func Hives() []byte { return clone(hives) }
