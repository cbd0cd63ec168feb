package doseresp

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

// benchAssay is six doses with two containers each and two controls.
func benchAssay() []Container {
	dead := [][2]int{{1, 0}, {2, 3}, {4, 5}, {8, 7}, {11, 10}, {14, 13}, {15, 14}}
	dose := []float64{0, .5, 1, 2, 4, 8, 16}
	var out []Container
	for i, pair := range dead {
		for _, r := range pair {
			out = append(out, Container{Dose: dose[i], Exposed: 15, Dead: r})
		}
	}
	return out
}

func BenchmarkFit(b *testing.B) {
	assay := benchAssay()
	var f Fitter
	var r Result
	b.ReportAllocs()
	for b.Loop() {
		if err := f.Fit(assay, Options{}, &r); err != nil || r.Status != Converged {
			b.Fatal(err, r.Status)
		}
	}
	b.ReportMetric(float64(r.Iterations), "iterations")
}

// BenchmarkSpecialFunctions is the floor: the special functions that one such
// fit must call whatever its algebra costs, and nothing else. Those are, for
// each iteration and dose, one error function, one exponential for the
// density and two logarithms for the likelihood; then for each container two
// logarithms of the deviance and three log gammas of the coefficients; two
// tail probabilities, a t quantile, four normal quantiles and twelve powers.
func BenchmarkSpecialFunctions(b *testing.B) {
	assay := benchAssay()
	var f Fitter
	var r Result
	if err := f.Fit(assay, Options{}, &r); err != nil {
		b.Fatal(err)
	}
	sink := 0.0
	b.ReportAllocs()
	for b.Loop() {
		for range r.Iterations + 2 { // start and goodness of fit too
			for i := range 6 {
				x := float64(i) - 2.7
				sink += math.Erfc(x) + math.Exp(-x*x) + math.Log(x+4) + math.Log(x+5)
			}
		}
		for i := range assay {
			n, d := float64(assay[i].Exposed), float64(assay[i].Dead)
			g1, _ := math.Lgamma(n + 1)
			g2, _ := math.Lgamma(d + 1)
			g3, _ := math.Lgamma(n - d + 1)
			sink += math.Log(n/3) + math.Log(n/5) + g1 + g2 + g3
		}
		sink += distuv.ChiSquared{K: 11}.Survival(12.3) + distuv.ChiSquared{K: 4}.Survival(3.2)
		for _, p := range []float64{.1, .5, .9, .99, .975} {
			sink += distuv.UnitNormal.Quantile(p)
		}
		for i := range 12 {
			sink += math.Pow(10, float64(i)/7)
		}
	}
	if math.IsNaN(sink) {
		b.Fatal("NaN")
	}
}
