package tables

import (
	"strings"
	"testing"
)

func TestNamesApiaries(t *testing.T) {
	for header, want := range map[string]bool{
		"apiary,region,latitude,longitude,contact_code": true,
		"Apiary;Region":                           true,
		"colmenar,latitude,longitude":             true,
		"apiary,region,note,altitude_m":           true,
		"apiary":                                  false,
		"region,latitude":                         false,
		"":                                        false,
		"assay,apiary,region,exposed,dead":        false,
		"apiary,latitude,concentration":           false,
		"apiary,region,exposed":                   false,
		"assay,concentration,exposed,dead":        false,
		"apiary,region,population,dosis,muertos":  false,
		"ensayo,colmenar,latitude":                false,
		"apiary,region,collected_on,observations": false,
	} {
		if got := NamesApiaries(strings.FieldsFunc(header, func(r rune) bool { return r == ',' || r == ';' })); got != want {
			t.Errorf("%q: %v", header, got)
		}
	}
}
