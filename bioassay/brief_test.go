package bioassay_test

import (
	"fmt"
	"math"
	"testing"

	"vialwise/bioassay"
	"vialwise/doseresp"
)

func sameNumber(a, b float64) bool {
	return a == b || math.IsNaN(a) && math.IsNaN(b) || math.Abs(a-b) <= 1e-12*math.Abs(b)
}

// bandTolerance is of a probability: a Brief takes it from a coarser lattice than
// Compare.
const bandTolerance = 0.005

// TestBriefIsCompare: every number of a Brief is that of the full comparison.
func TestBriefIsCompare(t *testing.T) {
	rules := &bioassay.RatioBands{Percent: 50, Bands: threeBands}
	for _, set := range []struct {
		name  string
		fit   doseresp.Options
		bands *bioassay.RatioBands
		folds []float64 // of the baseline's assays
	}{
		{"probit, one baseline assay", doseresp.Options{}, rules, []float64{1}},
		{"probit, five", doseresp.Options{}, rules, []float64{.6, .8, 1, 1.3, 1.8}},
		{"logit, no bands", doseresp.Options{Link: doseresp.Logit}, nil, []float64{1}},
		{"cloglog, two", doseresp.Options{Link: doseresp.Cloglog}, rules, []float64{.8, 1.2}},
	} {
		set.fit.Percents = []float64{50}
		o := bioassay.CompareOptions{Analysis: bioassay.AnalysisOptions{Fit: set.fit}, Bands: set.bands}
		c := comparer(t, o, baselineAssays(set.folds...)...)
		for _, a := range briefCases() {
			full, err := c.Compare(a)
			if err != nil {
				t.Fatal(err)
			}
			brief, err := c.Brief(a)
			if err != nil {
				t.Fatal(err)
			}
			compareBrief(t, set.name+", "+a.Name, brief, full)
		}
	}
}

// briefCases are ordinary assays and those without a finite line.
func briefCases() (out []bioassay.Assay) {
	for i := range 12 {
		out = append(out, simulated(fmt.Sprint("field ", i), moved(susceptible, 0.5+float64(i)), uint64(500+i)))
	}
	a := simulated("all dead", moved(susceptible, 1), 1)
	none, separated, one, bare := clone(a, "none dead"), clone(a, "separated"), clone(a, "one concentration"), clone(a, "no controls")
	var few, treated []bioassay.Container
	for i := range a.Containers {
		k := a.Containers[i]
		control := k.IsControl()
		a.Containers[i].Dead, a.Containers[i].Moribund = 0, 0
		none.Containers[i].Dead, none.Containers[i].Moribund = 0, 0
		separated.Containers[i].Dead, separated.Containers[i].Moribund = 0, 0
		if !control {
			a.Containers[i].Dead = k.AtRisk()
			treated = append(treated, k)
		}
		if !control && k.Concentration > 1 {
			separated.Containers[i].Dead = k.AtRisk()
		}
		if control || k.Concentration == treated[len(treated)-1].Concentration && len(few) < 6 {
			few = append(few, k)
		}
	}
	one.Containers, bare.Containers = few, treated
	return append(out, a, none, separated, one, bare)
}

func clone(a bioassay.Assay, name string) bioassay.Assay {
	a.Name, a.Containers = name, append([]bioassay.Container(nil), a.Containers...)
	return a
}

func compareBrief(t *testing.T, name string, b *bioassay.Brief, full *bioassay.Comparison) {
	t.Helper()
	hold := func(what string, got, want float64) {
		if !sameNumber(got, want) {
			t.Errorf("%s: %s %v, in full %v", name, what, got, want)
		}
	}
	r := full.Ratios[0]
	if b.Status != full.Field.Fit.Status || b.Difference != r.Difference || b.Natural != r.Natural || b.WholeShift != full.WholeShift || b.RatioCensored != r.Censored {
		t.Errorf("%s: %+v, in full %v %v %v %v", name, b, r.Difference, r.Natural, full.WholeShift, r.Censored)
	}
	report := full.Field.Report(0)
	if b.Censored == doseresp.NotCensored || b.Censored == doseresp.Interval {
		hold("LC50", b.LC50.Estimate, report.Estimate)
	}
	hold("LC50 lower", b.LC50.Lower, report.Lower)
	hold("LC50 upper", b.LC50.Upper, report.Upper)
	if r.Mover.Kind != doseresp.Unbounded {
		hold("ratio lower", b.Ratio.Lower, r.Mover.Lower)
		hold("ratio upper", b.Ratio.Upper, r.Mover.Upper)
	}
	if r.Censored == doseresp.NotCensored {
		hold("ratio", b.Ratio.Estimate, r.Estimate)
		hold("log10 SE", b.LogSE, full.Field.Fit.LC[0].Log10SE)
	}
	if len(b.Bands) != len(full.Bands) {
		t.Errorf("%s: %d bands, in full %d", name, len(b.Bands), len(full.Bands))
	}
	for i := range min(len(b.Bands), len(full.Bands)) {
		if math.Abs(b.Bands[i]-full.Bands[i].Probability) > bandTolerance {
			t.Errorf("%s: band %s %.4f, in full %.4f", name, full.Bands[i].Name, b.Bands[i], full.Bands[i].Probability)
		}
	}
	switch {
	case full.Fraction != nil && !b.Single:
		hold("q", b.Fraction.Estimate, full.Fraction.Fraction.Estimate)
		hold("q lower", b.Fraction.Lower, full.Fraction.Fraction.Lower)
		hold("q upper", b.Fraction.Upper, full.Fraction.Fraction.Upper)
		hold("P of q", b.FractionP, full.Fraction.Test.P)
	case full.Survivors != nil:
		hold("survivors", b.Fraction.Estimate, full.Survivors.Share)
		hold("P of survivors", b.FractionP, full.Survivors.P)
	}
}

// TestBriefOfBounds: counts without a line tell a bound, those that are
// separated the posterior's place within theirs.
func TestBriefOfBounds(t *testing.T) {
	c := comparer(t, bioassay.CompareOptions{}, baselineAssays(1)...)
	want := map[string]doseresp.Censoring{"all dead": doseresp.CensoredHigh, "none dead": doseresp.CensoredLow, "separated": doseresp.Interval, "field 3": doseresp.NotCensored}
	for _, a := range briefCases() {
		censored, ok := want[a.Name]
		if !ok {
			continue
		}
		b, err := c.Brief(a)
		if err != nil {
			t.Fatal(err)
		}
		if b.Censored != censored {
			t.Errorf("%s: %v", a.Name, b.Censored)
		}
		placed := censored == doseresp.NotCensored || censored == doseresp.Interval
		if placed != (b.LogSE > 0 && !math.IsNaN(b.Log)) {
			t.Errorf("%s: log10 LC50 %g ± %g", a.Name, b.Log, b.LogSE)
		}
	}
	other := simulated("other", susceptible, 3)
	other.Unit = "ppm"
	if _, err := c.Brief(other); err == nil {
		t.Error("another unit was compared")
	}
}

// BenchmarkBrief is one assay against baselines of one and of five assays, with
// and without the bands, which need the posterior.
func BenchmarkBrief(b *testing.B) {
	for _, set := range []struct {
		name  string
		folds []float64
		bands *bioassay.RatioBands
	}{
		{"one baseline assay", []float64{1}, &bioassay.RatioBands{Percent: 50, Bands: threeBands}},
		{"without bands", []float64{1}, nil},
		{"five baseline assays", []float64{.6, .8, 1, 1.3, 1.8}, &bioassay.RatioBands{Percent: 50, Bands: threeBands}},
	} {
		o := bioassay.CompareOptions{Bands: set.bands, Analysis: bioassay.AnalysisOptions{Fit: doseresp.Options{Percents: []float64{50}}}}
		c := comparer(b, o, baselineAssays(set.folds...)...)
		a := simulated("field", moved(susceptible, 2), 9)
		b.Run(set.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := c.Brief(a); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
