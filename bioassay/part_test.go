package bioassay_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"vialwise/bioassay"
	"vialwise/doseresp"
)

// notePercents are the LCp of the comparisons of notes.
var notePercents = []float64{50, 90, bioassay.ReferencePercent}

// TestPartOfCases, TestPartOfDemo and TestPartOfSimulated hold Part to Compare over
// the assays that hold Brief to it: ordinary ones and those without a line, every
// field assay of the demo, and drawn ones under several settings.
func TestPartOfCases(t *testing.T) {
	for _, folds := range [][]float64{{1}, {.8, 1.2}, {.6, .8, 1, 1.3, 1.8}} {
		o := bioassay.CompareOptions{Bands: &bioassay.RatioBands{Percent: 50, Bands: threeBands}}
		o.Analysis.Fit.Percents = notePercents
		c := comparer(t, o, baselineAssays(folds...)...)
		for _, a := range briefCases() {
			holdPart(t, c, a)
		}
		other := simulated("another unit", susceptible, 3)
		other.Unit = "ppm"
		holdPart(t, c, other)
	}
}

func TestPartOfDemo(t *testing.T) {
	comparers, fields := demoComparers(t, notePercents)
	full, refused := bioassay.CompareAll(fields, comparers, nil)
	part, refusedToo := bioassay.CompareAllInPart(fields, comparers, nil)
	if len(part) != len(full) || len(full) < 30 || len(refusedToo) != len(refused) {
		t.Fatalf("%d and %d compared, %d and %d refused", len(full), len(part), len(refused), len(refusedToo))
	}
	for i := range full {
		comparePart(t, full[i].Field.Assay.Name, part[i], full[i])
	}
}

func TestPartOfSimulated(t *testing.T) {
	for name, o := range briefSets() {
		t.Run(name, func(t *testing.T) {
			random := rand.New(rand.NewPCG(7, 3))
			o.Analysis.Fit.Percents = notePercents
			var comparers []*bioassay.Comparer
			for k, folds := range [][]float64{{1}, {.6, .8, 1, 1.3, 1.8}, {1}} {
				given := bioassay.BaselineOptions{Analysis: o.Analysis}
				if k == 2 {
					given.BetweenSD, given.BetweenSource = bioassay.Optional{Value: .15, Known: true}, "invented"
				}
				comparers = append(comparers, comparerOf(t, given, o, baselineAssays(folds...)...))
			}
			for i := range 30 {
				holdPart(t, comparers[i%3], drawn(random, fmt.Sprint(i)))
			}
		})
	}
}

// holdPart compares an assay in part and in full.
func holdPart(t *testing.T, c *bioassay.Comparer, a bioassay.Assay) {
	t.Helper()
	holdShort(t, c, a, "part", c.Part, comparePart)
}

// comparePart holds every number to the last bit.
func comparePart(t *testing.T, name string, part, full *bioassay.Comparison) {
	t.Helper()
	hold := func(what string, got, want any) {
		t.Helper()
		if g, w := fmt.Sprintf("%+v", got), fmt.Sprintf("%+v", want); g != w {
			t.Errorf("%s: %s %s, in full %s", name, what, g, w)
		}
	}
	p, f := part.Field.Fit, full.Field.Fit
	hold("counts", []any{p.Status, p.TreatedExposed, p.ControlExposed}, []any{f.Status, f.TreatedExposed, f.ControlExposed})
	hold("number of ratios", len(part.Ratios), len(full.Ratios))
	for i, r := range part.Ratios {
		want := full.Ratios[i]
		if r.Mover.Kind == doseresp.Bounded {
			want.Posterior = r.Posterior
		}
		hold("ratio", r, want)
	}
	hold("bands", part.Bands, full.Bands)
	hold("whole shift", part.WholeShift, full.WholeShift)
	hold("single", part.Single, full.Single)
	hold("survivors", part.Survivors, full.Survivors)
	hold("is there a fraction", part.Fraction != nil, full.Fraction != nil)
	if q, want := part.Fraction, full.Fraction; q != nil && want != nil {
		hold("fraction", []any{q.Fraction, q.Identified, q.Test}, []any{want.Fraction, want.Identified, want.Test})
	}
	hold("adjusted", part.Adjusted.Fraction, full.Adjusted.Fraction)
	survival, ok := part.SurvivalAtReference(.95)
	wanted, known := full.SurvivalAtReference(.95)
	hold("survival", []any{survival, ok}, []any{wanted, known})
}
