package mixture

import (
	"math"
	"testing"

	"vialwise/doseresp"
)

// Invented counts: a baseline of two assays and a field whose survivors level
// off at about a fifth.
var (
	firstBaseline = []doseresp.Container{
		{Dose: 0, Exposed: 20, Dead: 1}, {Dose: 2, Exposed: 10, Dead: 1}, {Dose: 2, Exposed: 10, Dead: 0},
		{Dose: 4, Exposed: 20, Dead: 4}, {Dose: 8, Exposed: 20, Dead: 8}, {Dose: 16, Exposed: 20, Dead: 14},
		{Dose: 32, Exposed: 10, Dead: 9}, {Dose: 32, Exposed: 10, Dead: 10}, {Dose: 64, Exposed: 20, Dead: 20},
	}
	secondBaseline = []doseresp.Container{
		{Dose: 0, Exposed: 20, Dead: 0}, {Dose: 5, Exposed: 20, Dead: 5}, {Dose: 10, Exposed: 20, Dead: 11},
		{Dose: 20, Exposed: 20, Dead: 15}, {Dose: 40, Exposed: 20, Dead: 19},
	}
	someField = []doseresp.Container{
		{Dose: 0, Exposed: 20, Dead: 1}, {Dose: 5, Exposed: 10, Dead: 3}, {Dose: 5, Exposed: 10, Dead: 2},
		{Dose: 20, Exposed: 20, Dead: 12}, {Dose: 80, Exposed: 10, Dead: 8}, {Dose: 80, Exposed: 10, Dead: 7},
		{Dose: 160, Exposed: 20, Dead: 17},
	}
)

func someBaseline(t testing.TB, o Options) *Baseline {
	t.Helper()
	b, err := NewBaseline([][]doseresp.Container{firstBaseline, secondBaseline}, o)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// TestDerivatives compares gradient and curvature with central differences.
func TestDerivatives(t *testing.T) {
	const step, tolerance = 1e-5, 2e-5 // relative to the size of the derivative, or 1
	for _, link := range doseresp.Links() {
		for _, tau := range []float64{0, 0.1} {
			j := someBaseline(t, Options{Link: link, Tau: tau}).with(someField)
			for _, shift := range []float64{0.8, math.Inf(1)} {
				p := j.start()
				p[atQ], p[atS], p[atD] = 0.15, shift, 0.03
				d, up, down := newDerivatives(len(p)), newDerivatives(len(p)), newDerivatives(len(p))
				j.m.evaluate(p, &d)
				if l := j.m.loglik(p); math.Abs(l-d.loglik) > 1e-10 {
					t.Errorf("%v: loglik %.12g and %.12g", link, l, d.loglik)
				}
				for i := range p {
					if i == atS && math.IsInf(shift, 1) {
						continue
					}
					at := p[i]
					p[i] = at + step
					j.m.evaluate(p, &up)
					p[i] = at - step
					j.m.evaluate(p, &down)
					p[i] = at
					if want := (up.loglik - down.loglik) / (2 * step); math.Abs(want-d.gradient[i]) > tolerance*max(1, math.Abs(want)) {
						t.Errorf("%v τ %g s %g: gradient %d is %g, difference %g", link, tau, shift, i, d.gradient[i], want)
					}
					for k := range p {
						got := d.observed[max(i, k)][min(i, k)]
						want := -(up.gradient[k] - down.gradient[k]) / (2 * step)
						if math.Abs(want-got) > tolerance*max(1, math.Abs(want)) {
							t.Errorf("%v τ %g s %g: curvature %d,%d is %g, difference %g", link, tau, shift, i, k, got, want)
						}
					}
				}
			}
		}
	}
}

// TestFractionSlope compares the derivatives along q with differences, and
// the survey's q with a fine grid.
func TestFractionSlope(t *testing.T) {
	const step, tolerance = 1e-5, 1e-5
	j := someBaseline(t, Options{}).with(someField)
	p := j.start()
	p[atS] = 1
	j.divide(p)
	value := func(q float64) float64 { p[atQ] = q; return j.fieldLoglik(p) }
	for _, q := range []float64{0.02, 0.2, 0.7} {
		slope, curvature := j.fractionSlope(p, q)
		up, at, down := value(q+step), value(q), value(q-step)
		if want := (up - down) / (2 * step); math.Abs(slope-want) > tolerance*math.Abs(want) {
			t.Errorf("q %g: slope %g, difference %g", q, slope, want)
		}
		if want := -(up - 2*at + down) / (step * step); math.Abs(curvature-want) > 1e-3*want {
			t.Errorf("q %g: curvature %g, difference %g", q, curvature, want)
		}
	}
	best := 0.0
	for q := 0.0; q <= 1; q += 1e-3 {
		if value(q) > value(best) {
			best = q
		}
	}
	if got := j.bestFraction(p); math.Abs(got-best) > 3e-3 {
		t.Errorf("best q %g, grid %g", got, best)
	}
}

// TestProfileLimits shows that the profile has fallen by the cut at the limits
// and is higher between them: an identity of the profile alone.
func TestProfileLimits(t *testing.T) {
	const tolerance = 1e-5
	b := someBaseline(t, Options{})
	r, j, err := b.estimate(someField)
	if err != nil {
		t.Fatal(err)
	}
	i := j.fraction(r)
	if !(i.Lower > 0 && i.Lower < i.Estimate && i.Estimate < i.Upper && i.Upper < 1) {
		t.Fatalf("limits %+v", i)
	}
	top := j.top[shifted]
	cut := r.quantile(0.025)
	for _, c := range []struct{ q, fall float64 }{{i.Lower, cut * cut}, {i.Upper, cut * cut}, {i.Estimate, 0}} {
		p := &profiler{joint: j, last: append([]float64(nil), top.p...)}
		fall := 2 * (top.loglik - p.at(c.q, every)) / r.Heterogeneity.Factor()
		if math.Abs(fall-c.fall) > tolerance*max(1, c.fall) {
			t.Errorf("at q = %g the profile has fallen by %g, want %g", c.q, fall, c.fall)
		}
	}
}
