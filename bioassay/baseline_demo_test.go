package bioassay_test

import (
	"bytes"
	"encoding/csv"
	"strconv"
	"strings"
	"testing"

	"vialwise/bioassay"
	"vialwise/bioassay/demo"
	"vialwise/bioassay/tables"
)

// demoBaselines are the baseline assays of the demo, invented, with the LC50
// that each was drawn from.
func demoBaselines(t *testing.T) (assays []bioassay.Assay, lc50 map[string]float64) {
	t.Helper()
	table, err := tables.Read("counts.csv", bytes.NewReader(demo.Counts()))
	if err != nil {
		t.Fatal(err)
	}
	for _, a := range table.Assays {
		if a.Role == bioassay.RoleBaseline {
			assays = append(assays, a)
		}
	}
	truth, err := csv.NewReader(bytes.NewReader(demo.Truth())).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	assayColumn, doseColumn := -1, -1
	for i, name := range truth[0] {
		switch strings.ToLower(name) {
		case "assay":
			assayColumn = i
		case "lc50":
			doseColumn = i
		}
	}
	lc50 = map[string]float64{}
	for _, row := range truth[1:] {
		if lc50[row[assayColumn]], err = strconv.ParseFloat(row[doseColumn], 64); err != nil {
			t.Fatal(err)
		}
	}
	return assays, lc50
}

// TestDemoBaselines: each is built by itself and holds the LC50 that its counts
// were drawn from within a factor of 1.4, together they are refused.
func TestDemoBaselines(t *testing.T) {
	assays, truth := demoBaselines(t)
	if len(assays) != 15 {
		t.Fatalf("%d baseline assays, want 15", len(assays))
	}
	held := 0
	for _, a := range assays {
		b, err := bioassay.BuildBaseline(a.Acaricide, []bioassay.Assay{a}, bioassay.BaselineOptions{})
		if err != nil {
			t.Fatal(err)
		}
		lc, ok := b.At(50)
		want := truth[a.Name]
		if !ok || lc.Estimate() < want/1.4 || lc.Estimate() > want*1.4 {
			t.Errorf("%s: LC50 %+v, drawn from %g", a.Name, lc, want)
		}
		if lc.Lower < want && want < lc.Upper {
			held++
		}
		if b.Acaricide != a.Acaricide || b.Unit != "ug/vial" || b.Protocol != a.Protocol || b.ExposureHours != a.ExposureHours {
			t.Errorf("%s: %q, %q, %q", a.Name, b.Acaricide, b.Unit, b.Protocol)
		}
		if m := bioassay.Mismatches(b.Example(), a); len(m) > 0 {
			t.Errorf("%s differs from its own baseline: %v", a.Name, m)
		}
	}
	if held < 12 {
		t.Errorf("95 %% limits hold the truth in %d of 15 baselines", held)
	}
	_, err := bioassay.BuildBaseline("all", assays, bioassay.BaselineOptions{})
	if err == nil || !strings.Contains(err.Error(), "acaricide") {
		t.Errorf("baselines of three acaricides together: %v", err)
	}
}

// BenchmarkBuildBaseline builds the demo's baseline of amitraz.
func BenchmarkBuildBaseline(b *testing.B) {
	table, err := tables.Read("counts.csv", bytes.NewReader(demo.Counts()))
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := bioassay.BuildBaseline("amitraz", table.Assays[:1], bioassay.BaselineOptions{}); err != nil {
			b.Fatal(err)
		}
	}
}
