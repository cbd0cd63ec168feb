package main

import (
	"math"
	"strings"
	"testing"

	"vialwise/bioassay"
	"vialwise/cmd/vialwise/internal/figures"
)

// TestCurveSaysWhereItsLimitsComeFrom looks at the title block of a figure: a
// dagger in it is explained in its note.
func TestCurveSaysWhereItsLimitsComeFrom(t *testing.T) {
	data := new(counts)
	if err := data.read("counts.csv", []byte("assay,concentration,exposed,dead\n"+
		"line,1,20,2\nline,1,20,3\nline,2,20,8\nline,4,20,14\nline,8,20,19\nflat,1,20,5\nflat,2,20,7\nflat,4,20,8\nstep,1,9,0\nstep,2,9,9\nuntreated,0,9,1\n")); err != nil {
		t.Fatal(err)
	}
	fits, err := analyse(data, bioassay.AnalysisOptions{})
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]string{
		"line": "", "flat": "† limits of the posterior: no bounded fiducial ones exist",
		"step": "no fit: separated; † posterior median and limits", "untreated": "no fit: too-few-doses",
	}
	for _, a := range fits.Analyses {
		c := figures.Curve(a, "")
		if c.Note != want[a.Assay.Name] {
			t.Errorf("%s: note %q, want %q", a.Assay.Name, c.Note, want[a.Assay.Name])
		}
		if strings.Contains(c.Subtitle, "†") != strings.Contains(c.Note, "†") {
			t.Errorf("%s: subtitle %q, note %q", a.Assay.Name, c.Subtitle, c.Note)
		}
		line := a.Assay.Name == "line" || a.Assay.Name == "flat"
		if line != (c.Lower < c.LC50 && c.LC50 < c.Upper) || line == math.IsNaN(c.LC50) {
			t.Errorf("%s: LC50 %g (%g to %g)", a.Assay.Name, c.LC50, c.Lower, c.Upper)
		}
	}
}
