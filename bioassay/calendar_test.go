package bioassay

import (
	"fmt"
	"strings"
	"testing"
	"time"
)

// TestCalendarAgreesWithSeasonOf: the two ways of finding a meteorological season
// agree on every day of four years, in both hemispheres.
func TestCalendarAgreesWithSeasonOf(t *testing.T) {
	for _, h := range []Hemisphere{North, South} {
		c := Calendar{Hemisphere: h}
		for day := time.Date(2030, 1, 1, 0, 0, 0, 0, time.UTC); day.Year() < 2034; day = day.AddDate(0, 0, 1) {
			d := DateOf(day)
			s := c.Of(d)
			if want := SeasonOf(d, h); s != want {
				t.Fatalf("%v in the %v: %v, want %v", d, h, s, want)
			}
			if begin := c.Begin(s); begin.Compare(d) > 0 || c.Of(begin) != s {
				t.Fatalf("%v in the %v: season %v begins on %v", d, h, s, begin)
			}
		}
	}
}

// own has a season over the turn of the year.
var own = Calendar{Starts: []SeasonStart{{"early", 2, 15}, {"flow", 5, 20}, {"late", 10, 1}}}

func TestOwnCalendar(t *testing.T) {
	for day, want := range map[string]string{
		"2031-02-14": "2030-late", "2031-02-15": "2031-early", "2031-05-19": "2031-early", "2031-05-20": "2031-flow",
		"2031-09-30": "2031-flow", "2031-12-31": "2031-late", "2032-01-01": "2031-late", "2032-02-29": "2032-early",
	} {
		d, err := ParseDate(day)
		if err != nil {
			t.Fatal(err)
		}
		if got := own.Of(d).String(); got != want {
			t.Errorf("%s: %s, want %s", day, got, want)
		}
	}
	if err := own.Check(); err != nil {
		t.Error(err)
	}
	var names string
	for _, s := range own.Between(Season{2031, "flow"}, Season{2032, "flow"}) {
		names += s.String() + " "
	}
	if want := "2031-flow 2031-late 2032-early 2032-flow "; names != want {
		t.Errorf("between: %s, want %s", names, want)
	}
	if got := own.Between(Season{2032, "flow"}, Season{2031, "flow"}); got != nil {
		t.Errorf("backwards: %v", got)
	}
	if own.Of(Date{}) != (Season{}) || !own.Begin(Season{2031, "spring"}).IsZero() {
		t.Error("seasons that do not exist")
	}
}

func TestParseSeason(t *testing.T) {
	if s, err := own.ParseSeason("2031-late"); err != nil || s != (Season{2031, "late"}) {
		t.Error(s, err)
	}
	for _, text := range []string{"", "2031", "spring", "2031-spring", "spring-2031", "x31-late", " 2031-late", "2031 late"} {
		if _, err := own.ParseSeason(text); err == nil {
			t.Errorf("%q was read", text)
		}
	}
}

func TestCalendarCheck(t *testing.T) {
	for name, starts := range map[string][]SeasonStart{
		"no name":  {{"", 1, 1}},
		"twice":    {{"a", 1, 1}, {"a", 2, 1}},
		"leap day": {{"a", 2, 29}},
		"month 13": {{"a", 13, 1}},
		"day 31":   {{"a", 4, 31}},
		"order":    {{"a", 4, 1}, {"b", 3, 1}},
		"one day":  {{"a", 4, 1}, {"b", 4, 1}},
	} {
		if (Calendar{Starts: starts}).Check() == nil {
			t.Errorf("%s was taken", name)
		}
	}
}

func TestHemisphereOfAll(t *testing.T) {
	at := func(code string, latitude float64, line int) Apiary {
		return Apiary{Code: code, Latitude: Known(latitude), Source: Origin{"a.csv", line}}
	}
	north, south, none := at("N", 40, 2), at("S", -40, 3), Apiary{Code: "X"}
	for _, k := range []struct {
		all  []Apiary
		want Hemisphere
		fail bool
	}{{nil, North, false}, {[]Apiary{none}, North, false}, {[]Apiary{south, none}, South, false}, {[]Apiary{north, south}, North, true}} {
		got, err := HemisphereOfAll(k.all)
		if got != k.want || (err != nil) != k.fail {
			t.Errorf("%v: %v %v", k.all, got, err)
		}
	}
}

// TestHemisphereNamesTheFew: of apiaries on both sides those of the smaller one are
// named, since it is they whose coordinates may be wrong.
func TestHemisphereNamesTheFew(t *testing.T) {
	var all []Apiary
	for i := range 12 {
		latitude := 40.0
		if i%3 == 1 {
			latitude = -40
		}
		all = append(all, Apiary{Code: fmt.Sprintf("A%02d", i), Latitude: Known(latitude), Source: Origin{"a.csv", i + 2}})
	}
	_, err := HemisphereOfAll(all)
	if want := `on the south side of the equator, where seasons differ, are "A01" (a.csv:3), "A04" (a.csv:6), "A07" (a.csv:9) and 1 more, and 8 apiaries on the north side`; err == nil || !strings.HasPrefix(err.Error(), want) {
		t.Errorf("%v", err)
	}
	all[0].Latitude = Known(-40)
	all = all[:2]
	all[1].Latitude, all[1].Source = Known(40), Origin{}
	_, err = HemisphereOfAll(all)
	if err == nil || !strings.Contains(err.Error(), `"A01", and 1 apiary on the south side; look at the coordinates`) {
		t.Errorf("%v", err)
	}
}
