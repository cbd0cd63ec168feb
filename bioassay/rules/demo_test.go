package rules

import (
	"bytes"
	"slices"
	"testing"

	"vialwise/bioassay"
	"vialwise/bioassay/demo"
	"vialwise/bioassay/tables"
)

// demoFaults are the assays of the invented demo data with a story that a rule
// must see, and the gravest findings on them.
var demoFaults = map[string][]bioassay.WarningCode{
	"A02-amitraz-2031-autumn":         {bioassay.ControlsFailed},
	"A02-coumaphos-2031-spring":       {bioassay.FewPartials, bioassay.OneSided},
	"A03-tau-fluvalinate-2032-autumn": {bioassay.OneSided},
	"A04-tau-fluvalinate-2032-autumn": {bioassay.FewPartials, bioassay.OneSided},
	"A05-coumaphos-2032-spring":       {bioassay.FewPartials},
	"A06-coumaphos-2032-autumn":       {bioassay.FewControls, bioassay.FewMites, bioassay.FewAtDose},
}

// TestDemoVerdicts judges the demo assays by the built-in rules: the only one
// discarded is the one that was drawn with failed controls, and an assay without
// a story raises no doubt beyond a reader who was not blind.
func TestDemoVerdicts(t *testing.T) {
	table, err := tables.Read("counts.csv", bytes.NewReader(demo.Counts()))
	if err != nil {
		t.Fatal(err)
	}
	p := Builtin()
	var seen bioassay.Duplicates
	for _, a := range table.Assays {
		v := p.Judge(a, nil, seen.Add(a)...)
		var grave []bioassay.WarningCode
		for _, f := range v.Findings {
			if f.Severity != bioassay.Note && f.Code != bioassay.NotBlind {
				grave = append(grave, f.Code)
			}
		}
		if !slices.Equal(grave, demoFaults[a.Name]) {
			t.Errorf("%s: %v, want %v", a.Name, grave, demoFaults[a.Name])
		}
		if v.Usable != !slices.Contains(demoFaults[a.Name], bioassay.ControlsFailed) {
			t.Errorf("%s: usable %v", a.Name, v.Usable)
		}
	}
}

// BenchmarkJudge shows what judging adds to the reading of a table.
func BenchmarkJudge(b *testing.B) {
	table, err := tables.Read("counts.csv", bytes.NewReader(demo.Counts()))
	if err != nil {
		b.Fatal(err)
	}
	p := Builtin()
	rows := 0
	for b.Loop() {
		var seen bioassay.Duplicates
		for _, a := range table.Assays {
			p.Judge(a, nil, seen.Add(a)...)
			rows += len(a.Containers)
		}
	}
	b.ReportMetric(float64(rows)/b.Elapsed().Seconds(), "rows/s")
}
