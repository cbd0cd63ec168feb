package demo

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"vialwise/bioassay"
	"vialwise/bioassay/demo/internal/shore"
	"vialwise/bioassay/rules"
	"vialwise/bioassay/tables"
)

func readProgrammeApiaries(t *testing.T) map[string]bioassay.Apiary {
	t.Helper()
	table, err := tables.ReadApiaries("programme-apiaries.csv", bytes.NewReader(ProgrammeApiaries()))
	if err != nil || len(table.Warnings) > 0 {
		t.Fatalf("%v, warnings %v", err, table.Warnings)
	}
	apiaries := map[string]bioassay.Apiary{}
	for _, a := range table.Apiaries {
		apiaries[a.Code] = a
	}
	return apiaries
}

// The programme holds the apiaries of the first data set, one apiary without a
// region and one without a position; the others lie where the land has their
// region.
func TestProgrammeApiariesLieInTheirRegions(t *testing.T) {
	if !bytes.HasPrefix(ProgrammeApiaries(), Apiaries()) {
		t.Error("the ten apiaries of the first data set do not come first, as they are there")
	}
	land, regions, contacts := shore.Draw(), map[string]int{}, map[string]bool{}
	for code, a := range readProgrammeApiaries(t) {
		regions[a.Region]++
		contacts[a.ContactCode] = true
		if !strings.HasPrefix(a.ContactCode, "invented") {
			t.Errorf("%s: contact %q", code, a.ContactCode)
		}
		in := land.Region(shore.Point{Longitude: a.Longitude.Value, Latitude: a.Latitude.Value})
		switch {
		case !a.Located():
			regions["nowhere"]++
		case a.Region == "" && in == "" || a.Region != "" && in != a.Region:
			t.Errorf("%s of %q lies in %q", code, a.Region, in)
		}
	}
	if regions["nowhere"] != 1 || regions[""] != 1 || regions["Yrdemoor"] != 18 || regions["Cormavelle"] != 24 || regions["Saskellan"] != 17 {
		t.Errorf("apiaries by region: %v", regions)
	}
	if len(contacts) != 60 {
		t.Errorf("%d contacts of 60 apiaries", len(contacts))
	}
}

// The land of the published file holds every apiary, read without the program
// that drew it.
func TestCoastHoldsEveryApiary(t *testing.T) {
	var file struct {
		Features []struct {
			Properties struct{ Kind string }
			Geometry   struct{ Coordinates json.RawMessage }
		}
	}
	if err := json.Unmarshal(Coast(), &file); err != nil {
		t.Fatal(err)
	}
	var land []shore.Ring
	for _, f := range file.Features {
		if f.Properties.Kind != "land" {
			continue
		}
		var rings [][][2]float64
		if err := json.Unmarshal(f.Geometry.Coordinates, &rings); err != nil {
			t.Fatal(err)
		}
		var outline shore.Ring
		for _, p := range rings[0][1:] {
			outline = append(outline, shore.Point{Longitude: p[0], Latitude: p[1]})
			if p[1] < 39 || p[1] > 42 || p[0] < -47 || p[0] > -43 { // the open sea, see TestApiariesStandInTheOpenSea
				t.Fatalf("land at %v", p)
			}
		}
		land = append(land, outline)
	}
	for code, a := range readProgrammeApiaries(t) {
		p := shore.Point{Longitude: a.Longitude.Value, Latitude: a.Latitude.Value}
		on := slices.ContainsFunc(land, func(r shore.Ring) bool { return r.Contains(p) })
		if a.Located() != on {
			t.Errorf("%s at %v: on land %v", code, p, on)
		}
	}
}

// Every assay has a truth that agrees with it, and says that it was invented.
func TestProgrammeAgreesWithItsTruth(t *testing.T) {
	truths, apiaries, assays := readTruths(t, ProgrammeTruth()), readProgrammeApiaries(t), readTable(t, ProgrammeCounts())
	if len(truths) != len(assays) || len(assays) < 400 {
		t.Errorf("%d truths of %d assays, want 400 or more", len(truths), len(assays))
	}
	population := map[string]string{}
	for _, a := range assays {
		truth := truths[a.Name]
		if season := bioassay.SeasonOf(a.CollectedOn, bioassay.North).String(); season != truth.season {
			t.Errorf("%s: collected in %s, stated season %q", a.Name, season, truth.season)
		}
		if a.TestedOn.Compare(a.CollectedOn) < 0 {
			t.Errorf("%s: tested before collected", a.Name)
		}
		if a.Apiary != truth.apiary || a.Acaricide != truth.acaricide || !strings.HasPrefix(truth.story, "invented: ") {
			t.Errorf("%s of %s: the truth is about %+v", a.Name, a.Apiary, truth)
		}
		for _, c := range a.Containers {
			if c.Note != "invented data" {
				t.Errorf("%s %s: note %q", a.Name, c.Label, c.Note)
			}
		}
		_, known := apiaries[a.Apiary]
		if baseline := a.Role == bioassay.RoleBaseline; baseline == known || baseline != (a.Population == "reference colonies") {
			t.Errorf("%s: role %v, apiary %q, population %q", a.Name, a.Role, a.Apiary, a.Population)
		}
		if before := population[a.Apiary]; before != "" && before != a.Population {
			t.Errorf("%s is called %q and %q", a.Apiary, before, a.Population)
		}
		population[a.Apiary] = a.Population
	}
}

// The table of apiaries is larger than what was tested, and the series have
// gaps: maps must suppress something, and trends must do with little.
func TestProgrammeHasGaps(t *testing.T) {
	type series struct{ apiary, acaricide string }
	seasons, untested := map[series]map[string]bool{}, readProgrammeApiaries(t)
	single, repeated := 0, 0
	for _, truth := range readTruths(t, ProgrammeTruth()) {
		s := series{truth.apiary, truth.acaricide}
		if s.apiary == "" {
			continue
		}
		if seasons[s] == nil {
			seasons[s] = map[string]bool{}
		}
		if seasons[s][truth.season] {
			repeated++
		}
		seasons[s][truth.season] = true
		delete(untested, s.apiary)
		if strings.Contains(truth.story, "single discriminating concentration") {
			single++
		}
	}
	long, short := 0, 0
	for _, s := range seasons {
		if len(s) >= 4 { // enough for a trend
			long++
		} else {
			short++
		}
	}
	for _, code := range []string{"B17", "B34", "B44", "B60"} { // never tested by design, others by chance
		if _, ok := untested[code]; !ok {
			t.Errorf("%s was tested", code)
		}
	}
	if len(untested) > 8 || long < 60 || short < 25 || single != 4*6 || repeated != 3 {
		t.Errorf("%d apiaries untested, %d long and %d short series, %d assays of one concentration, %d repeated", len(untested), long, short, single, repeated)
	}
}

// TestProgrammeVerdicts judges the programme by the built-in rules: one assay
// is discarded, the one drawn with failed controls.
func TestProgrammeVerdicts(t *testing.T) {
	p := rules.Builtin()
	var seen bioassay.Duplicates
	var discarded []string
	for _, a := range readTable(t, ProgrammeCounts()) {
		if v := p.Judge(a, nil, seen.Add(a)...); !v.Usable {
			discarded = append(discarded, a.Name)
		}
	}
	truths := readTruths(t, ProgrammeTruth())
	if len(discarded) != 1 || !strings.Contains(truths[discarded[0]].story, "failed controls") {
		t.Errorf("discarded %v", discarded)
	}
}

// No assay of the programme bears the name of one of the first data set, so
// that both can be in one registry.
func TestDataSetsShareNoAssay(t *testing.T) {
	first := readTruth(t)
	rows, err := csv.NewReader(bytes.NewReader(ProgrammeTruth())).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows[1:] {
		if _, both := first[row[0]]; both {
			t.Errorf("%s is in both", row[0])
		}
	}
}
