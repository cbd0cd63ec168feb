package figures

import (
	"bytes"
	"maps"
	"math"
	"slices"
	"testing"

	"vialwise/bioassay"
	"vialwise/bioassay/demo"
	"vialwise/bioassay/tables"
	"vialwise/bioassay/track"
	"vialwise/cmd/vialwise/internal/render"
	"vialwise/doseresp"
	"vialwise/doseresp/mixture"
	"vialwise/plots"
)

// compared compares the demo's assays with their baselines.
func compared(t *testing.T) *render.Comparisons {
	t.Helper()
	table, err := tables.Read("counts.csv", bytes.NewReader(demo.Counts()))
	if err != nil {
		t.Fatal(err)
	}
	susceptible, fields, err := bioassay.SelectBaseline(table.Assays, "")
	if err != nil {
		t.Fatal(err)
	}
	c := &render.Comparisons{}
	var comparers []*bioassay.Comparer
	groups := bioassay.GroupBaselines(susceptible)
	for i, name := range bioassay.GroupNames(groups) {
		b, err := bioassay.BuildBaseline(name, groups[i], bioassay.BaselineOptions{})
		if err != nil {
			t.Fatal(err)
		}
		k, err := bioassay.NewComparer(b, bioassay.CompareOptions{})
		if err != nil {
			t.Fatal(err)
		}
		c.Baselines, comparers = append(c.Baselines, b), append(comparers, k)
	}
	c.Compared, c.Refused = bioassay.CompareAll(fields, comparers, nil)
	return c
}

func draw(t *testing.T, f plots.Figure) {
	t.Helper()
	if err := plots.Write(&bytes.Buffer{}, f, plots.InlineSVG); err != nil {
		t.Error(err)
	}
}

// TestComparisonsAreDrawn draws every figure of the demo's comparisons, and compares
// their numbers with those that they are of.
func TestComparisonsAreDrawn(t *testing.T) {
	c := compared(t)
	rows, kinds := 0, map[plots.Censoring]int{}
	for _, f := range Forests(c, "mark") {
		draw(t, f)
		rows += len(f.Ratios)
		if f.Variation == [2]float64{} || f.Mark != "mark" {
			t.Errorf("%s: variation %v, mark %q", f.Title, f.Variation, f.Mark)
		}
		for _, r := range f.Ratios {
			kinds[r.Censored]++
		}
	}
	want := map[plots.Censoring]int{}
	for _, r := range c.Compared {
		x, _ := ratioAt50(r)
		want[map[doseresp.Censoring]plots.Censoring{doseresp.CensoredLow: plots.Above, doseresp.CensoredHigh: plots.Below}[x.Censored]]++
	}
	if rows != len(c.Compared) || !maps.Equal(kinds, want) || want[plots.Above] == 0 || want[plots.Below] == 0 {
		t.Errorf("%d rows for %d populations, known as %v, want %v", rows, len(c.Compared), kinds, want)
	}
	mixtures := 0
	for _, r := range c.Compared {
		set := Against(r, "")
		draw(t, set)
		if len(set.Populations) != 2 {
			t.Fatalf("%s: %d lines", r.Field.Assay.Name, len(set.Populations))
		}
		lc, _ := r.Baseline.At(50)
		if got := set.Populations[1].LC50; got != lc.Estimate() {
			t.Errorf("%s: LC50 of the baseline %g, want %g", r.Field.Assay.Name, got, lc.Estimate())
		}
		if p := set.Populations[0]; r.Field.Fit.Status == doseresp.Converged && p.LC50 != r.Field.Report(1).Estimate {
			t.Errorf("%s: LC50 %g, want %g", r.Field.Assay.Name, p.LC50, r.Field.Report(1).Estimate)
		}
		m, ok := Mixture(r, "")
		if ok != (r.Fraction != nil && r.Fraction.Identified && r.Fraction.Test.Rejects() && !r.WholeShift) {
			t.Errorf("%s: a mixture is drawn: %v", r.Field.Assay.Name, ok)
		}
		if ok {
			mixtures++
			draw(t, m)
			if m.Fraction != r.Fraction.Fraction.Estimate || m.Field(1e9) > m.Baseline(1e9) {
				t.Errorf("%s: fraction %g, mortality %g and %g", m.Title, m.Fraction, m.Field(1e9), m.Baseline(1e9))
			}
		}
	}
	if mixtures == 0 {
		t.Error("no mixture is drawn; the demo has a resistant part")
	}
	for _, b := range c.Baselines {
		shown := 0
		for _, f := range Baseline(b, "") {
			draw(t, f)
			shown += len(f.Populations)
		}
		if shown != len(b.Assays) {
			t.Errorf("%s: %d of %d assays", b.Name, shown, len(b.Assays))
		}
	}
}

// TestPlace compares the sides of a forest with what the comparison says.
func TestPlace(t *testing.T) {
	for _, k := range []struct {
		difference doseresp.Difference
		natural    bioassay.Natural
		varies     bool
		want       plots.Place
	}{
		{doseresp.Greater, bioassay.NaturalBeyond, true, plots.PlaceAbove},
		{doseresp.Greater, bioassay.NaturalWithin, true, plots.PlaceWithin},
		{doseresp.Greater, bioassay.NaturalWithin, false, plots.PlaceAbove},
		{doseresp.Smaller, bioassay.NaturalBelow, true, plots.PlaceBelow},
		{doseresp.Smaller, bioassay.NaturalUnknown, false, plots.PlaceBelow},
		{doseresp.Undecided, bioassay.NaturalUnknown, true, plots.PlaceWithin},
		{doseresp.NotDifferent, bioassay.NaturalUnknown, false, plots.PlaceWithin},
	} {
		x := bioassay.RatioAt{Ratio: doseresp.Ratio{Difference: k.difference}, Natural: k.natural}
		if got := place(x, k.varies); got != k.want {
			t.Errorf("%v, %v, %v: place %d, want %d", k.difference, k.natural, k.varies, got, k.want)
		}
	}
}

// TestMixed checks the mortality of a mixture by hand: at the dose where half of the
// susceptible die, with the resistant part far away, at it, and without one.
func TestMixed(t *testing.T) {
	const tolerance = 1e-12
	form := mixture.Form{Intercept: 0, Slope: 2, Fold: math.Inf(1)}
	for _, k := range []struct {
		q, delta, c, fold, dose, want float64
	}{
		{0, 0, 0, math.Inf(1), 1, 0.5},
		{0.2, 0, 0, math.Inf(1), 1, 0.4},                      // (1-q)/2
		{0.2, 0, 0.1, math.Inf(1), 1, 0.1 + 0.9*0.4},          // with C
		{0.2, 0, 0.1, math.Inf(1), 1e9, 0.1 + 0.9*0.8},        // the plateau
		{1, 0, 0, 10, 10, 0.5},                                // all shifted, at ten times the dose
		{0, 1, 0, 10, 10, 0.5},                                // a line moved by one decade
		{0.5, 0, 0, math.NaN(), 1, 0.25},                      // no shift is known
		{0, 0, math.NaN(), math.Inf(1), 1, 0.5},               // no C is known
		{0.5, 0, 0, 1e6, 1e3, 0.5*normal(6) + 0.5*normal(-6)}, // between both, 2·(3-6)
		{0.25, 0, 0.2, 100, 100, 0.2 + 0.8*(0.75*normal(4)+0.25*0.5)},
	} {
		form.Fold = k.fold
		if got := mixed(doseresp.Probit, form, k.q, k.delta, k.c)(k.dose); math.Abs(got-k.want) > tolerance {
			t.Errorf("%+v: %g", k, got)
		}
	}
}

// normal is the standard normal distribution function.
func normal(x float64) float64 { return 0.5 * math.Erfc(-x/math.Sqrt2) }

// TestForestsAreParted gives a forest more rows than a page holds.
func TestForestsAreParted(t *testing.T) {
	c := compared(t)
	one := c.Compared[0]
	for len(c.Compared) < 200 {
		c.Compared = append(c.Compared, one)
	}
	rows, last := 0, ""
	for _, f := range Forests(c, "") {
		draw(t, f)
		if len(f.Ratios) > forestRows {
			t.Errorf("%d rows", len(f.Ratios))
		}
		rows += len(f.Ratios)
		if f.Subtitle != "" {
			last = f.Subtitle
		}
	}
	if rows != 200 || last == "" {
		t.Errorf("%d rows, %q", rows, last)
	}
}

// TestTimelinesAreParted: the apiaries of a region stand together, and a figure holds
// as many rows as a page.
func TestTimelinesAreParted(t *testing.T) {
	var panels []plots.TimelinePanel
	for _, group := range []struct {
		name string
		n    int
	}{{"Coast", 5}, {"Hills", 9}, {"Marsh", 1}, {"Plain", 12}} {
		for range group.n {
			panels = append(panels, plots.TimelinePanel{Group: group.name})
		}
	}
	var got []int
	for _, part := range parted(panels, 4) {
		got = append(got, len(part))
	}
	// Two rows, three rows, one row: full.
	if want := []int{15, 12}; !slices.Equal(got, want) {
		t.Errorf("%v panels, want %v", got, want)
	}
	if got := parted(make([]plots.TimelinePanel, 25), 4); len(got) != 2 || len(got[0]) != 24 {
		t.Errorf("%d figures of 25 panels", len(got))
	}
}

// TestRegionsHeadTheirApiaries: apiaries stand under their regions where one is named.
func TestRegionsHeadTheirApiaries(t *testing.T) {
	k := &track.Tracking{Series: []track.Series{{Apiary: "A1", Region: "Coast"}, {Apiary: "A2"}}}
	if got := []string{regionHeading(k, k.Series[0]), regionHeading(k, k.Series[1])}; got[0] != "Coast" || got[1] != render.RegionName("") {
		t.Errorf("%q", got)
	}
	k.Series = k.Series[1:]
	if got := regionHeading(k, k.Series[0]); got != "" {
		t.Errorf("%q over apiaries none of which names a region", got)
	}
}
