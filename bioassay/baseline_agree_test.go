package bioassay

import (
	"errors"
	"slices"
	"strings"
	"testing"
)

// complete is an assay with every field that is compared. Invented.
func complete(name string) Assay {
	return Assay{
		Name: name, Acaricide: "amitraz", Protocol: "vial-residue", Unit: "ug/vial",
		ExposureHours: Known(24), ReadingHours: Known(24),
		Containers: []Container{{Source: Origin{"counts.csv", 7}}},
	}
}

func TestMismatches(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(a *Assay)
		want   []Mismatch
	}{
		{"nothing", func(*Assay) {}, nil},
		{"acaricide", func(a *Assay) { a.Acaricide = "coumaphos" }, []Mismatch{{"acaricide", "amitraz", "coumaphos"}}},
		{"protocol", func(a *Assay) { a.Protocol = "capsule" }, []Mismatch{{"protocol", "vial-residue", "capsule"}}},
		{"unit", func(a *Assay) { a.Unit = "mg/vial" }, []Mismatch{{"unit", "ug/vial", "mg/vial"}}},
		{"exposure", func(a *Assay) { a.ExposureHours = Known(6) }, []Mismatch{{"exposure_h", "24", "6"}}},
		{"reading", func(a *Assay) { a.ReadingHours = Known(24.5) }, []Mismatch{{"reading_h", "24", "24.5"}}},
		{"letters and spaces", func(a *Assay) { a.Acaricide, a.Protocol = "Amitraz ", " Vial-Residue" }, nil},
		{"micro sign", func(a *Assay) { a.Unit = "µg/vial" }, nil},
		{"Greek mu", func(a *Assay) { a.Unit = "μg/vial" }, nil},
		{"rounded hours", func(a *Assay) { a.ExposureHours = Known(24.01) }, nil},
		{"no unit", func(a *Assay) { a.Unit = " " }, []Mismatch{{"unit", "ug/vial", ""}}},
		{"hours of 0 are hours", func(a *Assay) { a.ReadingHours = Known(0) }, []Mismatch{{"reading_h", "24", "0"}}},
		{"two", func(a *Assay) { a.Unit, a.ExposureHours = "mg/L", Optional{} }, []Mismatch{{"unit", "ug/vial", "mg/L"}, {"exposure_h", "24", ""}}},
	} {
		a, b := complete("a"), complete("b")
		c.change(&b)
		if got := Mismatches(a, b); !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
		swapped := Mismatches(b, a)
		for i := range swapped {
			swapped[i].A, swapped[i].B = swapped[i].B, swapped[i].A
		}
		if !slices.Equal(swapped, c.want) {
			t.Errorf("%s the other way: %v, want %v", c.name, swapped, c.want)
		}
	}
	if got := Mismatches(Assay{}, Assay{}); len(got) > 0 {
		t.Errorf("fields that neither records: %v", got)
	}
}

// TestComparable: a disagreement is refused with all that is needed to find
// it, a blank is warned of.
func TestComparable(t *testing.T) {
	a, b := complete("spring"), complete("autumn")
	b.Containers[0].Source = Origin{"more.csv", 31}
	b.Unit = "mg/vial"
	_, err := Comparable(a, b)
	var not *NotComparableError
	if !errors.Is(err, ErrNotComparable) || !errors.As(err, &not) || not.Field != "unit" {
		t.Fatalf("%v", err)
	}
	for _, part := range []string{`"spring" (counts.csv:7)`, `"autumn" (more.csv:31)`, "unit", `"ug/vial"`, `"mg/vial"`, "in one unit"} {
		if !strings.Contains(err.Error(), part) {
			t.Errorf("%q does not say %s", err, part)
		}
	}
	for _, f := range comparedFields {
		if remedies[f.name] == "" {
			t.Errorf("no remedy for %s", f.name)
		}
	}
	b.Unit, b.ReadingHours = "ug/vial", Optional{}
	for _, pair := range [][2]Assay{{a, b}, {b, a}} {
		warnings, err := Comparable(pair[0], pair[1])
		if err != nil || len(warnings) != 1 || warnings[0].Code != WarnFieldUnknown || warnings[0].File != "more.csv" {
			t.Fatalf("%v, %v", warnings, err)
		}
		if m := warnings[0].Message; !strings.Contains(m, `assay "autumn" records no reading_h; it is taken to be 24, as in assay "spring"`) {
			t.Error(m)
		}
	}
}
