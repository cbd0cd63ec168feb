package bioassay

import (
	"cmp"
	"slices"
	"testing"
	"time"

	"vialwise/doseresp"
)

// The cases of January 2032 and of the southern summer are the definition of a
// season in the project's design; the months are the meteorological quarters
// (common practice).
func TestSeasonOf(t *testing.T) {
	north := [13]string{"", "2031-winter", "2031-winter", "2032-spring", "2032-spring", "2032-spring",
		"2032-summer", "2032-summer", "2032-summer", "2032-autumn", "2032-autumn", "2032-autumn", "2032-winter"}
	south := [13]string{"", "2031-summer", "2031-summer", "2032-autumn", "2032-autumn", "2032-autumn",
		"2032-winter", "2032-winter", "2032-winter", "2032-spring", "2032-spring", "2032-spring", "2032-summer"}
	for month := 1; month <= 12; month++ {
		for _, day := range []int{1, 28} {
			d := Date{2032, time.Month(month), day}
			if got := SeasonOf(d, North).String(); got != north[month] {
				t.Errorf("%v in the north is %s, want %s", d, got, north[month])
			}
			if got := SeasonOf(d, South).String(); got != south[month] {
				t.Errorf("%v in the south is %s, want %s", d, got, south[month])
			}
		}
	}
	if got := SeasonOf(Date{}, North); got != (Season{}) {
		t.Errorf("no date has season %v", got)
	}
}

func TestHemisphereOf(t *testing.T) {
	for latitude, want := range map[float64]Hemisphere{51.5: North, 0: North, -0.1: South, -37: South} {
		if got := HemisphereOf(latitude); got != want {
			t.Errorf("latitude %g is %v, want %v", latitude, got, want)
		}
	}
}

func TestParseDate(t *testing.T) {
	for _, good := range []string{"2031-04-09", "2032-02-29", "1999-12-31"} {
		d, err := ParseDate(good)
		if err != nil || d.String() != good {
			t.Errorf("ParseDate(%q) = %v, %v", good, d, err)
		}
	}
	for _, bad := range []string{"", "2031-4-9", "09.04.2031", "04/09/2031", "20310409", "2031-13-01",
		"2031-02-29", "2031-04-09T10:00", "31-04-2009", "2031-W15-3", "２０３１-04-09", " 2031-04-0"} {
		if d, err := ParseDate(bad); err == nil {
			t.Errorf("ParseDate(%q) = %v, want an error", bad, d)
		}
	}
}

func TestDateOrderAndText(t *testing.T) {
	days := []Date{{2030, 12, 31}, {2031, 1, 1}, {2031, 1, 2}, {2031, 2, 1}}
	for i, a := range days {
		for j, b := range days {
			if got, want := a.Compare(b), cmp.Compare(i, j); got != want {
				t.Errorf("%v compared to %v gives %d, want %d", a, b, got, want)
			}
		}
	}
	for _, d := range append(days, Date{}) {
		text, _ := d.MarshalText()
		back := Date{9, 9, 9}
		if err := back.UnmarshalText(text); err != nil || back != d {
			t.Errorf("%v came back from %q as %v, %v", d, text, back, err)
		}
	}
}

func sample() Assay {
	return Assay{Name: "A", Apiary: "N7", Containers: []Container{
		{Concentration: 0, Exposed: 10, Dead: 1},
		{Concentration: 2, Exposed: 12, Dead: 5, Moribund: 2, Missing: 1},
		{Concentration: 0, Exposed: 9, Missing: 9},
	}}
}

func TestCounts(t *testing.T) {
	a := sample()
	if got, want := a.Counts(MoribundDead), []doseresp.Container{{Dose: 0, Exposed: 10, Dead: 1}, {Dose: 2, Exposed: 11, Dead: 7}, {Dose: 0, Exposed: 0, Dead: 0}}; !slices.Equal(got, want) {
		t.Errorf("moribund as dead: %v, want %v", got, want)
	}
	if got, want := a.Counts(MoribundAlive), []doseresp.Container{{Dose: 0, Exposed: 10, Dead: 1}, {Dose: 2, Exposed: 11, Dead: 5}, {Dose: 0, Exposed: 0, Dead: 0}}; !slices.Equal(got, want) {
		t.Errorf("moribund as alive: %v, want %v", got, want)
	}
	if got := a.Exposed(); got != 21 {
		t.Errorf("Exposed() = %d, want 21", got)
	}
	if c, d := a.Controls(), a.Treated(); len(c) != 2 || c[1].Exposed != 9 || len(d) != 1 || d[0].Dead != 5 {
		t.Errorf("controls %v, treated %v", c, d)
	}
}

func TestWords(t *testing.T) {
	for got, want := range map[string]string{
		RoleField.String(): "field", RoleBaseline.String(): "baseline",
		Yes.String(): "yes", No.String(): "no", Unanswered.String(): "",
		MoribundDead.String(): "moribund counted as dead", MoribundAlive.String(): "moribund counted as alive",
		South.String(): "south", North.String(): "north",
		sample().Tested().String():                                                                   "N7",
		Population{Apiary: "N7", Name: "east"}.String():                                              "N7, east",
		Population{Name: "reference"}.String():                                                       "reference",
		Warning{Message: "m", Cure: "c"}.String():                                                    "m; c",
		Warning{Message: "m", Cure: "c", Origin: Origin{File: "f.csv"}}.String():                     "f.csv: m; c",
		Warning{Code: "x", Message: "m", Cure: "c", Origin: Origin{File: "f.csv", Line: 3}}.String(): "f.csv:3: m; c",
	} {
		if got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

func TestRoleText(t *testing.T) {
	for _, r := range []Role{RoleField, RoleBaseline} {
		text, _ := r.MarshalText()
		back := Role(7)
		if err := back.UnmarshalText(text); err != nil || back != r {
			t.Errorf("%v came back from %q as %v, %v", r, text, back, err)
		}
	}
	if _, err := ParseRole("control"); err == nil {
		t.Error("the role control was accepted")
	}
}

func TestApiaryLocated(t *testing.T) {
	a := Apiary{Latitude: Known(0)}
	if a.Located() {
		t.Error("located without a longitude")
	}
	if a.Longitude = Known(0); !a.Located() {
		t.Error("zero degrees taken as absent")
	}
}
