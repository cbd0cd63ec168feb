package doseresp

import (
	"math"
	"testing"
)

// TestTailsOfLink compares the four with the separate functions and F″ with
// the central difference of F', whose own error is about 1e-9.
func TestTailsOfLink(t *testing.T) {
	const step, tolerance, rounding = 1e-5, 1e-8, 1e-15 // the last is relative
	for _, l := range Links() {
		for eta := -30.0; eta <= 30; eta += 0.37 {
			got := l.Tails(eta)
			if got.CDF != l.CDF(eta) || got.Survival != l.Survival(eta) || relativeError(got.Density, l.Density(eta)) > rounding {
				t.Errorf("%v at %g: %+v", l, eta, got)
			}
			want := (l.Density(eta+step) - l.Density(eta-step)) / (2 * step)
			if math.Abs(got.Slope-want) > tolerance {
				t.Errorf("%v at %g: second derivative %g, difference %g", l, eta, got.Slope, want)
			}
		}
		for _, eta := range []float64{-1e4, 1e4} {
			if got := l.Tails(eta); math.IsNaN(got.Slope) || math.IsInf(got.Slope, 0) || math.IsNaN(got.Density) {
				t.Errorf("%v at %g: %+v", l, eta, got)
			}
		}
	}
}
