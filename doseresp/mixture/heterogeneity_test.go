package mixture_test

import (
	"math"
	"testing"

	"vialwise/doseresp"
	"vialwise/doseresp/mixture"
)

// mortality is P of a field container under a form, written out.
func mortality(f *mixture.Form, assay int, dose float64, field bool) float64 {
	c := f.Natural[assay]
	if dose == 0 {
		return c
	}
	killed := doseresp.Probit.CDF(f.Intercept + f.Slope*math.Log10(dose))
	if field {
		q, resistant := f.Fraction, 0.0
		if !math.IsInf(f.Fold, 1) && q > 0 {
			resistant = doseresp.Probit.CDF(f.Intercept + f.Slope*math.Log10(dose/f.Fold))
		}
		killed = (1-q)*killed + q*resistant
	}
	return c + (1-c)*killed
}

// TestHeterogeneity adds up Pearson's X² by hand from the shifted form, over
// all containers and over those that expect one dead and one alive.
func TestHeterogeneity(t *testing.T) {
	const tolerance = 1e-9
	uneven := []doseresp.Container{
		{Dose: 0, Exposed: 20, Dead: 1}, {Dose: 7, Exposed: 10, Dead: 0}, {Dose: 7, Exposed: 10, Dead: 8}, {Dose: 14, Exposed: 10, Dead: 3}, {Dose: 14, Exposed: 10, Dead: 9},
		{Dose: 80, Exposed: 10, Dead: 10}, {Dose: 80, Exposed: 10, Dead: 10}, {Dose: 80, Exposed: 10, Dead: 10}, {Dose: 80, Exposed: 10, Dead: 10},
	}
	for name, field := range map[string][]doseresp.Container{"uneven": uneven, "plateau": plateauField} {
		r := fit(t, field, mixture.Options{})
		var all, telling float64
		n, told := 0, 0
		add := func(k doseresp.Container, p float64) {
			e := float64(k.Exposed)
			x2 := (float64(k.Dead) - e*p) * (float64(k.Dead) - e*p) / (e * p * (1 - p))
			all += x2
			n++
			if e*min(p, 1-p) >= 1 {
				telling += x2
				told++
			}
		}
		for _, k := range smallBaseline {
			add(k, mortality(&r.Shifted, 0, k.Dose, false))
		}
		for _, k := range field {
			add(k, mortality(&r.Shifted, 1, k.Dose, true))
		}
		df := n - 6 // the line, q, s and two C
		want := max(all/float64(df), telling/float64(told-3))
		if math.Abs(r.Heterogeneity.H-want) > tolerance*want || r.DF != df || r.Heterogeneity.Applied != (want > 1) {
			t.Errorf("%s: %+v, df %d; want %g, %d (all %g, telling %g)", name, r.Heterogeneity, r.DF, want, df, all/float64(df), telling/float64(told-3))
		}
		never := fit(t, field, mixture.Options{Heterogeneity: doseresp.Never})
		if h := r.Heterogeneity.Factor(); math.Abs(r.Test.LR*h-never.Test.LR) > 1e-6 || name == "uneven" && !(h > 1.5) {
			t.Errorf("%s: LR %g with h %g, %g without", name, r.Test.LR, h, never.Test.LR)
		}
	}
}

// TestCuts are quantiles of published tables: chi-squared with one degree of
// freedom at 90 and 95 %, F(1, 12) at the same (Student's t² 1.7823², 2.1788²:
// Abramowitz & Stegun 1964, table 26.10).
func TestCuts(t *testing.T) {
	const tolerance = 1e-3
	never := fit(t, plateauField, mixture.Options{Heterogeneity: doseresp.Never})
	if math.Abs(never.Test.Cut-2.7055) > tolerance || math.Abs(never.ShiftedTest.Cut-3.8415) > tolerance {
		t.Errorf("cuts %g and %g", never.Test.Cut, never.ShiftedTest.Cut)
	}
	more := append([]doseresp.Container{{Dose: 7, Exposed: 5, Dead: 2}, {Dose: 14, Exposed: 5, Dead: 3}, {Dose: 80, Exposed: 5, Dead: 4}}, plateauField...)
	r := fit(t, more, mixture.Options{})
	if r.DF != 12 || math.Abs(r.Test.Cut-1.7823*1.7823) > tolerance || math.Abs(r.ShiftedTest.Cut-2.1788*2.1788) > tolerance {
		t.Errorf("df %d, cuts %g and %g", r.DF, r.Test.Cut, r.ShiftedTest.Cut)
	}
	if p := fit(t, plateauField, mixture.Options{Heterogeneity: doseresp.Never}).Test; p.P > 0.05 != (p.LR < p.Cut) {
		t.Errorf("%+v", p)
	}
}

// TestSurvivorsCarryHeterogeneity widens the prediction by the baseline's h.
func TestSurvivorsCarryHeterogeneity(t *testing.T) {
	var uneven []doseresp.Container
	for i, k := range smallBaseline {
		half := doseresp.Container{Dose: k.Dose, Exposed: k.Exposed / 2}
		other := half
		half.Dead = min(k.Dead, 10)
		other.Dead = k.Dead - half.Dead
		if i == 0 || i > 5 {
			half.Dead, other.Dead = k.Dead/2, k.Dead-k.Dead/2
		}
		uneven = append(uneven, half, other)
	}
	survivors := []doseresp.Container{{Dose: 57, Exposed: 40, Dead: 33}}
	p := func(rule doseresp.HeterogeneityRule) float64 {
		b, err := mixture.NewBaseline([][]doseresp.Container{uneven}, mixture.Options{Heterogeneity: rule})
		if err != nil {
			t.Fatal(err)
		}
		s, err := b.Survivors(survivors)
		if err != nil {
			t.Fatal(err)
		}
		return s.P
	}
	if with, without := p(doseresp.WhenAboveOne), p(doseresp.Never); !(with > 1.5*without) {
		t.Errorf("P is %g with h and %g without", with, without)
	}
}
