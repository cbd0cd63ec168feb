package tables

import (
	"errors"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"vialwise/bioassay"
)

func TestReadApiaries(t *testing.T) {
	// Invented places.
	text := "Region,apiary,latitude,longitude,contact_code,altitude_m\nCoast,N7,-41.25,174.5,K-3,12\n\nHills,N8,,,,\nHills,N9,\u22120,0,,\n"
	path := filepath.Join(t.TempDir(), "apiaries.csv")
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	got, err := ReadApiariesFile(path)
	if err != nil {
		t.Fatal(err)
	}
	want := []bioassay.Apiary{
		{Code: "N7", Region: "Coast", Latitude: bioassay.Known(-41.25), Longitude: bioassay.Known(174.5), ContactCode: "K-3",
			Extra: []bioassay.Field{{Name: "altitude_m", Value: "12"}}, Source: bioassay.Origin{File: path, Line: 2}},
		{Code: "N8", Region: "Hills", Source: bioassay.Origin{File: path, Line: 4}},
		{Code: "N9", Region: "Hills", Latitude: bioassay.Known(0), Longitude: bioassay.Known(0), Source: bioassay.Origin{File: path, Line: 5}},
	}
	if !reflect.DeepEqual(got.Apiaries, want) {
		t.Errorf("got  %+v\nwant %+v", got.Apiaries, want)
	}
	if !slices.Equal(got.Unknown, []string{"altitude_m"}) || len(got.Warnings) != 1 || got.Warnings[0].Code != UnknownColumn {
		t.Errorf("unknown %v, warnings %v", got.Unknown, got.Warnings)
	}
	if _, err := ReadApiariesFile(path + "x"); err == nil {
		t.Error("a file that is not there was read")
	}
}

func TestApiariesRefused(t *testing.T) {
	const head = "apiary,latitude,longitude\n"
	for _, c := range []struct {
		text string
		want []spot
	}{
		{"region\nCoast\n", []spot{{1, 0, MissingColumn}}},
		{"\x89PNG\r\n", []spot{{0, 0, BadEncoding}}},
		{head, []spot{{0, 0, NoData}}},
		{head + ",1,2\n", []spot{{2, 1, MissingValue}}},
		{head + "N7,1,2\nN8,1,2\nN7,1,2\n", []spot{{4, 1, DuplicateApiary}}},
		{head + "N7,90.01,180.01\nN8,-91,-181\n", []spot{{2, 2, TooLarge}, {2, 3, TooLarge}, {3, 2, TooLarge}, {3, 3, TooLarge}}},
		{head + "N7,51°15'N,2\n", []spot{{2, 2, NotANumber}}},
		{head + "N7,\"51,25\",1e1\n", []spot{{2, 2, DecimalComma}, {2, 3, NotANumber}}},
		{head + "N7,--5,-\n", []spot{{2, 2, Negative}, {2, 3, NotANumber}}},
		{head + "N7,1,\nN8,,1\n", []spot{{2, 3, MissingValue}, {3, 2, MissingValue}}},
		{"apiary,latitude\nN7,1\n", []spot{{2, 0, MissingValue}}},
		{head + "#REF!,1,#N/A\n", []spot{{2, 1, SpreadsheetError}, {2, 3, SpreadsheetError}}},
	} {
		table, err := ReadApiaries("f.csv", strings.NewReader(c.text))
		var es Errors
		errors.As(err, &es)
		var got []spot
		for _, e := range es {
			got = append(got, spot{e.Line, e.Column, e.Code})
		}
		if table != nil || !slices.Equal(got, c.want) {
			t.Errorf("%q: got %v, want %v\n%v", c.text, got, c.want, err)
		}
	}
}
