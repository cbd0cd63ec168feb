package registry

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"vialwise/bioassay"
	"vialwise/bioassay/demo"
	"vialwise/bioassay/tables"
)

// tick is a clock that moves one second at each look, from a fixed day.
func tick() func() time.Time {
	t := time.Date(2031, 4, 9, 10, 0, 0, 0, time.FixedZone("", 2*3600))
	return func() time.Time {
		t = t.Add(time.Second)
		return t
	}
}

func options() Options { return Options{Who: "Ada", Now: tick(), Wait: 20 * time.Second} }

// opened returns the registry in a file, closed at the end of the test.
func opened(t testing.TB, path string) *Registry {
	t.Helper()
	r, err := Open(path, options())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { r.Close() })
	return r
}

func fresh(t testing.TB) *Registry {
	t.Helper()
	return opened(t, filepath.Join(t.TempDir(), "registry.db"))
}

// read reads a count table from text.
func read(t testing.TB, name, text string) (*tables.Table, Source) {
	t.Helper()
	table, err := tables.Read(name, strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return table, SourceOf(name, []byte(text))
}

// put imports text as a count table, which must succeed.
func put(t testing.TB, r *Registry, name, text string, o ImportOptions) *ImportResult {
	t.Helper()
	table, source := read(t, name, text)
	res, err := r.Import(context.Background(), table, source, o)
	if err != nil {
		t.Fatal(err)
	}
	return res
}

// withDemo holds the invented data of the demo.
func withDemo(t testing.TB) *Registry {
	t.Helper()
	r := fresh(t)
	apiaries, err := tables.ReadApiaries("apiaries.csv", bytes.NewReader(demo.Apiaries()))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := r.ImportApiaries(context.Background(), apiaries, SourceOf("apiaries.csv", demo.Apiaries()), ImportOptions{}); err != nil {
		t.Fatal(err)
	}
	put(t, r, "counts.csv", string(demo.Counts()), ImportOptions{})
	return r
}

// all gathers a sequence of entries.
func all(t testing.TB, seq func(func(Entry, error) bool)) []Entry {
	t.Helper()
	var list []Entry
	for e, err := range seq {
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, e)
	}
	return list
}

func names(entries []Entry) []string {
	var list []string
	for _, e := range entries {
		list = append(list, e.Name)
	}
	return list
}

// sound verifies a registry, which must pass.
func sound(t testing.TB, r *Registry) *Verification {
	t.Helper()
	v, err := r.Verify(context.Background(), nil)
	if err != nil {
		t.Fatal(err)
	}
	if !v.Sound() {
		t.Fatalf("not sound: %+v", v.Problems)
	}
	return v
}

// isKind checks that an error is of a kind and ends in a remedy.
func isKind(t testing.TB, err error, kind Kind) {
	t.Helper()
	var e *Error
	if !errors.Is(err, kind) || !errors.As(err, &e) || e.Remedy == "" || !strings.HasSuffix(err.Error(), e.Remedy) {
		t.Errorf("got %v, want one of kind %s with a remedy", err, kind)
	}
}

// many is an invented table of n assays with some containers each. Tables of
// different seeds have different assays.
func many(n, containers, seed int) *tables.Table {
	start := bioassay.Date{Year: 2031, Month: time.April, Day: 1}
	t := &tables.Table{Assays: make([]bioassay.Assay, n)}
	for i := range t.Assays {
		a := &t.Assays[i]
		*a = bioassay.Assay{
			Name: fmt.Sprintf("lab%d-%06d", seed, i), Apiary: fmt.Sprintf("N%d", i%1000), CollectedOn: start, TestedOn: start,
			Acaricide: []string{"amitraz", "coumaphos", "tau-fluvalinate"}[i%3], Protocol: "vial", Unit: "ug/mL",
			ExposureHours: bioassay.Known(24), ReadingHours: bioassay.Known(24), Containers: make([]bioassay.Container, containers),
		}
		a.CollectedOn.Day += i % 28
		for j := range a.Containers {
			concentration := float64(j/4) * 0.5
			a.Containers[j] = bioassay.Container{
				Label: fmt.Sprintf("v%d", j+1), Concentration: concentration, ConcentrationText: fmt.Sprint(concentration),
				Exposed: 10 + (i+j)%5, Dead: (i * j) % 9, MiteSource: "brood", TestedBlind: bioassay.Yes,
				Source: bioassay.Origin{File: "many.csv", Line: 2 + i*containers + j},
			}
		}
	}
	return t
}

func sourceOfMany(n, seed int) Source {
	return SourceOf("many.csv", fmt.Appendf(nil, "%d assays of seed %d", n, seed))
}
