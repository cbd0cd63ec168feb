package doseresp

import (
	"math"
	"testing"
)

// exactly is the rounding that sums by hand may leave.
const exactly = 1e-12

func closeTo(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(got == want || math.IsNaN(got) && math.IsNaN(want) || math.Abs(got-want) <= tolerance*(1+math.Abs(want))) {
		t.Errorf("%s = %.15g, want %.15g", what, got, want)
	}
}

// TestRatioByHand: estimates 2 and 1 (log10), standard errors 0.3 and 0.4, own
// limits 1.4 to 2.8 and 0.4 to 1.5. The combined limits are 1 - √(0.6²+0.5²)
// and 1 + √(0.8²+0.6²) = 2; the delta limits 1 ± 1.959964 × 0.5.
func TestRatioByHand(t *testing.T) {
	a, b := NewLogDose(2, 0.3, 0, 1.4, 2.8), NewLogDose(1, 0.4, 0, 0.4, 1.5)
	r := NewRatio(a, b, nil, 0.95)
	closeTo(t, "estimate", r.Estimate, 10, exactly)
	closeTo(t, "SE", r.Log10SE, 0.5, exactly)
	closeTo(t, "combined lower", math.Log10(r.Mover.Lower), 1-math.Sqrt(0.61), exactly)
	closeTo(t, "combined upper", r.Mover.Upper, 100, exactly)
	closeTo(t, "delta lower", math.Log10(r.Delta.Lower), 1-0.5*1.959963984540054, exactly)
	closeTo(t, "delta upper", math.Log10(r.Delta.Upper), 1+0.5*1.959963984540054, exactly)
	if r.Difference != Greater || r.Basis != ByMover || r.DF != 0 || r.Censored != NotCensored || r.Delta.Kind != Bounded {
		t.Errorf("%+v", r)
	}
	inverse := NewRatio(b, a, nil, 0.95)
	closeTo(t, "inverse lower", inverse.Mover.Lower*r.Mover.Upper, 1, exactly)
	closeTo(t, "inverse upper", inverse.Mover.Upper*r.Mover.Lower, 1, exactly)
	if inverse.Difference != Smaller {
		t.Errorf("inverse is %v", inverse.Difference)
	}
}

// TestPooledDF: (0.09+0.16)²/(0.09²/4) = 30.86; with 0.16²/8 as well 11.96; and
// two that share a factor keep its df. t(30) = 2.042272, qt(.975, 30) of R 4.2.2.
func TestPooledDF(t *testing.T) {
	a, b := NewLogDose(2, 0.3, 4, 1, 3), NewLogDose(1, 0.4, 0, 0, 2)
	if df := pooledDF(a, b); df != 30 {
		t.Errorf("df %d, want 30", df)
	}
	r := NewRatio(a, b, nil, 0.95)
	closeTo(t, "delta upper", math.Log10(r.Delta.Upper), 1+0.5*2.042272456301238, 1e-10)
	b.DF = 8
	if df := pooledDF(a, b); df != 11 {
		t.Errorf("df %d, want 11", df)
	}
	a.shared, b.shared, b.DF = true, true, 4
	if df := pooledDF(a, b); df != 4 {
		t.Errorf("df %d of a shared factor, want 4", df)
	}
	a.shared, a.SE, b.SE, b.DF = false, 0.3, 0, 0
	if df := pooledDF(a, b); df != 4 {
		t.Errorf("df %d beside a known dose, want 4", df)
	}
}

// sideOf fits and takes one LogDose.
func sideOf(t testing.TB, assay []Container, percent float64, o Options) LogDose {
	t.Helper()
	var f Fitter
	var r Result
	if err := f.Fit(assay, o, &r); err != nil {
		t.Fatal(err)
	}
	return f.LogDose(&r, percent)
}

// TestRatioOfCensored: none of 20 dead at dose 4 has the lower profile limit 4
// (TestProfileOfSteps), so that the ratio's is 4/LC50 less the baseline's own
// distance, and the estimate is an inequality.
func TestRatioOfCensored(t *testing.T) {
	o := Options{Heterogeneity: Never}
	base := sideOf(t, series(20, 2, 9, 17, 20), 50, o)
	none := NewRatio(sideOf(t, series(20, 0, 0, 0), 50, o), base, nil, 0.95)
	if none.Censored != CensoredLow || none.Mover.Kind != UnboundedAbove || none.Delta.Kind != Unbounded || !math.IsNaN(none.Estimate) {
		t.Errorf("none dead: %+v", none)
	}
	closeTo(t, "bound", math.Log10(none.Bracket.Lower), math.Log10(4)-base.Estimate, exactly)
	closeTo(t, "lower limit", math.Log10(none.Mover.Lower), math.Log10(4)-base.Upper, 1e-9)
	if none.Difference != Greater {
		t.Errorf("a one-sided limit of %g says %v", none.Mover.Lower, none.Difference)
	}
	all := NewRatio(sideOf(t, series(20, 20, 20, 20), 50, o), base, nil, 0.95)
	if all.Censored != CensoredHigh || all.Mover.Kind != UnboundedBelow || all.Difference != Smaller {
		t.Errorf("all dead: %+v", all)
	}
	closeTo(t, "upper limit", math.Log10(all.Mover.Upper), 0-base.Lower, 1e-9)
	both := NewRatio(sideOf(t, series(20, 0, 0, 20, 20), 50, o), base, nil, 0.95)
	if both.Censored != Interval || both.Mover.Kind != Bounded {
		t.Errorf("separated: %+v", both)
	}
	closeTo(t, "separated, lower bound", math.Log10(both.Bracket.Lower), math.Log10(2)-base.Estimate, exactly)
	if two := NewRatio(sideOf(t, series(20, 0, 0, 0), 50, o), sideOf(t, series(20, 0, 0, 0), 50, o), nil, 0.95); two.Censored != Unplaced ||
		two.Mover.Kind != Unbounded || two.Difference != Undecided {
		t.Errorf("two without a death: %+v", two)
	}
}

// TestMoverWithinLimits: where the bracket reaches beyond the limits, as for a
// step at the lowest dose, the limits take its place: 0.2 - (1 + 0.2), and
// 0.6 - (1 - 0.1) with nothing left to add on the population's side.
func TestMoverWithinLimits(t *testing.T) {
	inf := math.Inf(1)
	a := LogDose{Estimate: math.NaN(), SE: math.NaN(), Lower: 0.2, Upper: 0.6, From: -inf, To: 0.9}
	r := NewRatio(a, NewLogDose(1, 0.1, 0, 0.9, 1.2), nil, 0.95)
	closeTo(t, "lower", math.Log10(r.Mover.Lower), -1, exactly)
	closeTo(t, "upper", math.Log10(r.Mover.Upper), -0.3, exactly)
	if r.Censored != CensoredHigh {
		t.Errorf("censored %v", r.Censored)
	}
}

// TestSeparatedBracket: with half dead at dose 4 LC50 is about there, but LC90
// lies between it and the dose that killed all.
func TestSeparatedBracket(t *testing.T) {
	o := Options{Heterogeneity: Never}
	assay := series(20, 0, 0, 10, 20)
	half, most := sideOf(t, assay, 50, o), sideOf(t, assay, 90, o)
	if pow10(half.From) != 2 || math.Abs(pow10(half.To)-8) > 1e-9 || math.Abs(pow10(most.From)-2) > 1e-9 || math.Abs(pow10(most.To)-8) > 1e-9 {
		t.Errorf("LC50 %v to %v, LC90 %v to %v", pow10(half.From), pow10(half.To), pow10(most.From), pow10(most.To))
	}
	low := sideOf(t, series(20, 0, 0, 3, 20), 50, o) // 3 of 20 is clearly below a half
	tail := sideOf(t, series(20, 0, 0, 3, 20), 10, o)
	if math.Abs(pow10(low.From)-4) > 1e-9 || math.Abs(pow10(tail.From)-2) > 1e-9 {
		t.Errorf("LC50 from %g, LC10 from %g", pow10(low.From), pow10(tail.From))
	}
}

// TestRatioAlwaysOrdered: every pair of statuses gives limits without NaN, in
// order, that a change of the unit of dose leaves alone.
func TestRatioAlwaysOrdered(t *testing.T) {
	const unit = 1024 // a power of two, so that only logarithms round
	for nameA, a := range posteriorCases {
		for nameB, b := range posteriorCases {
			for _, percent := range []float64{10, 50, 99} {
				r := NewRatio(sideOf(t, a, percent, Options{}), sideOf(t, b, percent, Options{}), nil, 0.95)
				for _, l := range []Limits{r.Delta, r.Mover, {Lower: r.Bracket.Lower, Upper: r.Bracket.Upper}} {
					if !(l.Lower <= l.Upper) || l.Lower < 0 || l.Kind == ExcludedRegion {
						t.Errorf("%s/%s LC%g: %+v", nameA, nameB, percent, l)
					}
				}
				if !math.IsNaN(r.Estimate) && !(r.Mover.Lower <= r.Estimate && r.Estimate <= r.Mover.Upper) {
					t.Errorf("%s/%s LC%g: estimate %g outside %+v", nameA, nameB, percent, r.Estimate, r.Mover)
				}
				s := NewRatio(sideOf(t, scaledDoses(a, unit), percent, Options{}), sideOf(t, scaledDoses(b, unit), percent, Options{}), nil, 0.95)
				closeTo(t, nameA+"/"+nameB+" lower in another unit", math.Log(s.Mover.Lower), math.Log(r.Mover.Lower), 1e-7)
				closeTo(t, nameA+"/"+nameB+" upper in another unit", math.Log(s.Mover.Upper), math.Log(r.Mover.Upper), 1e-7)
			}
		}
	}
}

func scaledDoses(assay []Container, by float64) []Container {
	out := make([]Container, len(assay))
	for i, c := range assay {
		out[i] = Container{c.Dose * by, c.Exposed, c.Dead}
	}
	return out
}

// TestRatioDecision: the posterior speaks only where the combined limits
// contain 1 and lack a bound.
func TestRatioDecision(t *testing.T) {
	wide, inf := StudentDistribution(0, 0.1, 0), math.Inf(1)
	far := NewRatioPosterior(StudentDistribution(1, 0.1, 0), wide)
	near := NewRatioPosterior(StudentDistribution(0.1, 0.1, 0), wide)
	base := NewLogDose(0, 0.1, 0, -0.2, 0.2)
	for name, c := range map[string]struct {
		population LogDose
		posterior  *RatioPosterior
		want       Difference
		basis      RatioBasis
	}{
		"bounded, contains 1":            {NewLogDose(0.1, 0.1, 0, -0.1, 0.3), far, NotDifferent, ByMover},
		"one bound excludes 1":           {NewLogDose(1, 0.1, 0, 0.8, inf), near, Greater, ByMover},
		"one bound contains 1":           {NewLogDose(0.1, 0.1, 0, -0.1, inf), far, Greater, ByPosterior},
		"one bound, posterior likewise":  {NewLogDose(0.1, 0.1, 0, -0.1, inf), near, NotDifferent, ByPosterior},
		"one bound, no posterior":        {NewLogDose(0.1, 0.1, 0, -0.1, inf), nil, Undecided, ByMover},
		"no bound, posterior below both": {NewLogDose(0.1, 0.1, 0, -inf, inf), NewRatioPosterior(wide, StudentDistribution(1, 0.1, 0)), Smaller, ByPosterior},
	} {
		if r := NewRatio(c.population, base, c.posterior, 0.95); r.Difference != c.want || r.Basis != c.basis {
			t.Errorf("%s: %v by %v, want %v by %v", name, r.Difference, r.Basis, c.want, c.basis)
		}
	}
}

// TestLogDoseAgreesWithLC: the error computed from intercept and slope is that
// of the fit's own table.
func TestLogDoseAgreesWithLC(t *testing.T) {
	var f Fitter
	var r Result
	for name, rule := range map[string]HeterogeneityRule{"scattered": WhenAboveOne, "ordinary": Never} {
		if err := f.Fit(posteriorCases[name], Options{Heterogeneity: rule}, &r); err != nil {
			t.Fatal(err)
		}
		for _, lc := range r.LC {
			d := f.LogDose(&r, lc.Percent)
			closeTo(t, name+" estimate", pow10(d.Estimate), lc.Estimate, 1e-10)
			closeTo(t, name+" SE", d.SE, lc.Log10SE, 1e-9)
			outside := lc.Estimate < r.LowestDose || lc.Estimate > r.HighestDose
			if r.Heterogeneity.Applied != (d.DF == r.PearsonContainer.DF) || outside != d.Extrapolated {
				t.Errorf("%s LC%g: df %d, extrapolated %v", name, lc.Percent, d.DF, d.Extrapolated)
			}
		}
	}
}

// TestCrossing: lines through (0, 0) and (0, 0) with slopes 2 and 4 cross at
// dose 1 and F = 1/2; shifting one up by 4 moves the crossing to x = 2, F(4).
func TestCrossing(t *testing.T) {
	a, b := &Result{Slope: 2}, &Result{Slope: 4}
	if c := Cross(a, b); c.Dose != 1 || c.Response != 0.5 || !c.Central {
		t.Errorf("%+v", c)
	}
	a.Intercept = 4
	c := Cross(a, b)
	closeTo(t, "dose", c.Dose, 100, exactly)
	closeTo(t, "response", c.Response, Probit.CDF(8), exactly)
	if c.Central {
		t.Error("a crossing at F = 1 is central")
	}
	b.Slope = 2
	if c := Cross(a, b); !math.IsNaN(c.Dose) || c.Central {
		t.Errorf("parallel lines cross: %+v", c)
	}
}
