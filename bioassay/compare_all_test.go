package bioassay_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"vialwise/bioassay"
)

func TestSelectBaseline(t *testing.T) {
	assays := []bioassay.Assay{
		{Name: "a", Role: bioassay.RoleBaseline}, {Name: "b", Population: "reference"}, {Name: "c", Population: "reference"}, {Name: "d"},
	}
	for _, c := range []struct{ name, baseline, field string }{
		{"", "a", "b c d"},
		{"a", "a", "b c d"},
		{"b", "b", "c d"}, // another marked as baseline is not compared with it
		{"reference", "b c", "d"},
	} {
		baseline, field, err := bioassay.SelectBaseline(assays, c.name)
		if err != nil || names(baseline) != c.baseline || names(field) != c.field {
			t.Errorf("%q: baseline %q, field %q, %v", c.name, names(baseline), names(field), err)
		}
	}
	for _, c := range []struct {
		assays []bioassay.Assay
		name   string
	}{{assays, "nobody"}, {assays[1:], ""}, {nil, ""}} {
		if _, _, err := bioassay.SelectBaseline(c.assays, c.name); !errors.Is(err, bioassay.ErrNoBaseline) {
			t.Errorf("%q of %d: %v", c.name, len(c.assays), err)
		}
	}
}

func names(assays []bioassay.Assay) string {
	var all []string
	for _, a := range assays {
		all = append(all, a.Name)
	}
	return strings.Join(all, " ")
}

func TestGroupBaselines(t *testing.T) {
	a := bioassay.Assay{Name: "a", Acaricide: "amitraz", Protocol: "vial-residue", Unit: "ug/vial"}
	b, c, d := a, a, a
	b.Name, b.Unit = "b", "µg/vial" // spelled otherwise, the same unit
	c.Name, c.Protocol = "c", "dish-residue"
	d.Name, d.Acaricide = "d", ""
	e := c
	e.Name = "e"
	groups := bioassay.GroupBaselines([]bioassay.Assay{a, c, b, d, e})
	var got []string
	for _, g := range groups {
		got = append(got, names(g))
	}
	if want := []string{"a b", "c e", "d"}; !slices.Equal(got, want) {
		t.Errorf("groups %q, want %q", got, want)
	}
	if got, want := bioassay.GroupNames(groups), []string{"amitraz, 2 assays, vial-residue, ug/vial", "amitraz, 2 assays, dish-residue, ug/vial", "d"}; !slices.Equal(got, want) {
		t.Errorf("names %q, want %q", got, want)
	}
}

// TestCompareAllMatches sends every assay to its own baseline, and refuses one
// that fits none or more than one.
func TestCompareAllMatches(t *testing.T) {
	base := baselineAssays(1)[0]
	other := base
	other.Name, other.Acaricide = "other", "coumaphos"
	o := bioassay.CompareOptions{}
	bare := other
	bare.Name, bare.Protocol = "bare", "strip-jar"
	comparers := []*bioassay.Comparer{comparer(t, o, base), comparer(t, o, other), comparer(t, o, bare)}
	field := func(name, acaricide, protocol string) bioassay.Assay {
		a := simulated(name, susceptible, 4)
		a.Acaricide, a.Protocol = acaricide, protocol
		return a
	}
	steps := 0
	compared, refused := bioassay.CompareAll([]bioassay.Assay{
		field("1", "amitraz", "vial-residue"), field("2", "coumaphos", "vial-residue"), field("3", "thymol", "vial-residue"),
		field("4", "amitraz", "dish-residue"), field("5", "", "vial-residue"), field("7", "coumaphos", ""), field("6", "amitraz", "vial-residue"),
	}, comparers, func() { steps++ })
	var got []string
	for _, c := range compared {
		got = append(got, c.Field.Assay.Name+" "+c.Baseline.Acaricide)
	}
	if want := []string{"1 amitraz", "2 coumaphos", "6 amitraz"}; !slices.Equal(got, want) {
		t.Errorf("compared %q, want %q", got, want)
	}
	if steps != 7 {
		t.Errorf("%d steps of 7", steps)
	}
	for i, want := range []string{"thymol", "protocol", "an unnamed acaricide", "several baselines"} {
		if i >= len(refused) || !strings.Contains(refused[i].Err.Error(), want) {
			t.Errorf("refusal %d does not speak of %q: %v", i, want, refused)
		}
	}
	if !errors.Is(refused[0].Err, bioassay.ErrNoBaseline) || !errors.Is(refused[1].Err, bioassay.ErrNotComparable) {
		t.Errorf("%v", refused)
	}
	if a, b := compared[0], compared[2]; a.Adjusted.Equality < a.Lines.Equality.Verdict || a.Adjusted.Equality != b.Adjusted.Equality {
		t.Errorf("two alike against one baseline: Holm %g and %g of %g", a.Adjusted.Equality, b.Adjusted.Equality, a.Lines.Equality.Verdict)
	}
}
