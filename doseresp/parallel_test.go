package doseresp

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

func compareLines(t testing.TB, o Options, groups ...[][]Container) LineTests {
	t.Helper()
	tests, err := CompareLines(groups, o)
	if err != nil {
		t.Fatal(err)
	}
	return tests
}

func together(assays ...[]Container) [][]Container { return assays }

// TestSeveralAssaysOfOneLine: without natural mortality of their own, assays
// of one population are one assay, cut anywhere; with C fixed too.
func TestSeveralAssaysOfOneLine(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 8))
	seen := map[Status]int{}
	for i := range 300 {
		o := Options{Link: Links()[i%3], Natural: NaturalMortality{Mode: []NaturalMode{None, Fixed}[i%2], Value: 0.03}}
		all := randomAssay(r)
		cut := 1 + r.IntN(len(all)-1)
		fit, err := Fit(all, o)
		if err != nil {
			continue
		}
		base := together(benchAssay())
		one, several := compareLines(t, o, base, together(all)), compareLines(t, o, base, together(all[:cut], all[cut:]))
		a, b := one.Populations[1], several.Populations[1]
		where := fmt.Sprintf("assay %d %v %v cut at %d: %v", i, o.Link, o.Natural.Mode, cut, all)
		if math.IsNaN(a.LogLik) {
			continue // a falling step: the joint ascent may report its bound
		}
		seen[fit.Status]++
		if a.Status != b.Status {
			t.Errorf("%s: %v, as several %v", where, a.Status, b.Status)
		}
		closeTo(t, where+" log-likelihood", b.LogLik, a.LogLik, 1e-8)
		if fit.Status == Converged {
			closeTo(t, where+" slope", b.Slope, fit.Slope, 1e-7)
			closeTo(t, where+" intercept", b.Intercept, fit.Intercept, 1e-7)
			closeTo(t, where+" X²", b.Pearson.X2, fit.PearsonContainer.X2, 1e-6)
			closeTo(t, where+" H", several.H, one.H, 1e-6)
			if b.Pearson.DF != fit.PearsonContainer.DF {
				t.Errorf("%s: df %d, want %d", where, b.Pearson.DF, fit.PearsonContainer.DF)
			}
		}
		closeTo(t, where+" parallelism", several.Parallelism.X2, one.Parallelism.X2, 1e-6)
		closeTo(t, where+" equality", several.Equality.X2, one.Equality.X2, 1e-6)
	}
	if seen[Converged] < 100 || len(seen) < 3 {
		t.Errorf("assays seen: %v", seen)
	}
}

// TestBoundsOfTheLikelihood: what no line reaches is still the bound that the
// counts have, here all 0: each dose kills all or none.
func TestBoundsOfTheLikelihood(t *testing.T) {
	o := Options{Natural: NaturalMortality{Mode: None}}
	for name, c := range map[string]struct {
		assay  []Container
		status Status
	}{
		"separated": {series(20, 0, 0, 20, 20), Separated}, "all dead": {series(20, 20, 20), AllDead}, "none dead": {series(20, 0, 0), NoneDead},
	} {
		for _, assays := range [][][]Container{{c.assay}, {c.assay, c.assay}, {c.assay[:1], c.assay[1:]}} {
			tests := compareLines(t, o, together(benchAssay()), assays)
			p := tests.Populations[1]
			if p.Status != c.status || math.Abs(p.LogLik) > 1e-9 || !math.IsNaN(p.Slope) {
				t.Errorf("%s in %d assays: %+v", name, len(assays), p)
			}
			if !tests.Equality.AtBound || tests.Equality.Reason != Tested || tests.Pooled.Units != 14-2 {
				t.Errorf("%s: equality %+v, %d units", name, tests.Equality, tests.Pooled.Units)
			}
		}
	}
	// Two like populations at their bounds lose nothing by one line.
	tests := compareLines(t, o, together(series(20, 20, 20)), together(series(20, 20, 20)))
	if x := tests.Equality; !(x.X2 < 1e-8) || x.P < 0.999 || x.Verdict != x.P {
		t.Errorf("all dead twice: %+v", x)
	}
}

// TestNoTest gives every reason for which there is none.
func TestNoTest(t *testing.T) {
	line, dead := together(benchAssay()), together(series(20, 20, 20))
	for name, c := range map[string]struct {
		groups   [][][]Container
		parallel NoTest
		equal    NoTest
	}{
		"one population": {[][][]Container{line}, OnePopulation, OnePopulation},
		"one dose":       {[][][]Container{line, together(series(20, 7))}, NoRisingLine, NoRisingLine},
		"no dose":        {[][][]Container{line, together([]Container{{0, 10, 1}})}, NoRisingLine, NoRisingLine},
		"falling step":   {[][][]Container{line, together(series(20, 20, 20, 0))}, NoRisingLine, NoRisingLine},
		"all dead":       {[][][]Container{line, dead}, NoFiniteSlope, Tested},
		"two separated":  {[][][]Container{together(series(20, 0, 20, 20)), together(series(20, 0, 0, 20))}, NoFiniteSlope, Tested},
		"one separated":  {[][][]Container{line, together(series(20, 0, 0, 20))}, Tested, Tested},
		"third has none": {[][][]Container{line, dead, line}, Tested, Tested},
	} {
		tests := compareLines(t, Options{}, c.groups...)
		if tests.Parallelism.Reason != c.parallel || tests.Equality.Reason != c.equal {
			t.Errorf("%s: %v and %v, want %v and %v", name, tests.Parallelism.Reason, tests.Equality.Reason, c.parallel, c.equal)
		}
		for _, x := range []LineTest{tests.Parallelism, tests.Equality} {
			if math.IsNaN(x.Verdict) != (x.Reason != Tested) || x.Reason == Tested && !(x.X2 >= 0) {
				t.Errorf("%s: %+v", name, x)
			}
		}
	}
	third := compareLines(t, Options{}, line, dead, line)
	if third.Parallelism.DF != 1 || third.Equality.DF != 4 || !math.IsNaN(third.Parallel.Intercepts[1]) || math.Abs(third.Parallel.Ratios[2].Estimate-1) > 1e-9 {
		t.Errorf("a population without slope among three: %+v", third)
	}
}

// TestCompareRefuses names the assay that is no assay.
func TestCompareRefuses(t *testing.T) {
	_, err := CompareLines([][][]Container{together(benchAssay()), together(benchAssay(), []Container{{1, 3, 4}})}, Options{})
	var where *AssayError
	if !errors.As(err, &where) || where.Population != 1 || where.Assay != 1 || !errors.Is(err, ErrCounts) {
		t.Errorf("error %v", err)
	}
	if _, err := CompareLines(nil, Options{Level: 2}); !errors.Is(err, ErrOptions) {
		t.Errorf("error %v", err)
	}
}

// TestLineTestsOfOnePopulationTwice: nothing differs from itself, in any
// number of copies, and equal lines lie within parallel ones.
func TestLineTestsOfOnePopulationTwice(t *testing.T) {
	for _, link := range Links() {
		a, b := together(benchAssay()), together(threeVials())
		same := compareLines(t, Options{Link: link}, a, a, a)
		if !(same.Parallelism.X2 < 1e-9 && same.Equality.X2 < 1e-9) || same.Parallelism.DF != 2 || same.Equality.DF != 4 {
			t.Errorf("%v, thrice the same: %+v %+v", link, same.Parallelism, same.Equality)
		}
		two, swapped := compareLines(t, Options{Link: link}, a, b), compareLines(t, Options{Link: link}, b, a)
		if two.Equality.X2 < two.Parallelism.X2 {
			t.Errorf("%v: equality %g below parallelism %g", link, two.Equality.X2, two.Parallelism.X2)
		}
		closeTo(t, "parallelism, swapped", swapped.Parallelism.X2, two.Parallelism.X2, 1e-8)
		closeTo(t, "equality, swapped", swapped.Equality.X2, two.Equality.X2, 1e-8)
		x, y := two.Parallel.Ratios[1], swapped.Parallel.Ratios[1]
		for what, pair := range map[string][2]float64{
			"estimate": {x.Estimate, y.Estimate}, "delta": {x.Delta.Lower, y.Delta.Upper},
			"Fieller": {x.Fieller.Upper, y.Fieller.Lower}, "profile": {x.Profile.Lower, y.Profile.Upper},
		} {
			closeTo(t, what+" turned over", pair[0]*pair[1], 1, 1e-6)
		}
	}
}

// TestVerdictFollowsRule: F where the rule applies the factor, else chi-squared.
func TestVerdictFollowsRule(t *testing.T) {
	rough, smooth := together(posteriorCases["scattered"]), together(benchAssay())
	for _, c := range []struct {
		population [][]Container
		rule       HeterogeneityRule
		f          bool
	}{
		{rough, WhenAboveOne, true}, {rough, WhenSignificant, true}, {rough, Never, false},
		{smooth, WhenAboveOne, false}, {smooth, WhenSignificant, false},
	} {
		tests := compareLines(t, Options{Heterogeneity: c.rule}, c.population, together(threeVials()))
		for _, x := range []LineTest{tests.Parallelism, tests.Equality} {
			want := x.P
			if c.f {
				want = x.PF
			}
			if x.Verdict != want || c.f != tests.Heterogeneity.Applied {
				t.Errorf("%v: verdict %g of %+v, factor %+v", c.rule, x.Verdict, x, tests.Heterogeneity)
			}
			closeTo(t, "F", x.F, x.X2/float64(x.DF)/tests.H, exactly)
			if tests.H < 1 || x.DF2 != tests.Pooled.DF {
				t.Errorf("H %g, df %d", tests.H, x.DF2)
			}
		}
	}
}

// TestCommonRatioWithoutLimits: where mortality hardly follows dose the ratio
// has a bound on one side, or none, and Fieller agrees that there are not two.
func TestCommonRatioWithoutLimits(t *testing.T) {
	o := Options{Heterogeneity: Never}
	one := compareLines(t, o, together(series(10, 5, 6, 5, 7)), together(series(10, 2, 1, 3, 2))).Parallel.Ratios[1]
	if one.Profile.Kind != UnboundedAbove || !(one.Estimate > one.Profile.Lower) || one.Fieller.Kind == Bounded {
		t.Errorf("level lines apart: %+v", one)
	}
	back := compareLines(t, o, together(series(10, 2, 1, 3, 2)), together(series(10, 5, 6, 5, 7))).Parallel.Ratios[1]
	if back.Profile.Kind != UnboundedBelow || math.Abs(back.Profile.Upper*one.Profile.Lower-1) > 1e-6 {
		t.Errorf("the other way: %+v", back)
	}
	none := compareLines(t, o, together(series(10, 4, 6, 5, 6)), together(series(10, 5, 4, 6, 5))).Parallel.Ratios[1]
	if none.Profile.Kind != Unbounded {
		t.Errorf("level lines together: %+v", none)
	}
}

// TestComparerIsReusable gives the same answers in used memory as in new, for
// calls of different sizes, and does not depend on the unit of dose.
func TestComparerIsReusable(t *testing.T) {
	a, b, c := together(benchAssay()), together(threeVials()), together(posteriorCases["scattered"], benchAssay())
	calls := [][][][]Container{{a, b}, {a, b, c}, {c, a}, {a}, {b, a}}
	var comparer LineComparer
	var used LineTests
	for i, groups := range calls {
		if err := comparer.Compare(groups, Options{}, &used); err != nil {
			t.Fatal(err)
		}
		if fresh := compareLines(t, Options{}, groups...); fmt.Sprint(fresh) != fmt.Sprint(used) {
			t.Errorf("call %d: %+v, in used memory %+v", i, fresh, used)
		}
	}
	scaled := func(p [][]Container) (out [][]Container) {
		for _, assay := range p {
			s := scaledDoses(assay, 1e4)
			slices.Reverse(s)
			out = append(out, s)
		}
		return out
	}
	x, y := compareLines(t, Options{}, a, c), compareLines(t, Options{}, scaled(a), scaled(c))
	closeTo(t, "parallelism in another unit", y.Parallelism.X2, x.Parallelism.X2, 1e-7)
	closeTo(t, "equality in another unit", y.Equality.X2, x.Equality.X2, 1e-7)
	closeTo(t, "ratio in another unit", y.Parallel.Ratios[1].Profile.Upper, x.Parallel.Ratios[1].Profile.Upper, 1e-6)
}

// TestHolm holds p.adjust(p, "holm") of R 4.2.2.
func TestHolm(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct{ p, want []float64 }{
		{[]float64{.01, .04, .03, .005}, []float64{.03, .06, .06, .02}},
		{[]float64{.2, .001, .0011, .04, .04, .9, .013}, []float64{.4, .007, .007, .16, .16, .9, .065}},
		{[]float64{.03, nan, .02}, []float64{.04, nan, .04}},
		{nil, nil},
	} {
		got := Holm(c.p)
		for i := range c.want {
			if math.IsNaN(c.want[i]) != math.IsNaN(got[i]) || math.Abs(got[i]-c.want[i]) > exactly {
				t.Errorf("Holm(%v) = %v, want %v", c.p, got, c.want)
				break
			}
		}
		if len(got) != len(c.p) {
			t.Errorf("%d of %d adjusted", len(got), len(c.p))
		}
	}
}
