package rules

import (
	"strings"
	"testing"

	"vialwise/bioassay"
)

const settingsText = `
[calendar]
hemisphere = "south"
[[calendar.season]]
name = "early"
begins = "02-15"
[[calendar.season]]
name = "late"
begins = "10-01"

[map]
side_km = 20
doubled = 0
fewest_apiaries = 5

[note]
contact = "Ask the programme: 555-0100"
language = "es"
stale_months = 18
retest_months = 6

[authorised]
on = 2031-02-01
[[authorised.active]]
acaricide = "amitraz"
not_with_supers = true
[[authorised.active]]
acaricide = "oxalic acid"
needs_no_brood = true
temperature_from = -5
temperature_to = 15
condition = "by trickling only"
`

func TestSettings(t *testing.T) {
	p, err := Read("programme.toml", strings.NewReader(settingsText))
	if err != nil {
		t.Fatal(err)
	}
	if c := p.Calendar; c == nil || c.Hemisphere != bioassay.South || len(c.Starts) != 2 || c.Starts[1] != (bioassay.SeasonStart{Name: "late", Month: 10, Day: 1}) {
		t.Errorf("calendar %+v", p.Calendar)
	}
	if p.Map != (bioassay.MapSettings{SideKM: 20, Doubled: -1, Fewest: 5}) {
		t.Errorf("map %+v", p.Map)
	}
	if p.Note != (bioassay.NoteSettings{Contact: "Ask the programme: 555-0100", Language: "es", StaleMonths: 18, RetestMonths: 6}) {
		t.Errorf("note %+v", p.Note)
	}
	want := bioassay.AuthorisedActive{Acaricide: "oxalic acid", NeedsNoBrood: true, TemperatureFrom: bioassay.Known(-5), TemperatureTo: bioassay.Known(15), Other: "by trickling only"}
	if a := p.Authorised; a == nil || a.On.String() != "2031-02-01" || len(a.Actives) != 2 || a.Actives[1] != want || !a.Actives[0].NotWithSupers {
		t.Errorf("authorised %+v", p.Authorised)
	}
	if b := Builtin(); b.Calendar != nil || b.Authorised != nil || b.Map != (bioassay.MapSettings{}) {
		t.Error("the built-in rules have settings of a programme")
	}
}

// TestSettingsRefused: each line spoils the settings in one way, at its own place.
func TestSettingsRefused(t *testing.T) {
	for _, k := range []struct{ old, new, key, message string }{
		{`"south"`, `"east"`, "calendar.hemisphere", "none of the known ones"},
		{`begins = "02-15"`, `begins = "15-02"`, "calendar.season", "cannot begin"},
		{`begins = "02-15"`, `begins = "2-15"`, "calendar.season[1].begins", "not a day of the year"},
		{`begins = "10-01"`, `begins = "01-01"`, "calendar.season", "not after"},
		{`name = "late"`, `name = "early"`, "calendar.season", "two seasons"},
		{`name = "late"`, `label = "late"`, "calendar.season[2].label", "not known"},
		{"side_km = 20", "side_km = 0.1", "map.side_km", "not between"},
		{"fewest_apiaries = 5", "fewest_apiaries = 2", "map.fewest_apiaries", "not between 3"},
		{"stale_months = 18", "stale_months = 1.5", "note.stale_months", "not whole"},
		{"on = 2031-02-01", "", "authorised.on", "no day"},
		{`acaricide = "oxalic acid"`, `acaricide = "amitraz"`, "authorised.active[2].acaricide", "twice"},
		{"temperature_from = -5", "temperature_from = 25", "authorised.active[2].temperature_to", "below"},
		{"not_with_supers = true", `not_with_supers = "yes"`, "authorised.active[1].not_with_supers", "true or false"},
	} {
		text := strings.Replace(settingsText, k.old, k.new, 1)
		if text == settingsText {
			t.Fatalf("%q is not there", k.old)
		}
		_, err := Read("programme.toml", strings.NewReader(text))
		if err == nil || !strings.Contains(err.Error(), k.key) || !strings.Contains(err.Error(), k.message) {
			t.Errorf("%s: %v", k.new, err)
		}
	}
}
