package meta

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

// TestExpect: the mean of Φ over a normal distribution has the closed form
// Φ(m/√(1+s²)); over a mixture the share below a limit is what it was made for.
func TestExpect(t *testing.T) {
	phi := distuv.UnitNormal.CDF
	s := summarise(t, []float64{-2.1}, []float64{0.2}, Options{Method: Given, Tau2: 0.3})
	if got, want := s.Prediction.Expect(phi), phi(-2.1/math.Sqrt(1+0.2+0.3+0.3)); math.Abs(got-want) > 1e-12 {
		t.Errorf("%.15g, want %.15g", got, want)
	}
	for _, k := range []int{3, 5} {
		y, v := some(k)
		s := summarise(t, y, v, Options{})
		if got := s.Prediction.Expect(func(float64) float64 { return 1 }); math.Abs(got-1) > 1e-14 {
			t.Errorf("%d units: the mean of 1 is %.17g", k, got)
		}
		width := s.Prediction.Upper - s.Prediction.Lower
		soft := s.Prediction.Expect(func(x float64) float64 { return phi((x - s.Prediction.Upper) / (0.02 * width)) })
		if math.Abs(soft-0.025) > 0.001 { // a step, softened to be smooth
			t.Errorf("%d units: %.4f beyond the upper limit", k, soft)
		}
	}
	y, v := some(2)
	if got := summarise(t, y, v, Options{}).Prediction.Expect(phi); !math.IsNaN(got) {
		t.Errorf("two units predict %g", got)
	}
}
