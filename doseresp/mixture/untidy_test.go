package mixture_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"vialwise/doseresp"
	"vialwise/doseresp/mixture"
)

// TestUntidyFields fits fields that no one would plan: results are numbers
// within their domains, or an error that has a name.
func TestUntidyFields(t *testing.T) {
	fields := [][]doseresp.Container{
		{{Dose: 5, Exposed: 1, Dead: 0}},
		{{Dose: 5, Exposed: 1, Dead: 1}, {Dose: 10, Exposed: 0, Dead: 0}},
		{{Dose: 1e-9, Exposed: 20, Dead: 20}, {Dose: 1e9, Exposed: 20, Dead: 0}},
		{{Dose: 1e9, Exposed: 20, Dead: 0}, {Dose: 1e12, Exposed: 20, Dead: 0}},
		{{Dose: 80, Exposed: 20, Dead: 0}, {Dose: 160, Exposed: 20, Dead: 20}},
		{{Dose: 0, Exposed: 20, Dead: 20}, {Dose: 80, Exposed: 20, Dead: 20}, {Dose: 160, Exposed: 20, Dead: 19}},
		{{Dose: 0, Exposed: 20, Dead: 20}, {Dose: 80, Exposed: 20, Dead: 0}, {Dose: 160, Exposed: 20, Dead: 0}},
		{{Dose: 0, Exposed: 20, Dead: 1}, {Dose: 80, Exposed: 100000, Dead: 99000}, {Dose: 160, Exposed: 100000, Dead: 99500}},
		{{Dose: 3, Exposed: 20, Dead: 20}, {Dose: 6, Exposed: 20, Dead: 20}, {Dose: 12, Exposed: 20, Dead: 20}},
	}
	random := rand.New(rand.NewPCG(7, 7))
	for range 60 {
		var field []doseresp.Container
		for range 1 + random.IntN(6) {
			n := random.IntN(25)
			field = append(field, doseresp.Container{Dose: math.Pow(10, 6*random.Float64()-2) * float64(random.IntN(5)), Exposed: n, Dead: random.IntN(n + 1)})
		}
		fields = append(fields, field)
	}
	fitted := 0
	for _, link := range doseresp.Links() {
		for _, tau := range []float64{0, 0.2} {
			b, err := mixture.NewBaseline([][]doseresp.Container{smallBaseline}, mixture.Options{Link: link, Tau: tau})
			if err != nil {
				t.Fatal(err)
			}
			for _, field := range fields {
				r, err := b.Fit(field)
				if errors.Is(err, mixture.ErrField) {
					continue
				}
				if err != nil {
					t.Errorf("%v τ %g %v: %v", link, tau, field, err)
					continue
				}
				fitted++
				checkDomains(t, r, field)
			}
		}
	}
	t.Logf("%d fits", fitted)
}

func checkDomains(t *testing.T, r *mixture.Result, field []doseresp.Container) {
	t.Helper()
	limits := r.Posterior.Limits(0.95)
	ordered := []mixture.Interval{limits}
	if r.Identified {
		ordered = append(ordered, r.Fraction)
	}
	for _, i := range ordered {
		if !(i.Lower >= 0 && i.Lower <= i.Estimate && i.Estimate <= i.Upper && i.Upper <= 1) {
			t.Errorf("%v: interval %+v", field, i)
		}
	}
	finite := map[string]float64{
		"null": r.Null.LogLik, "plateau": r.Plateau.LogLik, "shifted": r.Shifted.LogLik, "LR": r.Test.LR, "mean": r.Posterior.Mean,
		"share": r.Doses[0].Share, "information": r.Doses[0].PerMite, "expected": r.Doses[0].Expected,
	}
	for name, x := range finite {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			t.Errorf("%v: %s is %g", field, name, x)
		}
	}
	if r.Null.LogLik > r.Plateau.LogLik+1e-6 || r.Plateau.LogLik > r.Shifted.LogLik+1e-6 {
		t.Errorf("%v: log-likelihoods %g, %g, %g do not rise", field, r.Null.LogLik, r.Plateau.LogLik, r.Shifted.LogLik)
	}
	for _, p := range []float64{r.Test.P, r.ShiftedTest.P, r.Posterior.Above(0.1), r.Posterior.Plateau} {
		if !(p >= 0 && p <= 1) {
			t.Errorf("%v: probability %g", field, p)
		}
	}
}
