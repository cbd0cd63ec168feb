package bioassay_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"vialwise/bioassay"
	"vialwise/doseresp"
	"vialwise/doseresp/sim"
)

// published sets of counts, dose:exposed/dead, from Lei & Sun (2018), BMC
// Pharmacology and Toxicology, article s40360-018-0250-1, table 1.
var (
	rotenone = publishedAssay("rotenone", bioassay.RoleField, [][3]float64{{2.6, 50, 6}, {3.8, 48, 16}, {5.1, 46, 24}, {7.7, 49, 42}, {10.2, 50, 44}})
	deguelin = publishedAssay("deguelin", bioassay.RoleBaseline, [][3]float64{{5.1, 49, 16}, {10, 48, 18}, {20.4, 48, 34}, {30.2, 49, 47}, {40.7, 50, 47}, {50.1, 48, 48}})
)

func publishedAssay(name string, role bioassay.Role, rows [][3]float64) bioassay.Assay {
	a := bioassay.Assay{Name: name, Role: role}
	for _, r := range rows {
		a.Containers = append(a.Containers, bioassay.Container{Concentration: r[0], Exposed: int(r[1]), Dead: int(r[2])})
	}
	return a
}

// neverOptions are those of the published ratios: expected information and no
// heterogeneity.
func neverOptions() bioassay.CompareOptions {
	return bioassay.CompareOptions{Analysis: bioassay.AnalysisOptions{Fit: doseresp.Options{Heterogeneity: doseresp.Never, Information: doseresp.Expected}}}
}

func comparer(t testing.TB, o bioassay.CompareOptions, assays ...bioassay.Assay) *bioassay.Comparer {
	t.Helper()
	return comparerOf(t, bioassay.BaselineOptions{Analysis: o.Analysis}, o, assays...)
}

// comparerOf is a comparer whose baseline has options of its own.
func comparerOf(t testing.TB, given bioassay.BaselineOptions, o bioassay.CompareOptions, assays ...bioassay.Assay) *bioassay.Comparer {
	t.Helper()
	b, err := bioassay.BuildBaseline("susceptible", assays, given)
	if err != nil {
		t.Fatal(err)
	}
	c, err := bioassay.NewComparer(b, o)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// TestCompareOfPublishedLines holds the ratio, its published limits and the
// two tests of rotenone and deguelin (Lei & Sun 2018, as above, results tables,
// recomputed with base R).
func TestCompareOfPublishedLines(t *testing.T) {
	c, err := comparer(t, neverOptions(), deguelin).Compare(rotenone)
	if err != nil {
		t.Fatal(err)
	}
	const tolerance = 1e-4
	near := func(what string, got, want float64) {
		t.Helper()
		if !(math.Abs(got-want) <= tolerance*want) {
			t.Errorf("%s %.6g, want %.6g", what, got, want)
		}
	}
	r50, r90 := c.Ratios[1], c.Ratios[2]
	near("RR50", r50.Estimate, .489190)
	near("lower", r50.Delta.Lower, .39766)
	near("upper", r50.Delta.Upper, .60178)
	near("RR90", r90.Estimate, .32130)
	near("lower", r90.Delta.Lower, .2431)
	near("upper", r90.Delta.Upper, .4246)
	near("parallelism", c.Lines.Parallelism.X2, 8.40863)
	near("equality", c.Lines.Equality.X2, 49.37763)
	if r50.Difference != doseresp.Smaller || c.Lines.Parallelism.DF != 1 || c.Lines.Equality.DF != 2 {
		t.Errorf("%v, df %d and %d", r50.Difference, c.Lines.Parallelism.DF, c.Lines.Equality.DF)
	}
	if !(r50.Mover.Lower > .39 && r50.Mover.Upper < .62 && r50.Posterior.Lower > .2 && r50.Posterior.Upper < .9) {
		t.Errorf("combined %v, posterior %v", r50.Mover, r50.Posterior)
	}
	if has(c.Warnings, bioassay.WarnNotParallel) != true {
		t.Errorf("no word of slopes that differ: %v", c.Warnings)
	}
}

func has(warnings []bioassay.Warning, code bioassay.WarningCode) bool {
	for _, w := range warnings {
		if w.Code == code {
			return true
		}
	}
	return false
}

// TestCompareRefusesOtherProtocols names the field.
func TestCompareRefusesOtherProtocols(t *testing.T) {
	base, field := deguelin, rotenone
	base.Protocol, field.Protocol = "vial-residue", "dish-residue"
	_, err := comparer(t, neverOptions(), base).Compare(field)
	var mismatch *bioassay.NotComparableError
	if !errors.As(err, &mismatch) || mismatch.Field != "protocol" {
		t.Errorf("%v", err)
	}
	field.Protocol = ""
	c, err := comparer(t, neverOptions(), base).Compare(field)
	if err != nil || !has(c.Warnings, bioassay.WarnFieldUnknown) {
		t.Errorf("a protocol on one side alone: %v", err)
	}
}

// simulated draws an assay of a known truth.
func simulated(name string, truth sim.Truth, seed uint64, doses ...float64) bioassay.Assay {
	if doses == nil {
		doses = []float64{.25, .5, 1, 2, 4, 8}
	}
	design := sim.Design{Doses: doses, Replicates: 2, Exposed: 15, Controls: 2}
	a := bioassay.Assay{Name: name, Acaricide: "amitraz", Unit: "ug/vial", Protocol: "vial-residue"}
	for i, k := range sim.Assay(truth, design, sim.NewSource(seed, 1)) {
		a.Containers = append(a.Containers, bioassay.Container{Label: fmt.Sprint(i), Concentration: k.Dose, Exposed: k.Exposed, Dead: k.Dead})
	}
	return a
}

var susceptible = sim.Truth{LC50: 1, Slope: 2.8, NaturalMortality: .02}

func moved(t sim.Truth, fold float64) sim.Truth {
	t.LC50 *= fold
	return t
}

func baselineAssays(folds ...float64) (all []bioassay.Assay) {
	for i, fold := range folds {
		a := simulated(fmt.Sprint("baseline ", i), moved(susceptible, fold), uint64(100+i))
		a.Role, a.Population = bioassay.RoleBaseline, fmt.Sprint(i)
		all = append(all, a)
	}
	return all
}

// TestCompareWithVariableBaseline: a population that lies among the susceptible
// ones differs from none of them, whatever its ratio to their mean; one far
// above lies beyond.
func TestCompareWithVariableBaseline(t *testing.T) {
	c := comparer(t, bioassay.CompareOptions{}, baselineAssays(.6, .8, 1, 1.3, 1.8)...)
	for _, k := range []struct {
		fold float64
		want bioassay.Natural
	}{{1, bioassay.NaturalWithin}, {1.6, bioassay.NaturalWithin}, {30, bioassay.NaturalBeyond}, {.02, bioassay.NaturalBelow}} {
		doses := []float64{.25 * k.fold, .5 * k.fold, k.fold, 2 * k.fold, 4 * k.fold, 8 * k.fold}
		r, err := c.Compare(simulated("field", moved(susceptible, k.fold), 7, doses...))
		if err != nil {
			t.Fatal(err)
		}
		if got := r.Ratios[1]; got.Natural != k.want {
			t.Errorf("fold %g: %v, ratio %.3g (%.3g-%.3g), beyond %v", k.fold, got.Natural, got.Estimate, got.Mover.Lower, got.Mover.Upper, got.Beyond)
		}
	}
	alone := comparer(t, bioassay.CompareOptions{}, baselineAssays(1)...)
	r, err := alone.Compare(simulated("field", susceptible, 7))
	if err != nil || r.Ratios[1].Natural != bioassay.NaturalUnknown {
		t.Errorf("one assay tells of no variation: %v %v", r.Ratios[1].Natural, err)
	}
}

// TestCompareCensored carries "> d" and "< d" into the ratio.
func TestCompareCensored(t *testing.T) {
	c := comparer(t, bioassay.CompareOptions{}, baselineAssays(1)...)
	none := simulated("field", moved(susceptible, 1e6), 3)
	for i := range none.Containers {
		none.Containers[i].Dead = 0
	}
	r, err := c.Compare(none)
	if err != nil {
		t.Fatal(err)
	}
	got := r.Ratios[1]
	if got.Censored != doseresp.CensoredLow || !(got.Bracket.Lower > 4) || !math.IsInf(got.Mover.Upper, 1) || got.Difference != doseresp.Greater {
		t.Errorf("none dead: %+v", got)
	}
	if !has(r.Warnings, bioassay.WarnCensoredRatio) {
		t.Error("no word of it")
	}
	all := simulated("field", moved(susceptible, 1e-6), 3)
	if r, err = c.Compare(all); err != nil {
		t.Fatal(err)
	}
	if got := r.Ratios[1]; got.Censored != doseresp.CensoredHigh || got.Difference != doseresp.Smaller || got.Mover.Lower != 0 {
		t.Errorf("all dead: %+v", got)
	}
}

// TestTwoBaselineAssays: one degree of freedom for the variation between them
// gives limits that hide resistance of any size, so nothing is decided.
func TestTwoBaselineAssays(t *testing.T) {
	c := comparer(t, bioassay.CompareOptions{}, baselineAssays(.9, 1.1)...)
	r, err := c.Compare(simulated("field", moved(susceptible, 4), 7, 1, 2, 4, 8, 16))
	if err != nil {
		t.Fatal(err)
	}
	if got := r.Ratios[1]; got.Difference != doseresp.Undecided || !(got.Estimate > 2) || got.Mover.Kind != doseresp.Unbounded {
		t.Errorf("two assays decide: %+v", got)
	}
	if three, err := comparer(t, bioassay.CompareOptions{}, baselineAssays(.9, 1, 1.1)...).Compare(simulated("field", moved(susceptible, 4), 7, 1, 2, 4, 8, 16)); err != nil || three.Ratios[1].Difference != doseresp.Greater {
		t.Errorf("three assays: %+v, %v", three.Ratios[1], err)
	}
}

// TestWholeShift marks a population that moved as a whole to higher doses, not
// one that moved to lower ones nor one with an immune part.
func TestWholeShift(t *testing.T) {
	c := comparer(t, bioassay.CompareOptions{}, baselineAssays(1)...)
	immune := susceptible
	immune.ResistantFraction, immune.ResistantShift = .3, math.Inf(1)
	for _, k := range []struct {
		name  string
		truth sim.Truth
		want  bool
	}{{"hardier", moved(susceptible, 2.5), true}, {"weaker", moved(susceptible, .4), false}, {"part", immune, false}} {
		r, err := c.Compare(simulated(k.name, k.truth, 11))
		if err != nil {
			t.Fatal(err)
		}
		if r.WholeShift != k.want || has(r.Warnings, bioassay.WarnWholeShift) != k.want {
			t.Errorf("%s: %v, q %.2f, fold %.2f", k.name, r.WholeShift, r.Fraction.Shifted.Fraction, r.Fraction.Shifted.Fold)
		}
	}
}

// TestWholeShiftBeyondVariation: a population eight times as hardy throughout is
// no minority, also where the variation among susceptible populations is known.
func TestWholeShiftBeyondVariation(t *testing.T) {
	c := comparer(t, bioassay.CompareOptions{}, baselineAssays(.8, .9, 1, 1.1, 1.25)...)
	r, err := c.Compare(simulated("field", moved(susceptible, 8), 12, 1, 2, 4, 8, 16, 32))
	if err != nil {
		t.Fatal(err)
	}
	if !(r.Fraction.Tau > 0) || !(r.Fraction.Fraction.Upper > .999) {
		t.Fatalf("tau %g, q %+v", r.Fraction.Tau, r.Fraction.Fraction)
	}
	if !r.WholeShift || r.Ratios[1].Natural != bioassay.NaturalBeyond {
		t.Errorf("%v, %v", r.WholeShift, r.Ratios[1].Natural)
	}
}

// TestOneDoseTellsNoRatio: the posterior would hand back its prior.
func TestOneDoseTellsNoRatio(t *testing.T) {
	rules := &bioassay.RatioBands{Percent: 50, Bands: bioassay.RuleBands{{Name: "high", From: 10, Above: true}, {Name: "low"}}}
	r, err := comparer(t, bioassay.CompareOptions{Bands: rules}, baselineAssays(1)...).Compare(simulated("one", susceptible, 11, 4))
	if err != nil || r.Bands != nil || r.Ratios[1].Difference != doseresp.Undecided || r.Single == nil {
		t.Errorf("bands %v, %v, %v", r.Bands, r.Ratios[1].Difference, err)
	}
}

// TestBandChances: the bands share out the whole probability, and a hundredfold
// population is in the highest.
func TestBandChances(t *testing.T) {
	rules := &bioassay.RatioBands{Percent: 50, Bands: bioassay.RuleBands{{Name: "high", From: 10, Above: true}, {Name: "moderate", From: 5}, {Name: "low"}}}
	c := comparer(t, bioassay.CompareOptions{Bands: rules}, baselineAssays(1)...)
	for _, k := range []struct {
		fold float64
		want string
	}{{1, "low"}, {7, "moderate"}, {100, "high"}} {
		r, err := c.Compare(simulated("field", moved(susceptible, k.fold), 5, .5*k.fold, k.fold, 2*k.fold, 4*k.fold))
		if err != nil {
			t.Fatal(err)
		}
		sum, likeliest := 0.0, r.Bands[0]
		for _, b := range r.Bands {
			sum += b.Probability
			if b.Probability > likeliest.Probability {
				likeliest = b
			}
		}
		if math.Abs(sum-1) > 1e-9 || likeliest.Name != k.want {
			t.Errorf("fold %g: %v, which add up to %g", k.fold, r.Bands, sum)
		}
	}
}

// TestResistantMinority: a quarter of immune mites is found although the LC50
// hardly moves; without them nothing is.
func TestResistantMinority(t *testing.T) {
	c := comparer(t, bioassay.CompareOptions{}, baselineAssays(1)...)
	truth := susceptible
	truth.ResistantFraction, truth.ResistantShift = .25, math.Inf(1)
	r, err := c.Compare(simulated("field", truth, 9))
	if err != nil {
		t.Fatal(err)
	}
	if !r.Fraction.Test.Rejects() || !(r.Fraction.Fraction.Lower < .25 && .25 < r.Fraction.Fraction.Upper) {
		t.Errorf("a quarter: %+v, %+v", r.Fraction.Fraction, r.Fraction.Test)
	}
	if r, err = c.Compare(simulated("field", susceptible, 9)); err != nil || r.Fraction.Test.Rejects() {
		t.Errorf("none: %+v, %v", r.Fraction.Test, err)
	}
	one, err := c.Compare(simulated("field", truth, 9, 8))
	if err != nil || one.Survivors == nil || one.Single == nil || one.Fraction != nil {
		t.Fatalf("one concentration: %v", err)
	}
	if !(one.Survivors.P < .05) || one.Survivors.Survived != one.Single.Survivors {
		t.Errorf("one concentration: %+v", one.Survivors)
	}
}

// TestAdjust is Holm's adjustment by hand: .01, .03 and .04 of three give .03,
// .06 and .06.
func TestAdjust(t *testing.T) {
	var all []*bioassay.Comparison
	for _, p := range []float64{.04, math.NaN(), .01, .03} {
		c := new(bioassay.Comparison)
		c.Lines.Equality.Verdict, c.Lines.Parallelism.Verdict = p, math.NaN()
		c.Adjusted.Equality = math.NaN()
		all = append(all, c)
	}
	bioassay.Adjust(all)
	for i, want := range []float64{.06, math.NaN(), .03, .06} {
		if got := all[i].Adjusted.Equality; math.Abs(got-want) > 1e-12 || math.IsNaN(got) != math.IsNaN(want) {
			t.Errorf("%d: %g, want %g", i, got, want)
		}
	}
}
