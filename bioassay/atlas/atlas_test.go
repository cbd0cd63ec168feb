package atlas

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"vialwise/bioassay"
	"vialwise/bioassay/geo"
	"vialwise/bioassay/track"
)

// village is an invented programme of apiaries at the middle of squares, all with
// the same result in the same seasons.
type village struct {
	cells    []geo.Cell
	seasons  []bioassay.Season
	baseline []int // of each apiary; nil for 0
	bounds   int   // the first so many have no estimate
	bands    []float64
	calendar bioassay.Calendar
}

func (v village) code(i int) string { return fmt.Sprintf("QZ%03d", i) }

func (v village) apiaries() (out []bioassay.Apiary) {
	for i, c := range v.cells {
		at := middle(c)
		at.Lon, at.Lat = at.Lon+0.0113+float64(i)*1e-3, at.Lat+0.0071+float64(i)*1e-3 // of its own
		out = append(out, bioassay.Apiary{
			Code: v.code(i), Region: "Quarrymoor", ContactCode: "KEEPER-" + v.code(i),
			Latitude: bioassay.Known(at.Lat), Longitude: bioassay.Known(at.Lon),
		})
	}
	return out
}

func (v village) tracking() *track.Tracking {
	base := track.Reference{Baseline: worldBase}
	t := &track.Tracking{Level: 0.95, Calendar: v.calendar, Bands: worldBands, Baselines: []track.Reference{base, {Baseline: worldBase, Version: 2}}}
	for i := range v.cells {
		s := track.Series{Apiary: v.code(i), Acaricide: "amitraz", Region: "Quarrymoor"}
		if v.baseline != nil {
			s.Baseline = v.baseline[i]
		}
		for _, season := range v.seasons {
			one := track.Season{Season: season, Log: 0.3, LogSE: noise, Bands: v.bands, Mites: 60}
			if i < v.bounds {
				one.Log, one.LogSE = math.NaN(), math.NaN()
			}
			s.Seasons = append(s.Seasons, one)
		}
		t.Series = append(t.Series, s)
	}
	return t
}

func (v village) atlas(t *testing.T, o Options) (*Atlas, []bioassay.Warning) {
	t.Helper()
	a, warnings, err := New(v.tracking(), worldComparers, v.apiaries(), o)
	if err != nil {
		t.Fatal(err)
	}
	return a, warnings
}

// at returns n apiaries in one square of level 0.
func at(column, row, n int) []geo.Cell {
	return slices.Repeat([]geo.Cell{{Column: column, Row: row}}, n)
}

var surely = []float64{0.9, 0.1}

func plain(cells ...[]geo.Cell) village {
	return village{cells: slices.Concat(cells...), seasons: worldSeasons[:1], bands: surely}
}

// TestNoPlaceForAnApiary lists everything an Atlas can hold. A field that is added
// must be thought about, and then be added here.
func TestNoPlaceForAnApiary(t *testing.T) {
	want := []string{
		"Areas.Column int", "Areas.Level int", "Areas.Row int", // of squares that hold k apiaries
		"Bands string", "From float64",
		"Calendar.Hemisphere uint8", "Calendar.Starts.Day int", "Calendar.Starts.Month int", "Calendar.Starts.Name string",
		"Grid.Projection *geo.Projection", "Grid.Side float64", "K int", "Kept int",
		"Layers.Acaricide string", "Layers.Baseline string", "Layers.Name string", "Layers.Spent int",
		"Layers.Values.Apiaries int", "Layers.Values.Area int", "Layers.Values.Band int", "Layers.Values.Certainty uint8", "Layers.Values.Mites int",
		"Layers.Values.Ratio.Estimate float64", "Layers.Values.Ratio.Lower float64", "Layers.Values.Ratio.Upper float64", "Layers.Values.Shares float64",
		"Level float64", "Redrawn bool", "Rule string", "Seasons.Name string", "Seasons.Year int", "Top int",
	}
	got := leaves(reflect.TypeFor[Atlas](), "")
	slices.Sort(got)
	slices.Sort(want)
	if !slices.Equal(got, want) {
		t.Errorf("an atlas holds\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

func leaves(t reflect.Type, path string) (out []string) {
	switch t.Kind() {
	case reflect.Slice, reflect.Array:
		return leaves(t.Elem(), path)
	case reflect.Struct:
		for i := range t.NumField() {
			out = append(out, leaves(t.Field(i).Type, strings.TrimPrefix(path+"."+t.Field(i).Name, "."))...)
		}
		return out
	case reflect.Pointer:
		return []string{path + " " + t.String()}
	}
	return []string{path + " " + t.Kind().String()}
}

// TestBytesNameNobody looks for codes, contacts, regions and coordinates in what is
// published.
func TestBytesNameNobody(t *testing.T) {
	v := plain(at(0, 0, 4), at(3, 2, 3), at(9, 9, 1))
	a, _ := v.atlas(t, Options{})
	var text bytes.Buffer
	if err := a.FeatureCollection("areas").Write(&text); err != nil {
		t.Fatal(err)
	}
	for _, p := range v.apiaries() {
		for _, secret := range []string{p.Code, p.ContactCode, p.Region, fmt.Sprintf("%.3f", p.Latitude.Value), fmt.Sprintf("%.3f", p.Longitude.Value)} {
			if strings.Contains(text.String(), secret) {
				t.Errorf("%q is in the artefact", secret)
			}
		}
	}
	again, _ := v.atlas(t, Options{})
	var same bytes.Buffer
	if err := again.FeatureCollection("areas").Write(&same); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(text.Bytes(), same.Bytes()) {
		t.Error("the same programme gives other bytes")
	}
}

// TestValues: who is counted, and what an area with too few looks like.
func TestValues(t *testing.T) {
	v := plain(at(0, 0, 4), at(8, 0, 3), at(-8, 0, 2), at(0, -16, 1))
	a, warnings := v.atlas(t, Options{Previous: blank()})
	if len(warnings) > 0 {
		t.Error(warnings)
	}
	values := a.Layers[0].Values[0]
	if len(a.Areas) != 2 || len(values) != 2 {
		t.Fatalf("%d areas, %d values, want two of each", len(a.Areas), len(values))
	}
	four, three := values[0], values[1]
	if four.Apiaries != 4 || four.Mites != 240 || four.Shares[0] != 0.9 || four.Band != 0 || !(four.Ratio.Lower < four.Ratio.Estimate && four.Ratio.Estimate < four.Ratio.Upper) || four.Certainty != Clear {
		t.Errorf("four apiaries: %+v", four)
	}
	if three.Apiaries != 3 || !math.IsNaN(three.Ratio.Lower+three.Ratio.Upper) || !(three.Ratio.Estimate > 0) || three.Certainty != Likely {
		t.Errorf("three apiaries: %+v, want no limits", three)
	}
	if total := a.Total(0, 0); total.Apiaries != 7 || total.Mites != 420 || total.Areas != 2 || math.Abs(total.Shares[0]-0.9) > 1e-12 {
		t.Errorf("total %+v is not that of the shown areas", total)
	}
}

// TestTooFewEstimates: a ratio of fewer than k estimates is not shown.
func TestTooFewEstimates(t *testing.T) {
	for bounds, shown := range []bool{true, true, false} {
		v := plain(at(0, 0, 4))
		v.bounds = bounds
		a, _ := v.atlas(t, Options{})
		value := a.Layers[0].Values[0][0]
		if value.Apiaries != 4 || !math.IsNaN(value.Ratio.Estimate) != shown {
			t.Errorf("%d of 4 without an estimate: %+v", bounds, value)
		}
	}
}

// TestMeanIsThePooledOne: the mean ratio of an area is that of a region.
func TestMeanIsThePooledOne(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for n := 3; n < 12; n++ {
		var y, v []float64
		for range n {
			se := 0.05 + 0.2*r.Float64()
			y, v = append(y, r.NormFloat64()/4), append(v, se*se)
		}
		got, want := meanRatio(y, v, worldComparer, 0.9), track.Pool(y, v, worldComparer, 0.9).Ratio
		if got != want {
			t.Errorf("of %d: %+v, want %+v", n, got, want)
		}
	}
}

// TestPublishedStands: what was published changes only when k results more than all
// that were published of the season have come in.
func TestPublishedStands(t *testing.T) {
	first, _ := plain(at(0, 0, 4), at(8, 0, 3)).atlas(t, Options{Previous: blank()})
	e := throughText(t, first) // 7 apiaries are spent
	for _, c := range []struct {
		now       []geo.Cell
		apiaries  []int // shown
		held      int
		mostSpent int
	}{
		{slices.Concat(at(0, 0, 4), at(8, 0, 3)), []int{4, 3}, 0, 7},
		{slices.Concat(at(0, 0, 5), at(8, 0, 3)), []int{4, 3}, 1, 7},
		{slices.Concat(at(0, 0, 9), at(8, 0, 9)), []int{4, 3}, 11, 7},
		{slices.Concat(at(0, 0, 10), at(8, 0, 3)), []int{10, 3}, 0, 17},
		{slices.Concat(at(8, 0, 1)), []int{4, 3}, 0, 7},
		{slices.Concat(at(0, 0, 4), at(8, 0, 3), at(-8, 0, 9)), []int{4, 3}, 9, 7}, // a new area, in a season that is out
		{slices.Concat(at(0, 0, 4), at(8, 0, 3), at(-8, 0, 10)), []int{10, 4, 3}, 0, 17},
	} {
		v := plain(c.now)
		v.bands = []float64{0.2, 0.8}
		a, warnings := v.atlas(t, Options{Previous: e})
		var got []int
		for _, value := range a.Layers[0].Values[0] {
			got = append(got, value.Apiaries)
			if standing := value.Apiaries < 10; standing != (value.Shares[0] == 0.9) {
				t.Errorf("%d apiaries now: %+v", len(c.now), value)
			}
		}
		held := 0
		if len(warnings) > 0 {
			fmt.Sscan(warnings[0].Message, &held)
		}
		if !slices.Equal(got, c.apiaries) || a.Layers[0].Spent[0] != c.mostSpent || held != c.held {
			t.Errorf("%d apiaries now: shown %v, %d spent, %d held back; want %v, %d and %d", len(c.now), got, a.Layers[0].Spent[0], held, c.apiaries, c.mostSpent, c.held)
		}
	}
}

// TestOtherBaseline: a season that was published is not published again against
// another baseline, and keeps the words of its own.
func TestOtherBaseline(t *testing.T) {
	v := plain(at(0, 0, 4))
	first, _ := v.atlas(t, Options{Previous: blank()})
	v = plain(at(0, 0, 5))
	v.baseline = []int{1, 1, 1, 1, 1}
	v.seasons = worldSeasons[:2]
	a, _ := v.atlas(t, Options{Previous: throughText(t, first)})
	var got []string
	for _, l := range a.Layers {
		for s, values := range l.Values {
			for _, value := range values {
				got = append(got, fmt.Sprintf("%s in %v: %d", l.Name, a.Seasons[s], value.Apiaries))
			}
		}
	}
	want := []string{"amitraz (baseline of 1 assay) in 2031-spring: 4", "amitraz (baseline of 1 assay, version 2) in 2031-autumn: 5"}
	if !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}

// TestRefusals: options that would undo an earlier edition, and what is no edition.
func TestRefusals(t *testing.T) {
	v := plain(at(0, 0, 4))
	five := blank()
	five.K = 5
	own := v
	own.calendar = bioassay.Calendar{Starts: []bioassay.SeasonStart{{Name: "spring", Month: 2, Day: 15}, {Name: "autumn", Month: 8, Day: 1}}}
	far := plain(at(0, 0, 4), at(900, 0, 1))
	beyond := blank()
	beyond.Areas = []geo.Cell{{Column: 99999}}
	bandless := v.tracking()
	bandless.Bands = nil
	for _, c := range []struct {
		t        *track.Tracking
		apiaries []bioassay.Apiary
		o        Options
		want     string
	}{
		{v.tracking(), v.apiaries(), Options{K: 2}, "at least 3"},
		{v.tracking(), v.apiaries(), Options{K: 4, Previous: five}, "at least 5"},
		{v.tracking(), v.apiaries(), Options{Side: 20, Previous: blank()}, "squares of 10 km"},
		{own.tracking(), v.apiaries(), Options{Previous: blank()}, "the four of the north"},
		{far.tracking(), far.apiaries(), Options{Previous: blank()}, `"QZ004"`},
		{v.tracking(), nil, Options{}, "latitude and longitude"},
		{v.tracking(), v.apiaries(), Options{Side: 0.1}, "side"},
		{v.tracking(), v.apiaries(), Options{Previous: beyond}, "beyond the globe"},
		{bandless, v.apiaries(), Options{}, "--bands"},
	} {
		_, _, err := New(c.t, worldComparers, c.apiaries, c.o)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%+v: %v, want %q", c.o, err, c.want)
		}
	}
	a, _ := v.atlas(t, Options{Previous: five}) // k of the edition, without being asked
	if a.K != 5 || len(a.Areas) != 0 {
		t.Errorf("k %d and areas %v, want 5 and none", a.K, a.Areas)
	}
}

// TestCentreIgnoresTheLone: apiaries that stand by themselves do not move the grid.
func TestCentreIgnoresTheLone(t *testing.T) {
	near := plain(at(0, 0, 3), at(4, 4, 5))
	lone := plain(near.cells, at(70, -30, 1), at(0, 90, 2))
	a, _ := near.atlas(t, Options{})
	b, _ := lone.atlas(t, Options{})
	if x, y := a.Grid.Projection.Centre(), b.Grid.Projection.Centre(); x != y {
		t.Errorf("the centre moves from %v to %v", x, y)
	}
	c, _ := plain(near.cells, at(70, -30, 3)).atlas(t, Options{})
	if a.Grid.Projection.Centre() == c.Grid.Projection.Centre() {
		t.Error("three together do not move the centre, so the test shows nothing")
	}
}

// TestWorldsAreVaried: the editions that are attacked show values, keep some,
// publish some a second time and hold results back.
func TestWorldsAreVaried(t *testing.T) {
	var shown, kept, again, held, ratios int
	for seed := range 300 {
		w := draw(rand.New(rand.NewPCG(uint64(seed), 31)))
		last := blank()
		for edition := range editions {
			a, warnings, err := New(w.tracking(edition), worldComparers, w.apiaries(edition), Options{Previous: last})
			if err != nil {
				t.Fatal(err)
			}
			e := throughText(t, a)
			for key, values := range e.values {
				for cell, v := range values {
					shown++
					if was, ok := last.of(key.against, key.season)[cell]; ok && !same(was, v) {
						again++
					}
					if !math.IsNaN(v.Ratio.Estimate) {
						ratios++
					}
				}
			}
			kept += a.Kept
			for _, warning := range warnings {
				if warning.Code == HeldBack {
					held++
				}
			}
			last = e
		}
	}
	t.Logf("%d values, %d with a ratio, %d kept, %d a second time, %d editions with results held back", shown, ratios, kept, again, held)
	if shown < 1000 || ratios < 500 || kept < 300 || again < 8 || held < 100 {
		t.Error("too little happens in the worlds for the attack to mean anything")
	}
}
