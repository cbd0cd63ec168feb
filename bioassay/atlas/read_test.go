package atlas

import (
	"bytes"
	"reflect"
	"strings"
	"testing"

	"vialwise/bioassay"
	"vialwise/bioassay/geo"
)

// written is the text of an edition with two areas.
func written(t testing.TB, calendar bioassay.Calendar) string {
	t.Helper()
	v := plain(at(0, 0, 4), at(8, 0, 3))
	v.calendar = calendar
	a, _, err := New(v.tracking(), worldComparers, v.apiaries(), Options{})
	if err != nil {
		t.Fatal(err)
	}
	var text bytes.Buffer
	if err := a.FeatureCollection("invented").Write(&text); err != nil {
		t.Fatal(err)
	}
	return text.String()
}

func read(text string) (*Edition, error) {
	c, _, err := geo.Read("edition.geojson", strings.NewReader(text))
	if err != nil {
		return nil, err
	}
	return ReadEdition(c, worldBands)
}

// TestEditionRoundTrip: an edition that is read and taken over makes the same text.
func TestEditionRoundTrip(t *testing.T) {
	for _, calendar := range []bioassay.Calendar{
		{}, {Hemisphere: bioassay.South},
		{Starts: []bioassay.SeasonStart{{Name: "early spring", Month: 2, Day: 15}, {Name: "spring", Month: 4, Day: 1}}},
	} {
		text := written(t, calendar)
		e, err := read(text)
		if err != nil {
			t.Fatal(err)
		}
		if !sameSeasons(e.Calendar, calendar) {
			t.Errorf("calendar %+v, want %+v", e.Calendar, calendar)
		}
		v := village{calendar: calendar}
		a, _, err := New(v.tracking(), worldComparers, nil, Options{Previous: e})
		if err != nil {
			t.Fatal(err)
		}
		var again bytes.Buffer
		if err := a.FeatureCollection("invented").Write(&again); err != nil {
			t.Fatal(err)
		}
		if again.String() != text {
			t.Errorf("taken over, an edition reads\n%s\nwant\n%s", &again, text)
		}
		if a.Kept != 2 || a.Redrawn {
			t.Errorf("%d values kept, redrawn %v; want 2 and not", a.Kept, a.Redrawn)
		}
	}
}

// TestReadRefuses spoils an edition in one place each.
func TestReadRefuses(t *testing.T) {
	text := written(t, bioassay.Calendar{})
	for _, c := range []struct{ old, new, want string }{
		{`"side_km":10`, `"square":10`, "side_km"},
		{`"fewest_apiaries":3`, `"fewest_apiaries":2`, "fewest_apiaries"},
		{`"largest_level":3`, `"largest_level":2.5`, "largest_level"},
		{`"largest_level":3`, `"largest_level":99`, "largest_level"},
		{`"centre_latitude":`, `"centre_latitude":1`, "centre_latitude"},
		{`"seasons_of":"north"`, `"seasons_of":"east"`, "north nor south"},
		{`"seasons_of":"north"`, `"seasons_of":[]`, "empty"},
		{`"seasons_of":"north"`, `"seasons_of":["early 02-30"]`, "02-30"},
		{`"seasons_of":"north"`, `"seasons_of":["early"]`, "early 02-15"},
		{`"seasons_of":"north"`, `"season":"north"`, "seasons_of"},
		{`"area":"L`, `"area":"M`, "feature 1"},
		{`"status":"area"`, `"status":"place"`, "neither"},
		{`"apiaries":4`, `"apiaries":2`, "feature 3"},
		{`"season_name":"spring"`, `"season_name":"harvest"`, "season_name"},
		{`"acaricide":"amitraz"`, `"acaricide":""`, "acaricide"},
		{`"share_high":0.9`, `"share_high":1.9`, "share_high"},
		{`"share_high":0.9`, `"share_highest":0.9`, "share_high"},
		{`"band":"high"`, `"band":"higher"`, "band"},
		{`"certainty":"clear"`, `"certainty":"sure"`, "certainty"},
		{`"apiaries_published":7`, `"apiaries_published":1`, "apiaries_published"},
	} {
		spoilt := strings.Replace(text, c.old, c.new, 1)
		if spoilt == text {
			t.Errorf("%s is not in the edition:\n%.3000s", c.old, text)
			continue
		}
		if _, err := read(spoilt); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", c.new, err, c.want)
		}
	}
}

// TestReadRefusesAreas: areas twice, within one another, too large, or without
// an outline.
func TestReadRefusesAreas(t *testing.T) {
	outline := func(name string) geo.Feature {
		return geo.Feature{Properties: []geo.Property{{Name: propArea, Value: name}, {Name: propStatus, Value: StatusArea}}}
	}
	c, _, err := geo.Read("edition.geojson", strings.NewReader(written(t, bioassay.Calendar{})))
	if err != nil {
		t.Fatal(err)
	}
	first := c.Features[0].Text(propArea)
	cell, err := geo.ParseCell(first)
	if err != nil {
		t.Fatal(err)
	}
	whole := c.Features
	for _, one := range []struct {
		features []geo.Feature
		want     string
	}{
		{append([]geo.Feature{outline(first)}, whole...), "twice"},
		{append([]geo.Feature{outline(cell.Parent().String())}, whole...), "lies in"},
		{append([]geo.Feature{outline("L4C30R30")}, whole...), "larger"},
		{whole[1:], "no area"},
		{append(whole[len(whole)-1:], whole...), "second value"},
	} {
		spoilt := *c
		spoilt.Features = one.features
		if _, err := ReadEdition(&spoilt, worldBands); err == nil || !strings.Contains(err.Error(), one.want) {
			t.Errorf("%v, want %q", err, one.want)
		}
	}
	if e, err := ReadEdition(c, worldBands); err != nil || !reflect.DeepEqual(e.K, LeastK) {
		t.Errorf("whole, it is refused: %v", err)
	}
}

// FuzzReadEdition: whatever is read either fails or can be taken over.
func FuzzReadEdition(f *testing.F) {
	f.Add(written(f, bioassay.Calendar{}))
	f.Add(`{"type":"FeatureCollection","features":[]}`)
	f.Fuzz(func(t *testing.T, text string) {
		e, err := read(text)
		if err != nil {
			return
		}
		v := village{calendar: e.Calendar}
		a, _, err := New(v.tracking(), worldComparers, nil, Options{Previous: e})
		if err != nil {
			return // such as a side that no grid has
		}
		a.FeatureCollection("")
	})
}
