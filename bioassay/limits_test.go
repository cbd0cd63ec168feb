package bioassay

import (
	"math"
	"slices"
	"testing"

	"vialwise/doseresp"
)

// same is equality of floats in which NaN equals itself.
func same(a, b float64) bool { return a == b || math.IsNaN(a) && math.IsNaN(b) }

// TestReport shows which limits the default answer takes, and what stands for
// an estimate that does not exist.
func TestReport(t *testing.T) {
	const fiducial, posterior, none = "fiducial", "posterior", "none"
	for _, c := range []struct {
		assay  Assay
		status doseresp.Status
		from   string
		median bool // the dose is the posterior median
	}{
		{ordinary, doseresp.Converged, fiducial, false},
		{flat, doseresp.Converged, posterior, false},
		{separated, doseresp.Separated, posterior, true},
		{noneDead, doseresp.NoneDead, posterior, true},
		{falling, doseresp.NegativeSlope, posterior, true},
		{untreated, doseresp.TooFewDoses, none, false},
		{nothing, doseresp.TooFewDoses, none, false},
	} {
		for _, asked := range []bool{false, true} { // asking for the posterior changes no answer
			a := analysed(t, c.assay, AnalysisOptions{Limits: LimitSets{Posterior: asked}})
			if a.Fit.Status != c.status {
				t.Fatalf("%s is %v, want %v", c.assay.Name, a.Fit.Status, c.status)
			}
			if got, want := a.Limits.Posterior != nil, asked && c.from != none || c.from == posterior; got != want {
				t.Errorf("%s: posterior computed: %v, want %v", c.assay.Name, got, want)
			}
			if got, want := slices.Contains(a.codes(), WarnPosteriorUsed), c.from == posterior; got != want || a.Limits.Fallback != want {
				t.Errorf("%s: warned %v, fallback %v, want %v", c.assay.Name, got, a.Limits.Fallback, want)
			}
			for i, lc := range a.Fit.LC {
				nan := math.NaN()
				want := Reported{nan, nan, nan, false}
				switch c.from {
				case fiducial:
					want = Reported{lc.Estimate, lc.Fiducial.Lower, lc.Fiducial.Upper, false}
				case posterior:
					p := a.Limits.PosteriorLC[i]
					want = Reported{lc.Estimate, p.Lower, p.Upper, true}
					if c.median {
						want.Estimate = p.Median
					}
				}
				got := a.Report(i)
				if !same(got.Estimate, want.Estimate) || !same(got.Lower, want.Lower) || !same(got.Upper, want.Upper) || got.Posterior != want.Posterior {
					t.Errorf("%s, LC%g: %+v, want %+v", c.assay.Name, lc.Percent, got, want)
				}
				if c.from != none && !(0 < got.Lower && got.Lower < got.Upper && !math.IsInf(got.Upper, 1) && got.Estimate > 0) {
					t.Errorf("%s, LC%g: %+v is no dose with bounded limits", c.assay.Name, lc.Percent, got)
				}
			}
		}
	}
}

// TestReportMixesWithinAnAssay: of one assay LC50 can have bounded fiducial
// limits where LC99 has none.
func TestReportMixesWithinAnAssay(t *testing.T) {
	a := analysed(t, ordinary, AnalysisOptions{Limits: LimitSets{Posterior: true}})
	last := len(a.Fit.LC) - 1
	a.Fit.LC[last].Fiducial = doseresp.Limits{Lower: 3, Upper: math.Inf(1), Kind: doseresp.UnboundedAbove}
	p := a.Limits.PosteriorLC[last]
	if got, want := a.Report(last), (Reported{a.Fit.LC[last].Estimate, p.Lower, p.Upper, true}); got != want {
		t.Errorf("%+v, want %+v", got, want)
	}
	if got := a.Report(0); got.Posterior || got.Lower != a.Fit.LC[0].Fiducial.Lower {
		t.Errorf("%+v", got)
	}
}

// TestFurtherLimits shows that the sets asked for are computed, and no others.
func TestFurtherLimits(t *testing.T) {
	for _, assay := range []Assay{ordinary, flat, separated, noneDead} {
		for n := range 8 {
			sets := LimitSets{Profile: n&1 > 0, Posterior: n&2 > 0, Bootstrap: n&4 > 0}
			a := analysed(t, assay, AnalysisOptions{Limits: sets, Replicates: 200, Exceeds: []float64{2}})
			l, line := a.Limits, a.Fit.Status == doseresp.Converged
			parallel := func(name string, length int, want bool) {
				t.Helper()
				if want && length != len(a.Fit.LC) || !want && length > 0 {
					t.Errorf("%s, %+v: %d %s limits", assay.Name, sets, length, name)
				}
			}
			parallel("profile", len(l.Profile), sets.Profile)
			parallel("beta-binomial", len(l.BetaBinomialProfile), sets.Profile)
			parallel("posterior", len(l.PosteriorLC), true) // for Exceeds, if for nothing else
			if (l.BetaBinomial != nil) != (sets.Profile && line) {
				t.Errorf("%s, %+v: beta-binomial line %v", assay.Name, sets, l.BetaBinomial)
			}
			if (l.Bootstrap != nil) != (sets.Bootstrap && line) {
				t.Errorf("%s, %+v: bootstrap %v", assay.Name, sets, l.Bootstrap)
			}
			if got, want := slices.Contains(a.codes(), WarnNoBootstrap), sets.Bootstrap && !line; got != want {
				t.Errorf("%s, %+v: no-bootstrap-limits %v, want %v", assay.Name, sets, got, want)
			}
			if want := min(1, l.Posterior.ProbabilityAbove(50, 2)); len(l.Exceeds) != 1 || l.Exceeds[0] != (Exceeds{2, want}) {
				t.Errorf("%s: exceeds %v, want %v", assay.Name, l.Exceeds, want)
			}
		}
	}
}

// TestSeedIsOfTheBootstrapAlone repeats an analysis.
func TestSeedIsOfTheBootstrapAlone(t *testing.T) {
	run := func(seed uint64) Limits {
		return analysed(t, ordinary, AnalysisOptions{
			Limits: LimitSets{Profile: true, Posterior: true, Bootstrap: true}, Replicates: 200, Seed: seed,
		}).Limits
	}
	first, again, other := run(1), run(1), run(2)
	if !slices.Equal(first.Bootstrap.Limits, again.Bootstrap.Limits) {
		t.Error("the same seed gave other limits")
	}
	if slices.Equal(first.Bootstrap.Limits, other.Bootstrap.Limits) {
		t.Error("another seed gave the same limits")
	}
	if !slices.Equal(first.PosteriorLC, other.PosteriorLC) || !slices.Equal(first.Profile, other.Profile) || !slices.Equal(first.BetaBinomialProfile, other.BetaBinomialProfile) {
		t.Error("the seed changed limits that draw no random numbers")
	}
}

// TestExceedsAreProbabilities asks far beyond the counts, where a quadrature
// can come out a hair below 0 or above 1.
func TestExceedsAreProbabilities(t *testing.T) {
	const quadrature = 1e-3 // by which a probability may be wrong
	doses := []float64{1e-9, 1e-3, 0.1, 1, 10, 100, 1e4, 1e9}
	for _, assay := range []Assay{ordinary, flat, separated, noneDead, assayOf("all dead", row{1, 9, 9}, row{2, 9, 9})} {
		before := 1.0
		for i, e := range analysed(t, assay, AnalysisOptions{Exceeds: doses}).Limits.Exceeds {
			if !(0 <= e.Probability && e.Probability <= min(1, before+quadrature)) || e.Dose != doses[i] {
				t.Errorf("%s: %+v after %g", assay.Name, e, before)
			}
			before = e.Probability
		}
	}
}

// TestPriorsReachThePosterior changes one.
func TestPriorsReachThePosterior(t *testing.T) {
	steep := doseresp.DefaultPriors()
	steep.SlopeMedian = 9
	usual := analysed(t, separated, AnalysisOptions{}).Limits
	changed := analysed(t, separated, AnalysisOptions{Priors: &steep}).Limits
	if changed.Posterior.Priors.SlopeMedian != 9 || usual.Posterior.Priors.SlopeMedian != doseresp.DefaultPriors().SlopeMedian {
		t.Errorf("priors %+v and %+v", changed.Posterior.Priors, usual.Posterior.Priors)
	}
	last := len(usual.PosteriorLC) - 1
	if !(changed.PosteriorLC[last].Upper < usual.PosteriorLC[last].Upper) {
		t.Errorf("LC99 up to %g with steep lines, %g with the usual ones", changed.PosteriorLC[last].Upper, usual.PosteriorLC[last].Upper)
	}
}

// TestRobustLimits: the beta-binomial profile where it is bounded, the
// posterior where it is not or where containers are huge, nothing without a
// treated mite. Invented counts.
func TestRobustLimits(t *testing.T) {
	counts := func(n int, dead ...int) Assay {
		a := Assay{Name: "robust", Containers: []Container{{Exposed: n}}}
		for i, r := range dead {
			a.Containers = append(a.Containers, Container{Concentration: float64(int(1) << i), Exposed: n, Dead: r})
		}
		return a
	}
	for _, c := range []struct {
		name  string
		assay Assay
		want  RobustSource
	}{
		{"ordinary", counts(20, 2, 6, 11, 17, 19), RobustBetaBinomial},
		{"separated", counts(20, 0, 0, 20, 20), RobustPosterior},
		{"hardly any slope", counts(5, 1, 2, 2, 3), RobustPosterior},
		{"huge containers", counts(4000, 400, 1200, 2200, 3400, 3800), RobustPosterior},
		{"controls alone", counts(20), RobustNone},
	} {
		a, err := Analyse(c.assay, AnalysisOptions{Limits: LimitSets{Profile: c.name == "huge containers"}})
		if err != nil {
			t.Fatal(err)
		}
		for i, r := range a.Limits.Robust {
			if r.From != c.want {
				t.Errorf("%s, LC%g: from %v, want %v", c.name, a.Fit.LC[i].Percent, r.From, c.want)
			}
			if c.want != RobustNone && !(0 < r.Lower && r.Lower < r.Upper && r.Upper < 1e12) {
				t.Errorf("%s: %+v", c.name, r)
			}
		}
		if c.want != RobustBetaBinomial && a.Limits.BetaBinomial != nil {
			t.Errorf("%s: a beta-binomial line was fitted", c.name)
		}
	}
}
