package demo

import (
	"strings"
	"testing"

	"vialwise/bioassay"
	"vialwise/doseresp"
)

// told returns the assays whose story begins so, in their order.
func told(t *testing.T, story string) (assays []bioassay.Assay) {
	t.Helper()
	truths := readTruth(t)
	for _, a := range readCounts(t) {
		if strings.HasPrefix(truths[a.Name].story, "invented: "+story) {
			assays = append(assays, a)
		}
	}
	return assays
}

// one returns the only assay whose story begins so.
func one(t *testing.T, story string) bioassay.Assay {
	t.Helper()
	assays := told(t, story)
	if len(assays) != 1 {
		t.Fatalf("%d assays tell of %q, want one", len(assays), story)
	}
	return assays[0]
}

// mortality returns the share that responded in the containers chosen.
func mortality(a bioassay.Assay, choose func(concentration float64) bool) float64 {
	dead, n := 0, 0
	for _, c := range a.Counts(bioassay.MoribundDead) {
		if choose(c.Dose) {
			dead += c.Dead
			n += c.Exposed
		}
	}
	return float64(dead) / float64(n)
}

func TestShiftingPopulation(t *testing.T) {
	seasons := told(t, "shifting population")
	if len(seasons) != 4 {
		t.Fatalf("%d seasons, want four", len(seasons))
	}
	last := 0.0
	for _, a := range seasons {
		lc := lc50(fitted(t, a)).Estimate
		if lc < 1.4*last { // the truth doubles
			t.Errorf("%s: LC50 %v after %v", a.Name, lc, last)
		}
		last = lc
	}
}

func TestResistantMinority(t *testing.T) {
	a := one(t, "resistant minority")
	top := 0.0
	for _, c := range a.Containers {
		top = max(top, c.Concentration)
	}
	killed := mortality(a, func(c float64) bool { return c >= top/2 })
	if killed < 0.6 || killed > 0.9 { // a quarter tolerates any dose; 70 to 90 mites
		t.Errorf("%.2f died at the two highest concentrations, want about 0.75", killed)
	}
}

func TestFailedControls(t *testing.T) {
	a := one(t, "failed controls")
	if died := mortality(a, func(c float64) bool { return c == 0 }); died < 0.2 {
		t.Errorf("%.2f of the controls died, want about 0.4", died)
	}
}

func TestTooFewMites(t *testing.T) {
	a := one(t, "too few mites")
	placed := 0
	for _, c := range a.Treated() {
		placed += c.Exposed
	}
	if placed != 6*2*4 || len(a.Controls()) != 2 {
		t.Errorf("%d treated mites and %d controls, want 48 and 2", placed, len(a.Controls()))
	}
}

func TestOverdispersed(t *testing.T) {
	fit := fitted(t, one(t, "overdispersed"))
	if h := fit.Heterogeneity; !h.Applied || fit.PearsonContainer.P > 0.05 {
		t.Errorf("heterogeneity %+v, P %.3f, want it to be seen", h, fit.PearsonContainer.P)
	}
}

// The extreme assays bracket the LC50 on the side that their story tells.
func TestExtremesBracketTheTruth(t *testing.T) {
	truths := readTruth(t)
	for _, story := range []string{"separated", "all dead", "none dead"} {
		a := one(t, story)
		b := fitted(t, a).Bracket
		if truth := truths[a.Name].LC50; truth < b.Lower || truth > b.Upper || b == (doseresp.Bracket{}) {
			t.Errorf("%s: LC50 %v lies outside %+v", a.Name, truth, b)
		}
	}
}
