package render

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"vialwise/bioassay"
	"vialwise/bioassay/demo"
	"vialwise/bioassay/tables"
	"vialwise/bioassay/track"
	"vialwise/doseresp"
)

// demoTracks tracks the demo's programme with one baseline, of tau-fluvalinate.
func demoTracks(t testing.TB) *Tracks {
	t.Helper()
	table, err := tables.Read("programme-counts.csv", bytes.NewReader(demo.ProgrammeCounts()))
	if err != nil {
		t.Fatal(err)
	}
	places, err := tables.ReadApiaries("programme-apiaries.csv", bytes.NewReader(demo.ProgrammeApiaries()))
	if err != nil {
		t.Fatal(err)
	}
	o := bioassay.CompareOptions{
		Analysis: bioassay.AnalysisOptions{Fit: doseresp.Options{Percents: []float64{50}}},
		Bands:    &bioassay.RatioBands{Percent: 50, Bands: bioassay.RuleBands{{Name: "high", From: 10, Above: true}, {Name: "moderate", From: 5}, {Name: "low"}}},
	}
	var susceptible []bioassay.Assay
	var entries []track.Entry
	for _, a := range table.Assays {
		switch {
		case a.Role == bioassay.RoleBaseline && a.Acaricide == "tau-fluvalinate":
			susceptible = append(susceptible, a)
		case a.Role != bioassay.RoleBaseline && a.Acaricide != "coumaphos":
			entries = append(entries, track.Entry{Assay: a})
		}
	}
	base, err := bioassay.BuildBaseline("reference", susceptible, bioassay.BaselineOptions{Analysis: o.Analysis})
	if err != nil {
		t.Fatal(err)
	}
	c, err := bioassay.NewComparer(base, o)
	if err != nil {
		t.Fatal(err)
	}
	stream := func(yield func(track.Entry, error) bool) {
		for _, e := range entries {
			if !yield(e, nil) {
				return
			}
		}
	}
	k, err := track.Run(stream, []*bioassay.Comparer{c}, []track.Reference{{Baseline: base, Version: 3, Outdated: []string{"old"}}}, places.Apiaries, track.Options{Compare: o})
	if err != nil {
		t.Fatal(err)
	}
	return &Tracks{Version: "9.8.7", Options: o, Tracking: k, Registry: &RegistryState{"vialwise.sqlite", 7, strings.Repeat("0a", 32)}}
}

func trackText(t *testing.T, k *Tracks, format string) string {
	t.Helper()
	var b bytes.Buffer
	if err := WriteTracks(&b, k, format); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// TestTrackJSONFitsItsSchema validates the JSON, with the file it refers to.
func TestTrackJSONFitsItsSchema(t *testing.T) {
	s := schemas(t, "tracks.schema.json")
	k := demoTracks(t)
	k.Tracking.Calendar.Starts = []bioassay.SeasonStart{{Name: "spring", Month: 3, Day: 1}}
	text := trackText(t, k, "json")
	value, err := jsonschema.UnmarshalJSON(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Validate(value); err != nil {
		t.Error(err)
	}
	var out struct {
		Series []struct {
			Baseline string
			Version  int `json:"baseline_version"`
		}
		Regions, Lacking []any
		LeftOut          []any `json:"left_out"`
	}
	if err := json.Unmarshal([]byte(text), &out); err != nil {
		t.Fatal(err)
	}
	if len(out.Series) != len(k.Tracking.Series) || out.Series[0].Version != 3 || len(out.Regions) == 0 || len(out.LeftOut) == 0 || len(out.Lacking) == 0 {
		t.Errorf("%d series, %+v, %d regions, %d left out, %d lacking", len(out.Series), out.Series[0], len(out.Regions), len(out.LeftOut), len(out.Lacking))
	}
}

// TestTrackTablesTell looks for the words that a reader must find.
func TestTrackTablesTell(t *testing.T) {
	k := demoTracks(t)
	text := trackText(t, k, "text")
	for _, want := range []string{
		"reference, version 3", "too few seasons", "rising", "Apiaries that need a test", "Assays in no series",
		"Trend of the mean resistance ratio, by region", "RR50 pooled (95 %)", "% above 5 (95 %)", "meteorological ones of the northern hemisphere", laboratoryCaution,
	} {
		if !strings.Contains(strings.Join(strings.Fields(text), " "), want) {
			t.Errorf("the tables lack %q", want)
		}
	}
	if strings.Contains(text, "NaN") || strings.Contains(text, "Inf") {
		t.Error("a number that does not exist was written")
	}
	if again := trackText(t, demoTracks(t), "text"); again != text {
		t.Error("the same counts gave other bytes")
	}
	empty := &Tracks{Tracking: &track.Tracking{}}
	if got := trackText(t, empty, "text"); !strings.Contains(got, "Nothing to track") {
		t.Errorf("of nothing: %q", got)
	}
}

// TestTrackCSVHoldsTheSeasons compares the rows with the tracking.
func TestTrackCSVHoldsTheSeasons(t *testing.T) {
	k := demoTracks(t)
	rows, err := csv.NewReader(strings.NewReader(trackText(t, k, "csv"))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	want := 1
	for _, s := range k.Tracking.Series {
		want += len(s.Seasons)
	}
	if len(rows) != want {
		t.Fatalf("%d rows, want %d", len(rows), want)
	}
	at := func(name string) int {
		i := slices.Index(rows[0], name)
		if i < 0 {
			t.Fatalf("no column %s in %v", name, rows[0])
		}
		return i
	}
	first := k.Tracking.Series[0].Seasons[0]
	if rows[1][at("ratio")] != full(first.Ratio.Estimate) || rows[1][at("p_low")] != full(first.Bands[2]) || rows[1][at("baseline_version")] != "3" {
		t.Errorf("%v", rows[1])
	}
}

// TestTrackBook opens what was written as a workbook.
func TestTrackBook(t *testing.T) {
	var b bytes.Buffer
	if err := WriteTracksBook(&b, demoTracks(t)); err != nil {
		t.Fatal(err)
	}
	if !bytes.HasPrefix(b.Bytes(), []byte("PK")) || b.Len() < 20_000 {
		t.Errorf("%d bytes", b.Len())
	}
}

// TestIntervalCell: limits that do not exist are not made up.
func TestIntervalCell(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, k := range []struct {
		i    bioassay.Interval
		c    doseresp.Censoring
		want string
	}{
		{bioassay.Interval{Estimate: 2, Lower: 1, Upper: 4}, 0, "2.00 (1.00–4.00)"},
		{bioassay.Interval{Estimate: 2, Lower: 0, Upper: inf}, 0, "2.00"},
		{bioassay.Interval{Estimate: 2, Lower: 1, Upper: inf}, doseresp.CensoredLow, "> 2.00 (1.00–∞)"},
		{bioassay.Interval{Estimate: 2, Lower: 0, Upper: 3}, doseresp.CensoredHigh, "< 2.00 (0–3.00)"},
		{bioassay.Interval{Estimate: nan, Lower: nan, Upper: nan}, 0, "–"},
		{bioassay.Interval{Estimate: nan, Lower: 1, Upper: 3}, doseresp.Unplaced, "– (1.00–3.00)"},
	} {
		if got := intervalCell(k.i, k.c, fold); got != k.want {
			t.Errorf("%+v: %q, want %q", k.i, got, k.want)
		}
	}
}

// TestBaselineWords: a baseline without a name of its own is spoken of as one, not as
// a number of assays.
func TestBaselineWords(t *testing.T) {
	for _, c := range []struct {
		reference track.Reference
		want      string
	}{
		{track.Reference{Baseline: &bioassay.Baseline{Name: "amitraz, 5 assays", Acaricide: "amitraz"}}, "the amitraz baseline, 5 assays"},
		{track.Reference{Baseline: &bioassay.Baseline{Name: "5 assays"}}, "the baseline 5 assays"},
		{track.Reference{Baseline: &bioassay.Baseline{Name: "coast", Acaricide: "amitraz"}}, "the baseline coast"},
		{track.Reference{Baseline: &bioassay.Baseline{Name: "coast", Acaricide: "amitraz"}, Version: 2}, "the baseline coast, version 2"},
	} {
		if got := ReferenceWords(c.reference); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}
