package tables

import (
	"strings"
	"testing"

	"vialwise/bioassay"
)

func TestReadTreatments(t *testing.T) {
	got, warnings, err := ReadTreatments("treatments.csv", strings.NewReader("apiary,acaricide,treated_on,efficacy,efficacy_lower,efficacy_upper,brood\nA1,amitraz,2031-03-02,87.5,80,92,yes\nA1,oxalic acid,,,,,\n"))
	if err != nil || len(warnings) != 0 || len(got) != 2 {
		t.Fatal(got, warnings, err)
	}
	first := got[0]
	if first.Apiary != "A1" || first.On.String() != "2031-03-02" || first.Efficacy != bioassay.Known(87.5) || first.EfficacyUpper != bioassay.Known(92) || first.Brood != bioassay.Yes || first.Source.Line != 2 {
		t.Errorf("%+v", first)
	}
	if second := got[1]; second.Acaricide != "oxalic acid" || second.Efficacy.Known || second.Brood != bioassay.Unanswered || !second.On.IsZero() {
		t.Errorf("%+v", second)
	}
}

func TestReadHives(t *testing.T) {
	got, _, err := ReadHives("hives.csv", strings.NewReader("colmenar;asked_on;cria;alzas;temperature_low;temperature_high\nÑ 1;2031-03-02;yes;no;-4,5;12\nA2;;;;;\n"))
	if err != nil || len(got) != 2 {
		t.Fatal(got, err)
	}
	if h := got[0]; h.Apiary != "Ñ 1" || h.Brood != bioassay.Yes || h.Supers != bioassay.No || h.TemperatureLow != bioassay.Known(-4.5) || h.TemperatureHigh != bioassay.Known(12) {
		t.Errorf("%+v", h)
	}
}

// TestBeekeepingErrors: one mistake each, with its place and code.
func TestBeekeepingErrors(t *testing.T) {
	for _, k := range []struct {
		text string
		code Code
	}{
		{"apiary,acaricide\n,amitraz\n", MissingValue},
		{"apiary,acaricide\nA1,\n", MissingValue},
		{"apiary\nA1\n", MissingColumn},
		{"apiary,acaricide,treated_on\nA1,amitraz,03/04/2031\n", BadDate},
		{"apiary,acaricide,efficacy\nA1,amitraz,101\n", TooLarge},
		{"apiary,acaricide,efficacy\nA1,amitraz,good\n", NotANumber},
		{"apiary,acaricide,efficacy,efficacy_lower\nA1,amitraz,80,90\n", NotRising},
		{"apiary,acaricide,brood\nA1,amitraz,perhaps\n", BadBoolean},
		{"", EmptyFile},
	} {
		_, _, err := ReadTreatments("treatments.csv", strings.NewReader(k.text))
		if err == nil || !strings.Contains(err.Error(), "treatments.csv") || !hasCode(err, k.code) {
			t.Errorf("%q: %v", k.text, err)
		}
	}
	for text, code := range map[string]Code{
		"apiary,brood\nA1,yes\nA1,no\n":                       DuplicateApiary,
		"apiary,temperature_low,temperature_high\nA1,20,10\n": NotRising,
		"apiary,temperature_low\nA1,99\n":                     TooLarge,
		"apiary\n\"\"\n":                                      NoData,
	} {
		if _, _, err := ReadHives("hives.csv", strings.NewReader(text)); err == nil || !hasCode(err, code) {
			t.Errorf("%q: %v", text, err)
		}
	}
}

func hasCode(err error, code Code) bool {
	list, ok := err.(Errors)
	if !ok {
		return false
	}
	for _, e := range list {
		if e.Code == code {
			return true
		}
	}
	return false
}

// TestTemperatureIsNamed: a wrong temperature is not taken for a coordinate, and
// errors of a row come in the order of its columns.
func TestTemperatureIsNamed(t *testing.T) {
	_, _, err := ReadHives("hives.csv", strings.NewReader("apiary,temperature_low,temperature_high\nA1,cold,99\n"))
	list, ok := err.(Errors)
	if !ok || len(list) != 2 || list[0].Name != "temperature_low" || !strings.Contains(list[0].Error(), "not a temperature") || !strings.Contains(list[1].Error(), "outside -60 to 60") {
		t.Errorf("%v", err)
	}
	for range 20 {
		_, _, err := ReadTreatments("treatments.csv", strings.NewReader("apiary,acaricide,efficacy,efficacy_lower,efficacy_upper\nA1,amitraz,x,y,z\n"))
		if list, ok := err.(Errors); !ok || len(list) != 3 || list[0].Name != "efficacy" || list[2].Name != "efficacy_upper" {
			t.Fatalf("%v", err)
		}
	}
}
