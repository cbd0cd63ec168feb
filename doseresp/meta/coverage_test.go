package meta_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"vialwise/doseresp/meta"
	"vialwise/doseresp/sim"
)

// held counts how often limits hold the truth.
type held struct{ mean, tau2, prediction, plugIn int }

// simulate draws units with known τ² and variances from 0.3 to 1.7 times
// 0.01, and a further one that was not seen.
func simulate(t *testing.T, k int, tau2 float64, method meta.Method, sets int) (h held) {
	normal := func(s *sim.Source) float64 { return distuv.UnitNormal.Quantile(s.Float64() + 0x1p-54) }
	tau := math.Sqrt(tau2)
	y, v := make([]float64, k), make([]float64, k)
	for set := range sets {
		s := sim.NewSource(uint64(k), uint64(set))
		for i := range y {
			v[i] = 0.01 * (0.3 + 1.4*s.Float64())
			y[i] = tau*normal(s) + math.Sqrt(v[i])*normal(s)
		}
		further := tau * normal(s)
		r, err := meta.Summarise(y, v, meta.Options{Method: method})
		if err != nil {
			t.Fatal(err)
		}
		count := func(n *int, i meta.Interval, truth float64) {
			if i.Lower <= truth && truth <= i.Upper {
				*n++
			}
		}
		count(&h.mean, r.Limits, 0)
		count(&h.tau2, r.Tau2Limits, tau2)
		count(&h.prediction, r.Prediction.Interval, further)
		count(&h.plugIn, r.Prediction.PlugIn, further)
	}
	return h
}

// TestCoverage: limits of the mean, of τ² and of a further unit hold the truth
// at least as often as they say, a few Monte Carlo errors and one per cent
// aside, for any τ²; those of the mean are by construction too wide where τ² is
// small. The plug-in interval does not, which is why it is not the one that is
// used: that is what the last bound records.
func TestCoverage(t *testing.T) {
	const sets, level = 1500, 0.95
	worstPlugIn := 1.0
	for _, k := range []int{4, 6} {
		for _, tau2 := range []float64{0, 0.005, 0.02} {
			for _, method := range []meta.Method{meta.PauleMandel, meta.REML} {
				h := simulate(t, k, tau2, method, sets)
				share := func(n int) float64 { return float64(n) / sets }
				mc := math.Sqrt(level * (1 - level) / sets)
				t.Logf("k %d, tau2 %.3f, %-12v mean %.3f, tau2 %.3f, prediction %.3f, plug-in %.3f; Monte Carlo error %.3f",
					k, tau2, method, share(h.mean), share(h.tau2), share(h.prediction), share(h.plugIn), mc)
				for name, n := range map[string]int{"mean": h.mean, "tau2": h.tau2, "prediction": h.prediction} {
					if share(n) < level-0.01-3*mc {
						t.Errorf("k %d, tau2 %g, %v: %s covers %.3f", k, tau2, method, name, share(n))
					}
				}
				if n := share(h.tau2); tau2 > 0 && n > level+0.01+3*mc {
					t.Errorf("k %d, tau2 %g: limits of tau2 cover %.3f", k, tau2, n)
				}
				worstPlugIn = min(worstPlugIn, share(h.plugIn))
			}
		}
	}
	if worstPlugIn > 0.93 {
		t.Errorf("the plug-in prediction covers %.3f at worst: the reason not to use it is gone", worstPlugIn)
	}
}
