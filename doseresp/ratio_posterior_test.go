package doseresp

import (
	"fmt"
	"math"
	"testing"
)

// studentDifference is P(T₁ - T₂ > 2) for two independent t with 3 df, by R 4.2.2:
// integrate(function(y) pt(2 + y, 3, lower = FALSE) * dt(y, 3), -Inf, Inf).
const studentDifference = 0.1438140255

// TestRatioOfNormals: the difference of two normal doses is normal, whichever
// is the wider.
func TestRatioOfNormals(t *testing.T) {
	const tolerance = 2e-4 // in standard errors and in probability
	for _, c := range [][4]float64{{0, 0.1, 0, 0.1}, {1, 0.05, -1, 0.5}, {-2, 0.4, 3, 0.02}, {0.3, 1e-6, 0.1, 0.2}} {
		r := NewRatioPosterior(StudentDistribution(c[0], c[1], 0), StudentDistribution(c[2], c[3], 0))
		mean, se := c[0]-c[2], math.Hypot(c[1], c[3])
		l := r.Limits(0.95)
		for side, got := range []float64{l.Lower, l.Median, l.Upper} {
			want := mean + []float64{-1.959964, 0, 1.959964}[side]*se
			if d := math.Abs(math.Log10(got)-want) / se; d > tolerance {
				t.Errorf("%v side %d: off by %.2g standard errors", c, side, d)
			}
		}
		for _, z := range []float64{-3, -1, 0.5, 2} {
			got, want := r.ProbabilityAbove(math.Pow(10, mean+z*se)), Probit.Survival(z)
			if math.Abs(got-want) > tolerance {
				t.Errorf("%v z %g: %.6f, want %.6f", c, z, got, want)
			}
		}
	}
	r := NewRatioPosterior(StudentDistribution(0, 1, 3), StudentDistribution(0, 1, 3))
	if p := r.ProbabilityAbove(100); math.Abs(p-studentDifference) > tolerance {
		t.Errorf("P(T1 - T2 > 2) = %.6f, want %.6f", p, studentDifference)
	}
	if r.ProbabilityAbove(0) != 1 || r.ProbabilityAbove(1e300) > 1e-6 {
		t.Error("probabilities at the ends")
	}
}

// TestDistributionOfPosterior: the table returns the posterior's own
// probabilities at its limits.
func TestDistributionOfPosterior(t *testing.T) {
	const tolerance = 2e-4
	worst := 0.0
	for name, c := range posteriorCases {
		p := posterior(t, c, Options{}, DefaultPriors())
		for _, percent := range []float64{10, 50, 90, 99} {
			d, l := p.Distribution(percent), p.LC(percent, 0.95)
			for side, dose := range []float64{l.Lower, l.Median, l.Upper} {
				e := math.Abs(d.cumulative(math.Log10(dose)) - []float64{.025, .5, .975}[side])
				if worst = max(worst, e); e > tolerance {
					t.Errorf("%s LC%g side %d: off by %.2g", name, percent, side, e)
				}
			}
		}
	}
	t.Logf("worst error in probability %.2g", worst)
}

// TestRatioPosteriorAgainstDenseSum compares with a sum over 20,000 steps of
// the two posteriors' own cumulative probabilities.
func TestRatioPosteriorAgainstDenseSum(t *testing.T) {
	const steps, tolerance = 20_000, 1.5e-3
	names := []string{"ordinary", "separated", "all dead", "falling", "scattered"}
	if testing.Short() {
		names = names[:2]
	}
	worst := 0.0
	for i, a := range names {
		b := names[(i+1)%len(names)]
		p, q := posterior(t, posteriorCases[a], Options{}, DefaultPriors()), posterior(t, posteriorCases[b], Options{}, DefaultPriors())
		for _, percent := range []float64{50, 99} {
			shift := Probit.Quantile(percent / 100)
			ratio := NewRatioPosterior(p.Distribution(percent), q.Distribution(percent))
			l := ratio.Limits(0.95)
			low, high := q.quantile(1e-7, shift, 1e-6), q.quantile(1-1e-7, shift, 1e-6)
			for _, x := range []float64{math.Log10(l.Lower), math.Log10(l.Median), math.Log10(l.Upper), 0} {
				sum, last := 0.0, q.cumulative(low, shift)
				for k := range steps {
					y := low + (high-low)*(float64(k)+0.5)/steps
					next := q.cumulative(low+(high-low)*float64(k+1)/steps, shift)
					sum += (next - last) * p.cumulative(x+y, shift)
					last = next
				}
				e := math.Abs(ratio.below(x) - sum)
				if worst = max(worst, e); e > tolerance {
					t.Errorf("%s/%s LC%g at %g: %.5f, dense sum %.5f", a, b, percent, x, ratio.below(x), sum)
				}
			}
		}
	}
	t.Logf("worst error in probability %.2g", worst)
}

// TestRatioPosteriorIdentities: the ratio to oneself has median 1 and
// reciprocal limits, and exchanging the two turns the ratio over.
func TestRatioPosteriorIdentities(t *testing.T) {
	const tolerance = 1e-3 // of log10
	p := posterior(t, posteriorCases["ordinary"], Options{}, DefaultPriors()).Distribution(90)
	q := posterior(t, posteriorCases["scattered"], Options{}, DefaultPriors()).Distribution(90)
	self := NewRatioPosterior(p, p).Limits(0.9)
	if math.Abs(math.Log10(self.Median)) > tolerance || math.Abs(math.Log10(self.Lower*self.Upper)) > tolerance {
		t.Errorf("ratio to itself: %+v", self)
	}
	there, back := NewRatioPosterior(p, q), NewRatioPosterior(q, p)
	a, b := there.Limits(0.9), back.Limits(0.9)
	if math.Abs(math.Log10(a.Lower*b.Upper)) > tolerance || math.Abs(math.Log10(a.Upper*b.Lower)) > tolerance {
		t.Errorf("%+v and back %+v", a, b)
	}
	for _, k := range []float64{0.3, 1, 2.5} {
		if s := there.ProbabilityAbove(k) + back.ProbabilityAbove(1/k); math.Abs(s-1) > 1e-3 {
			t.Errorf("P(R > %g) + P(1/R > 1/%g) = %.6f", k, k, s)
		}
	}
	for _, probability := range []float64{0.001, 0.025, 0.5, 0.9} {
		if got := there.below(there.quantile(probability)); math.Abs(got-probability) > 1e-7 {
			t.Errorf("quantile at %g has %.9f below", probability, got)
		}
	}
}

func TestImpossibleDistributions(t *testing.T) {
	for name, make := range map[string]func(){
		"no error":     func() { StudentDistribution(0, 0, 3) },
		"negative df":  func() { StudentDistribution(0, 1, -1) },
		"NaN":          func() { StudentDistribution(0, math.NaN(), 0) },
		"level of one": func() { NewRatio(LogDose{}, LogDose{}, nil, 1) },
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s: no panic", name)
				}
			}()
			make()
		}()
	}
}

// BenchmarkCompare is all that one population costs beside a prepared
// baseline: fit, posterior, both tests, and at LC50 and LC90 the ratio with
// every kind of limits.
func BenchmarkCompare(b *testing.B) {
	field, base := threeVials(), benchAssay()
	percents := []float64{50, 90}
	var baseline [2]*DoseDistribution
	post := posterior(b, base, Options{}, DefaultPriors())
	for i, p := range percents {
		baseline[i] = post.Distribution(p)
	}
	var c LineComparer
	var t LineTests
	b.ReportAllocs()
	for b.Loop() {
		compareAll(b, field, base, percents, baseline[:], &c, &t)
	}
}

func compareAll(tb testing.TB, field, base []Container, percents []float64, baseline []*DoseDistribution, c *LineComparer, t *LineTests) {
	var f, g Fitter
	var r, s Result
	if err := f.Fit(field, Options{}, &r); err != nil {
		tb.Error(err)
		return
	}
	if err := g.Fit(base, Options{}, &s); err != nil {
		tb.Error(err)
		return
	}
	post := posterior(tb, field, Options{}, DefaultPriors())
	shared := f.Dispersion(&r).Plus(g.Dispersion(&s))
	for i, p := range percents {
		x := NewRatio(f.SharedLogDose(&r, p, shared), g.SharedLogDose(&s, p, shared), NewRatioPosterior(post.Distribution(p), baseline[i]), 0.95)
		if x.Mover.Kind != Bounded || math.IsNaN(x.Posterior.Median) {
			tb.Error(x)
			return
		}
	}
	if err := c.Compare([][][]Container{{base}, {field}}, Options{}, t); err != nil || t.Equality.Reason != Tested {
		tb.Error(err)
		return
	}
}

// BenchmarkCompareParts shows where the time goes.
func BenchmarkCompareParts(b *testing.B) {
	field, base := threeVials(), benchAssay()
	p, q := posterior(b, field, Options{}, DefaultPriors()), posterior(b, base, Options{}, DefaultPriors())
	b.Run("distribution", func(b *testing.B) {
		for b.Loop() {
			p.Distribution(90)
		}
	})
	pd, qd := p.Distribution(90), q.Distribution(90)
	b.Run("posterior of the ratio", func(b *testing.B) {
		for b.Loop() {
			NewRatioPosterior(pd, qd).Limits(0.95)
		}
	})
	b.Run("line tests", func(b *testing.B) {
		var c LineComparer
		var t LineTests
		b.ReportAllocs()
		for b.Loop() {
			if err := c.Compare([][][]Container{{base}, {field}}, Options{}, &t); err != nil {
				b.Fatal(err)
			}
		}
	})
	for name, assay := range map[string][]Container{"ordinary": field, "scattered": posteriorCases["scattered"]} {
		b.Run(fmt.Sprintf("shared dose, %s", name), func(b *testing.B) {
			var f Fitter
			var r Result
			if err := f.Fit(assay, Options{}, &r); err != nil {
				b.Fatal(err)
			}
			d := f.Dispersion(&r)
			for b.Loop() {
				f.SharedLogDose(&r, 90, d)
			}
		})
	}
}
