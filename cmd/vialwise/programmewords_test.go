package main

import (
	"os"
	"path/filepath"

	"github.com/rogpeppe/go-internal/testscript"

	"vialwise/bioassay/demo"
)

// programmeInput are the files of the demo's programme by name.
func programmeInput() map[string][]byte {
	return map[string][]byte{
		"counts.csv": demo.ProgrammeCounts(), "apiaries.csv": demo.ProgrammeApiaries(), "coast.geojson": demo.Coast(),
		"programme.toml": demo.ProgrammeSettings(), "treatments.csv": demo.Treatments(), "hives.csv": demo.Hives(),
	}
}

// programmeFiles writes the input of the demo's programme into the working folder.
func programmeFiles(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 0 {
		ts.Fatalf("usage: programmefiles")
	}
	for name, raw := range programmeInput() {
		ts.Check(os.WriteFile(filepath.Join(ts.MkAbs("."), name), raw, 0o644))
	}
}
