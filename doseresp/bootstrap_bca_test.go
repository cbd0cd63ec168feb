package doseresp_test

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"vialwise/doseresp"
	"vialwise/doseresp/sim"
)

// TestBootstrapBCaByHand repeats the whole computation from the public Fit
// and the formulas of Efron (1987, J. Am. Stat. Assoc. 82:171-185, from memory).
func TestBootstrapBCaByHand(t *testing.T) {
	const replicates, seed, level = 500, 11, .9
	o := doseresp.Options{Level: level, Percents: []float64{50, 90}}
	for _, set := range []string{"Rotenone", "Fairfax", "BugRes"} {
		assay := counts(t, published[set])
		o.Heterogeneity = doseresp.Never
		got := bootstrap(t, assay, o, doseresp.BootstrapOptions{Replicates: replicates, NewSampler: streams(seed)})
		if got.Bracketed+got.Excluded > 0 {
			t.Fatalf("%s: not the assay that this test wants", set)
		}
		for i, l := range got.Limits {
			logLC := func(c []doseresp.Container) float64 {
				r, err := doseresp.Fit(c, o)
				if err != nil || r.Status != doseresp.Converged {
					t.Fatal(err, r)
				}
				return math.Log10(r.LC[i].Estimate)
			}
			estimate := logLC(assay)
			var drawn, below []float64
			for k := range uint64(replicates) {
				source := sim.NewSource(seed, k)
				copied := slices.Clone(assay)
				for j := range copied {
					copied[j].Dead = source.Binomial(copied[j].Exposed, got.Fit.Mortality(copied[j].Dose))
				}
				drawn = append(drawn, logLC(copied))
			}
			slices.Sort(drawn)
			for _, x := range drawn {
				if x < estimate {
					below = append(below, x)
				}
			}
			var left []float64
			for j, c := range assay {
				if c.Dose > 0 { // the only control stays
					left = append(left, logLC(slices.Delete(slices.Clone(assay), j, j+1)))
				}
			}
			mean, second, third := 0., 0., 0.
			for _, x := range left {
				mean += x / float64(len(left))
			}
			for _, x := range left {
				second += math.Pow(mean-x, 2)
				third += math.Pow(mean-x, 3)
			}
			a := third / (6 * math.Pow(second, 1.5))
			z0 := distuv.UnitNormal.Quantile(float64(len(below)) / replicates)
			end := func(z float64) float64 {
				p := distuv.UnitNormal.CDF(z0 + (z0+z)/(1-a*(z0+z)))
				whole, part := math.Modf(p * (replicates - 1))
				x := drawn[int(whole):]
				return math.Pow(10, (1-part)*x[0]+part*x[1])
			}
			near(t, set+" z0", l.Bias, z0, 1e-12)
			near(t, set+" acceleration", l.Acceleration, a, 1e-6)
			limits(t, set+" BCa", l.BCa, end(-1.6448536269514722), end(1.6448536269514722), 1e-8)
			if l.BCa == l.Percentile {
				t.Errorf("%s: BCa corrects nothing", set)
			}
		}
	}
}

// TestBootstrapWithoutAcceleration: when leaving out one container separates
// the rest, there is no BCa, and the percentiles stand.
func TestBootstrapWithoutAcceleration(t *testing.T) {
	assay := counts(t, "1:20/0 2:20/8 4:20/13 8:20/20")
	r := bootstrap(t, assay, doseresp.Options{}, doseresp.BootstrapOptions{Replicates: 400, NewSampler: streams(1)})
	l := r.Limits[1]
	if !math.IsNaN(l.Acceleration) || l.BCa.Kind != doseresp.Unbounded {
		t.Errorf("acceleration %v, BCa %+v", l.Acceleration, l.BCa)
	}
	if l.Percentile.Kind != doseresp.Bounded {
		t.Errorf("percentile %+v", l.Percentile)
	}
}
