package track

import (
	"fmt"
	"math"
	"testing"

	"vialwise/bioassay"
	"vialwise/doseresp"
	"vialwise/doseresp/sim"
)

var foldBands = &bioassay.RatioBands{Percent: 50, Bands: bioassay.RuleBands{{Name: "high", From: 10, Above: true}, {Name: "moderate", From: 5}, {Name: "low"}}}

// susceptible is an assay of mites with LC50 1.
func susceptible(name string) bioassay.Assay {
	a := bioassay.Assay{Name: name, Acaricide: "amitraz", Role: bioassay.RoleBaseline, Protocol: "vial-residue", Unit: "ug/vial"}
	dead := map[float64][]int{0: {0, 1, 0}, 0.25: {1, 2, 1}, 0.5: {4, 3, 5}, 1: {10, 9, 11}, 2: {16, 17, 15}, 4: {20, 19, 20}}
	for _, dose := range []float64{0, 0.25, 0.5, 1, 2, 4} {
		for _, n := range dead[dose] {
			a.Containers = append(a.Containers, bioassay.Container{Concentration: dose, Exposed: 20, Dead: n})
		}
	}
	return a
}

// field is an assay whose mites tolerate a multiple of the concentrations.
func field(name, apiary, day string, fold float64, seed uint64) bioassay.Assay {
	a := bioassay.Assay{Name: name, Apiary: apiary, Acaricide: "amitraz", Protocol: "vial-residue", Unit: "ug/vial"}
	a.CollectedOn, _ = bioassay.ParseDate(day)
	s := sim.NewSource(seed, 1)
	for _, dose := range []float64{0, 0.25, 0.5, 1, 2, 4, 8} {
		for range 2 {
			dead := 0
			p := 0.02
			if dose > 0 {
				p = 0.02 + 0.98*doseresp.Probit.CDF(2.8*math.Log10(dose/fold))
			}
			for range 15 {
				if s.Float64() < p {
					dead++
				}
			}
			a.Containers = append(a.Containers, bioassay.Container{Concentration: dose, Exposed: 15, Dead: dead, Source: bioassay.Origin{File: "counts.csv", Line: len(a.Containers) + 2}})
		}
	}
	return a
}

func compareOptions() bioassay.CompareOptions {
	return bioassay.CompareOptions{Bands: foldBands, Analysis: bioassay.AnalysisOptions{Fit: doseresp.Options{Percents: []float64{50}}}}
}

func comparer(t testing.TB) (*bioassay.Comparer, []Reference) {
	t.Helper()
	o := compareOptions()
	b, err := bioassay.BuildBaseline("reference", []bioassay.Assay{susceptible("reference")}, bioassay.BaselineOptions{Analysis: o.Analysis})
	if err != nil {
		t.Fatal(err)
	}
	c, err := bioassay.NewComparer(b, o)
	if err != nil {
		t.Fatal(err)
	}
	return c, []Reference{{Baseline: b}}
}

// testWork is what arranging needs.
func testWork(t testing.TB) *work {
	t.Helper()
	c, _ := comparer(t)
	return &work{comparers: []*bioassay.Comparer{c}, level: 0.95, bands: foldBands, regions: map[string]string{}}
}

func entries(assays ...bioassay.Assay) func(func(Entry, error) bool) {
	return func(yield func(Entry, error) bool) {
		for _, a := range assays {
			if !yield(Entry{Assay: a, Key: a.Name}, nil) {
				return
			}
		}
	}
}

func tracked(t testing.TB, apiaries []bioassay.Apiary, o Options, assays ...bioassay.Assay) *Tracking {
	t.Helper()
	c, references := comparer(t)
	o.Compare = compareOptions()
	k, err := Run(entries(assays...), []*bioassay.Comparer{c}, references, apiaries, o)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

// seasons are n assays of an apiary, two a year, whose ratio grows by a factor a
// year.
func seasons(apiary string, n int, perYear float64, seed uint64) (out []bioassay.Assay) {
	for i := range n {
		day := fmt.Sprintf("%d-%02d-10", 2031+i/2, 4+6*(i%2))
		out = append(out, field(fmt.Sprint(apiary, "-", i), apiary, day, math.Pow(perYear, float64(i)/2), seed+uint64(i)))
	}
	return out
}
