package geo

import (
	"fmt"
	"strings"
	"testing"

	"vialwise/bioassay"
)

// apiariesAt are apiaries A0, A1, ... at latitudes and longitudes, on the lines of a
// file.
func apiariesAt(latitudesAndLongitudes ...[2]float64) (out []bioassay.Apiary) {
	for i, q := range latitudesAndLongitudes {
		out = append(out, bioassay.Apiary{
			Code: fmt.Sprint("A", i), Latitude: bioassay.Known(q[0]), Longitude: bioassay.Known(q[1]), Source: bioassay.Origin{File: "a.csv", Line: i + 2},
		})
	}
	return out
}

func flipped(apiaries []bioassay.Apiary) (out []bioassay.Apiary) {
	for _, a := range apiaries {
		a.Latitude, a.Longitude = a.Longitude, a.Latitude
		out = append(out, a)
	}
	return out
}

func TestDoubtPlaces(t *testing.T) {
	coast := apiariesAt([2]float64{41.6, -45.9}, [2]float64{41.5, -45.4}, [2]float64{41.3, -45.7}, [2]float64{40.9, -45.2}, [2]float64{40.5, -46.1})
	one := append(flipped(coast[:1]), coast[1:]...)
	// Where latitude and longitude are nearly alike an exchange moves little.
	near := apiariesAt([2]float64{39.1, 35.2}, [2]float64{39, 35}, [2]float64{38.9, 34.9}, [2]float64{35, 39})
	for name, c := range map[string]struct {
		table, before []bioassay.Apiary
		want          []string // codes and lines
	}{
		"right":                     {coast, nil, nil},
		"no place":                  {[]bioassay.Apiary{{Code: "X"}}, nil, nil},
		"one exchanged":             {one, nil, []string{"coordinates-exchanged 2"}},
		"two of five":               {append(flipped(coast[:2]), coast[2:]...), nil, []string{"coordinates-exchanged 2"}},
		"all, with a record":        {flipped(coast), coast, []string{"coordinates-exchanged 2"}},
		"all, alone":                {flipped(coast), nil, nil}, // what Whereabouts is for
		"nearly alike":              {near, nil, []string{"coordinates-exchanged 5"}},
		"polar":                     {apiariesAt([2]float64{69, 19}), nil, []string{"place-near-a-pole 2"}},
		"below the circle":          {apiariesAt([2]float64{66.4, 25}), nil, nil},
		"two regions far apart":     {append(coast[:4:4], apiariesAt([2]float64{48, 2}, [2]float64{47.5, 2.2})...), nil, nil},
		"on the antimeridian":       {apiariesAt([2]float64{-17, 179.9}, [2]float64{-16.8, -179.9}, [2]float64{-17.2, 179.7}, [2]float64{-17.1, -179.8}), nil, nil},
		"one of a record, moved on": {apiariesAt([2]float64{43, -44}), coast, nil},
	} {
		var got []string
		for _, w := range DoubtPlaces(c.table, c.before) {
			got = append(got, fmt.Sprint(w.Code, " ", w.Line))
		}
		if strings.Join(got, ", ") != strings.Join(c.want, ", ") {
			t.Errorf("%s: %v, want %v", name, got, c.want)
		}
	}
	if got := DoubtPlaces(flipped(coast), coast)[0].Message; !strings.HasPrefix(got, `apiary "A0" (and so "A1" (a.csv:3), "A2" (a.csv:4), "A3" (a.csv:5) and 1 more) lies`) || !strings.Contains(got, "of the apiaries known before") {
		t.Error(got)
	}
}

func TestWhereabouts(t *testing.T) {
	coast := apiariesAt([2]float64{41, -46}, [2]float64{41, -45})
	for _, c := range []struct {
		apiaries []bioassay.Apiary
		want     string
	}{
		{[]bioassay.Apiary{{Code: "X"}}, ""},
		// A degree of longitude at 41 north is 84.1 km, and the half of it rounded up 43.
		{coast, "2 apiaries with a place lie within 43 km of 41 N 45.5 W, north of the equator, where June to August is summer"},
		{flipped(coast), "2 apiaries with a place lie within 56 km of 45.5 S 41 E, south of the equator, where December to February is summer"},
		{coast[:1], "1 apiary with a place lies near 41 N 46 W, north of the equator, where June to August is summer"},
		{append(coast[:1:1], flipped(coast[:1])...), "on both sides of the equator"},
	} {
		if got := Whereabouts(c.apiaries); !strings.HasSuffix(got, c.want) || c.want == "" && got != "" {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}
