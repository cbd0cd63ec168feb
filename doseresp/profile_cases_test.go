package doseresp

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

func profileOf(t *testing.T, assay []Container, o Options, percent float64) (*Result, Limits) {
	t.Helper()
	var f Fitter
	r := new(Result)
	if err := f.Fit(assay, o, r); err != nil {
		t.Fatal(err)
	}
	return r, f.Profile(r, percent)
}

// series is doses 1, 2, 4, ... with n exposed and so many dead.
func series(n int, dead ...int) []Container {
	var out []Container
	for i, r := range dead {
		out = append(out, Container{Dose: math.Ldexp(1, i), Exposed: n, Dead: r})
	}
	return out
}

// TestProfileOfLargeSample: with many individuals the likelihood is a parabola
// and the limits are those of the delta method.
func TestProfileOfLargeSample(t *testing.T) {
	const n = 4_000_000
	for _, link := range Links() {
		var assay []Container
		assay = append(assay, Container{Exposed: n, Dead: n / 25})
		for i := range 6 {
			dose := math.Ldexp(1, i)
			p := .04 + .96*link.CDF(-2+2.2*math.Log10(dose))
			assay = append(assay, Container{Dose: dose, Exposed: n, Dead: int(math.Round(n * p))})
		}
		for _, percent := range []float64{10, 50, 90, 99} {
			r, l := profileOf(t, assay, Options{Link: link, Heterogeneity: Never, Percents: []float64{percent}}, percent)
			reach := distuv.UnitNormal.Quantile(.975) * r.LC[0].Log10SE
			for side, dose := range []float64{l.Lower, l.Upper} {
				by := math.Abs(math.Log10(dose/r.LC[0].Estimate)) / reach
				if math.Abs(by-1) > .01 {
					t.Errorf("%v LC%g side %d: %.4f of the delta method's distance", link, percent, side, by)
				}
			}
		}
	}
}

// TestProfileOfSteps holds limits that can be told without a computer.
// With counts of n a change of a whole dose from certain to probability p
// costs 2 n log(1/p), which for n = 20 exceeds every cut used here.
func TestProfileOfSteps(t *testing.T) {
	never := Options{Heterogeneity: Never}
	for _, c := range []struct {
		name    string
		assay   []Container
		percent float64
		status  Status
		want    Limits
	}{
		{"separated", series(20, 0, 0, 20, 20), 50, Separated, Limits{Lower: 2, Upper: 4}},
		{"separated, LC99", series(200, 0, 0, 200, 200), 99, Separated, Limits{Lower: 2, Upper: math.NaN()}},
		{"all dead", series(20, 20, 20, 20), 50, AllDead, Limits{Upper: 1, Kind: UnboundedBelow}},
		{"none dead", series(20, 0, 0, 0), 50, NoneDead, Limits{Lower: 4, Upper: math.Inf(1), Kind: UnboundedAbove}},
		{"no slope", series(20, 10, 10, 10), 50, NoSlope, Limits{Upper: math.Inf(1), Kind: Unbounded}},
		{"negative slope", series(20, 15, 10, 5), 50, NegativeSlope, Limits{Upper: math.Inf(1), Kind: Unbounded}},
		{"one dose", series(20, 5), 50, TooFewDoses, Limits{Upper: math.Inf(1), Kind: Unbounded}},
		// Two of two dead at the lowest dose: 4 log 2 = 2.77 < 3.84, so that the limit lies beyond it.
		{"few, all dead", series(2, 2, 2, 2), 50, AllDead, Limits{Upper: math.NaN(), Kind: UnboundedBelow}},
		{"few, none dead", series(2, 0, 0, 0), 50, NoneDead, Limits{Lower: math.NaN(), Upper: math.Inf(1), Kind: UnboundedAbove}},
	} {
		r, l := profileOf(t, c.assay, never, c.percent)
		if r.Status != c.status || l.Kind != c.want.Kind {
			t.Errorf("%s: %v, %v", c.name, r.Status, l)
		}
		for side, pair := range [][2]float64{{l.Lower, c.want.Lower}, {l.Upper, c.want.Upper}} {
			if want := pair[1]; !math.IsNaN(want) && pair[0] != want && !(math.Abs(pair[0]-want) <= 1e-12*want) {
				t.Errorf("%s: side %d is %.17g, want %g", c.name, side, pair[0], want)
			}
		}
	}
	_, half := profileOf(t, series(20, 0, 10, 20), never, 50) // symmetric about dose 2
	if !(1 < half.Lower && half.Lower < 2 && math.Abs(half.Lower*half.Upper-4) < 1e-9) {
		t.Errorf("half dead at dose 2: limits %v", half)
	}
	_, beyond := profileOf(t, series(2, 2, 2, 2), never, 50)
	if !(beyond.Upper > 1 && beyond.Upper < 4) {
		t.Errorf("two of two dead: upper limit %g", beyond.Upper)
	}
	_, before := profileOf(t, series(2, 0, 0, 0), never, 50)
	if !(math.Abs(before.Lower*beyond.Upper-4) < 1e-9) { // the mirror image about dose 2
		t.Errorf("upper limit %g of all dead, lower limit %g of none dead", beyond.Upper, before.Lower)
	}
}

// TestProfileOneSided: where g > 1 Fieller's set is the whole line or all but
// a gap; the profile, which knows that the slope is not negative, keeps the
// bound on the side where mortality cannot be constant.
func TestProfileOneSided(t *testing.T) {
	assay := series(10, 1, 1, 3, 2, 4)
	for _, c := range []struct {
		percent float64
		kind    LimitKind
	}{{50, UnboundedAbove}, {90, UnboundedAbove}, {25, Unbounded}, {1, UnboundedBelow}} {
		r, l := profileOf(t, assay, Options{Heterogeneity: Never, Level: .99}, c.percent)
		if !(r.G > 1) {
			t.Fatalf("g = %g", r.G)
		}
		if l.Kind != c.kind {
			t.Errorf("LC%g: %v %v, want %v", c.percent, l, l.Kind, c.kind)
		}
	}
}

// TestProfileCut holds h and the quantile of each rule. The quantiles are
// chi-squared 3.841459 and F(1, 4) 7.708647, qchisq(.95, 1) and qf(.95, 1, 4)
// of R 4.2.2.
func TestProfileCut(t *testing.T) {
	const chi, f4 = 3.841458820694124, 7.708647422176786
	rough, smooth := series(50, 16, 18, 34, 47, 47, 48), series(50, 5, 12, 24, 37, 46, 49)
	for _, c := range []struct {
		name  string
		assay []Container
		rule  HeterogeneityRule
		apply bool
		q     float64
	}{
		{"rough", rough, Never, false, chi},
		{"rough", rough, WhenAboveOne, true, f4},
		{"rough", rough, WhenSignificant, true, f4},
		{"smooth", smooth, Never, false, chi},
		{"smooth", smooth, WhenAboveOne, false, f4},
		{"smooth", smooth, WhenSignificant, false, chi},
		{"two doses", series(50, 10, 40), WhenAboveOne, false, chi},
		{"separated", series(20, 0, 0, 0, 20, 20, 20), WhenAboveOne, false, f4},
	} {
		var f Fitter
		var r Result
		if err := f.Fit(c.assay, Options{Heterogeneity: c.rule}, &r); err != nil {
			t.Fatal(err)
		}
		h, q := f.profileCut(&r)
		want := 1.0
		if c.apply {
			want = r.PearsonContainer.X2 / 4
		}
		if h != want || math.Abs(q-c.q) > 1e-9 {
			t.Errorf("%s, %v: h %g and q %.12g, want %g and %.12g", c.name, c.rule, h, q, want, c.q)
		}
	}
}

// TestStepPearson: in separated data the containers of the one dose with
// partial kill and those below it can disagree. By hand: two containers of 10
// with 2 and 8 dead around a half give 2·3²/2.5 = 7.2; controls and the lowest
// dose, 1 of 10 and 3 of 10 around a fifth, give 2·1/1.6 = 1.25.
func TestStepPearson(t *testing.T) {
	assay := []Container{{0, 10, 1}, {1, 10, 3}, {2, 10, 2}, {2, 10, 8}, {4, 10, 10}, {8, 10, 10}, {16, 10, 10}}
	var f Fitter
	var r Result
	if err := f.Fit(assay, Options{}, &r); err != nil || r.Status != Separated {
		t.Fatal(err, r.Status)
	}
	if x := f.model.stepPearson(&r); math.Abs(x.X2-8.45) > 1e-12 || x.DF != 4 {
		t.Errorf("X2 %g with %d df, want 8.45 with 4", x.X2, x.DF)
	}
	if h, _ := f.profileCut(&r); math.Abs(h-8.45/4) > 1e-12 {
		t.Errorf("h %g", h)
	}
	// Abbott's correction by 1 in 10 takes 2 of 10 to 10/9 and 8 of 10 to 70/9,
	// around 40/9: 2·(30/9)²/(40/9·5/9) = 9. The lowest dose then has none dead.
	assay[1].Dead = 1
	if err := f.Fit(assay, Options{Natural: NaturalMortality{Mode: AbbottCorrection}}, &r); err != nil || r.Status != Separated {
		t.Fatal(err, r.Status)
	}
	if x := f.model.stepPearson(&r); math.Abs(x.X2-9) > 1e-12 || x.DF != 4 {
		t.Errorf("after Abbott's correction X2 %g with %d df, want 9 with 4", x.X2, x.DF)
	}
}

// TestProfileEdge compares the closed form of the limiting likelihood with a
// dense grid over C and the rate.
func TestProfileEdge(t *testing.T) {
	const grid = 1500
	m := model{design: &design{}, freeC: true}
	for _, c := range []struct{ low, at group }{
		{group{exposed: 30, dead: 3}, group{exposed: 50, dead: 20}},
		{group{exposed: 30, dead: 0}, group{exposed: 50, dead: 20}},
		{group{exposed: 30, dead: 20}, group{exposed: 50, dead: 5}},
		{group{exposed: 10, dead: 10}, group{exposed: 10, dead: 2}},
		{group{exposed: 10, dead: 1}, group{exposed: 10, dead: 10}},
		{group{exposed: 10, dead: 1}, group{exposed: 10, dead: 0}},
	} {
		for _, pivot := range []float64{.01, .3, .5, .9, .99} {
			p := profiler{m: &m, cdf: pivot, survival: 1 - pivot}
			for _, side := range []pivotSide{belowPivot, atPivot, abovePivot} {
				best := math.Inf(-1)
				for i := range grid + 1 {
					C := float64(i) / grid
					lo, hi := C, C+(1-C)*pivot
					if side != belowPivot {
						lo, hi = hi, 1
					}
					if side == atPivot {
						hi = lo
					}
					rate := min(max(c.at.rate(), lo), hi)
					best = max(best, binomialTerm(c.low, C, 1-C)+binomialTerm(c.at, rate, 1-rate))
				}
				// The grid misses the maximum by at most a curvature of about n/C times half a step squared.
				if got := p.edge(c.low, c.at, side); !(got >= best-1e-9 && got <= best+2e-3) {
					t.Errorf("%v %v pivot %g side %d: %.6f, the grid finds %.6f", c.low, c.at, pivot, side, got, best)
				}
			}
		}
	}
}

// TestProfileAllocatesNothing, also where C has rivals or the data separate.
func TestProfileAllocatesNothing(t *testing.T) {
	for _, assay := range [][]Container{profileBench(), series(20, 0, 0, 20, 20), series(10, 1, 1, 3, 2, 4)} {
		var f Fitter
		var r Result
		if err := f.Fit(assay, Options{}, &r); err != nil {
			t.Fatal(err)
		}
		if n := testing.AllocsPerRun(20, func() { f.Profile(&r, 50) }); n != 0 {
			t.Errorf("%v: %g allocations", r.Status, n)
		}
	}
}

// profileBench is six doses of three containers and three controls; invented.
func profileBench() []Container {
	dead := [][3]int{{1, 0, 0}, {2, 3, 1}, {4, 5, 4}, {8, 7, 9}, {11, 10, 12}, {14, 13, 14}, {15, 14, 15}}
	var out []Container
	for i, three := range dead {
		dose := 0.0
		if i > 0 {
			dose = math.Ldexp(.25, i)
		}
		for _, r := range three {
			out = append(out, Container{Dose: dose, Exposed: 15, Dead: r})
		}
	}
	return out
}

func BenchmarkProfile(b *testing.B) {
	for _, c := range []struct {
		name    string
		assay   []Container
		natural NaturalMode
		percent float64
		link    Link
	}{
		{"estimated/LC50", profileBench(), Estimated, 50, Probit},
		{"estimated/LC99", profileBench(), Estimated, 99, Probit},
		{"none/LC50", profileBench(), None, 50, Probit},
		{"none/LC99", profileBench(), None, 99, Probit},
		{"awkward/separated", series(20, 0, 0, 20, 20), None, 50, Probit},
		{"awkward/all-dead", series(3, 3, 3, 3, 3), None, 50, Probit},
		{"awkward/one-sided", append(series(10, 1, 1, 3, 2, 4), Container{0, 10, 1}), Estimated, 50, Probit},
		// The slowest of 20000 random untidy assays: few individuals, no order
		// in their deaths, and steep lines above almost every dose that rival.
		{"awkward/rivals", append(series(3, 0, 1, 1, 0, 2, 0, 2, 3), Container{0, 3, 0}), Estimated, 90, Cloglog},
	} {
		b.Run(c.name, func(b *testing.B) {
			var f Fitter
			var r Result
			if err := f.Fit(c.assay, Options{Link: c.link, Heterogeneity: WhenSignificant, Natural: NaturalMortality{Mode: c.natural}}, &r); err != nil {
				b.Fatal(err)
			}
			b.ReportAllocs()
			for b.Loop() {
				f.Profile(&r, c.percent)
			}
		})
	}
}
