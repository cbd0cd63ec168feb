package bioassay

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"vialwise/doseresp"
	"vialwise/doseresp/meta"
)

// TestBaselineRefuses names what is wrong and what to do.
func TestBaselineRefuses(t *testing.T) {
	at := func(a Assay) Assay {
		a.Containers = slices.Clone(a.Containers)
		a.Containers[0].Source = Origin{"counts.csv", 12}
		return a
	}
	allDead := at(assayOf("all dead", row{0, 9, 0}, row{1, 9, 9}, row{2, 9, 9}))
	one := several(1)[0]
	for _, c := range []struct {
		name   string
		assays []Assay
		parts  []string
	}{
		{"none", nil, []string{`baseline "test"`, "no assay", "role baseline"}},
		{"none dead", []Assay{at(noneDead)}, []string{`"none dead" (counts.csv:12)`, "no treated mite died", "higher doses"}},
		{"falling", []Assay{at(falling)}, []string{"does not rise", "repeat"}},
		{"controls alone", []Assay{at(untreated)}, []string{"fewer than two doses"}},
		{"all dead among others", []Assay{one, allDead}, []string{"every treated mite died", "below 1", "lower doses"}},
		{"none dead among others", []Assay{one, at(noneDead)}, []string{`"none dead"`, "no treated mite died"}},
		{"twice", []Assay{one, one}, []string{`"p0"`, "given twice"}},
	} {
		_, err := BuildBaseline("test", c.assays, BaselineOptions{})
		var refused *BaselineError
		if !errors.Is(err, ErrBaseline) || !errors.As(err, &refused) || refused.Cure == "" {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		for _, part := range c.parts {
			if !strings.Contains(err.Error(), part) {
				t.Errorf("%s: %q does not say %q", c.name, err, part)
			}
		}
	}
	two := several(2)
	two[1].Acaricide = "coumaphos"
	if _, err := BuildBaseline("test", two, BaselineOptions{}); !errors.Is(err, ErrNotComparable) || !strings.Contains(err.Error(), `baseline "test"`) {
		t.Error(err)
	}
	three := several(3) // the disagreement is not with the first
	three[0].Unit, three[2].Unit = "", "mg/vial"
	if _, err := BuildBaseline("test", three, BaselineOptions{}); !errors.Is(err, ErrNotComparable) {
		t.Error(err)
	}
	for _, o := range []BaselineOptions{
		{BetweenSD: Known(0.1)}, {BetweenSD: Known(0), BetweenSource: "x"}, {BetweenSD: Known(math.NaN()), BetweenSource: "x"},
		{BetweenSD: Known(2), BetweenSource: "x"}, {Method: meta.Given}, {DiscriminatingPercent: 50}, {DiscriminatingPercent: 100}, {DiscriminatingPercent: math.NaN()},
	} {
		if _, err := BuildBaseline("test", several(1), o); !errors.Is(err, ErrBaseline) {
			t.Errorf("%+v: %v", o, err)
		}
	}
	if _, err := BuildBaseline("test", several(1), BaselineOptions{Analysis: AnalysisOptions{Fit: doseresp.Options{Level: 2}}}); !errors.Is(err, doseresp.ErrOptions) {
		t.Error(err)
	}
}

// TestBaselineFields: what any assay records is the baseline's, what only some
// record is warned of, and what none records is not.
func TestBaselineFields(t *testing.T) {
	assays := several(3)
	assays[1].Protocol, assays[2].ReadingHours = "vial-residue", Known(24)
	assays[2].Population = assays[1].Population
	assays[0].Containers = append(assays[0].Containers, Container{Concentration: 50, Exposed: 12, Dead: 12})
	b := built(t, assays, BaselineOptions{})
	if b.Acaricide != "amitraz" || b.Protocol != "vial-residue" || b.Unit != "ug/vial" || b.ReadingHours != Known(24) || b.ExposureHours.Known {
		t.Errorf("%+v", b.Example())
	}
	if b.LowestDose != 0.2 || b.HighestDose != 50 {
		t.Errorf("doses from %g to %g", b.LowestDose, b.HighestDose)
	}
	if b.Populations != 2 || !warned(b, WarnSamePopulation) {
		t.Errorf("%d populations, %v", b.Populations, b.Warnings)
	}
	var unknown []string
	for _, w := range b.Warnings {
		if w.Code == WarnFieldUnknown {
			unknown = append(unknown, w.Message)
		}
	}
	if len(unknown) != 2 || !strings.Contains(unknown[0], `no protocol is recorded for assays "p0", "p2"`) || !strings.Contains(unknown[1], `no reading_h is recorded for assays "p0", "p1"`) {
		t.Errorf("%q", unknown)
	}
	assays[0].Role = RoleField
	if !warned(built(t, assays, BaselineOptions{}), WarnFieldRole) || warned(b, WarnFieldRole) {
		t.Error("the role of the assays is not looked at")
	}
}
