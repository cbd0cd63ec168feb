package track

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mathext"

	"vialwise/doseresp/sim"
)

// TestShareOfCertain is Jeffreys' interval: 2 of 10, by R 4.2.2:
// qbeta(c(.025, .975), 2.5, 8.5); 0 of 10: qbeta(.975, .5, 10.5).
func TestShareOfCertain(t *testing.T) {
	const tolerance = 1e-6
	p := make([]float64, 10)
	none := ShareAbove(p, 0.95)
	if none.Lower != 0 || math.Abs(none.Upper-0.2171962675) > tolerance {
		t.Errorf("%+v", none)
	}
	p[3], p[7] = 1, 1
	two := ShareAbove(p, 0.95)
	if two.Estimate != 0.2 || math.Abs(two.Lower-0.0440594134) > tolerance || math.Abs(two.Upper-0.5027744964) > tolerance {
		t.Errorf("%+v", two)
	}
	for i := range p {
		p[i] = 1
	}
	if all := ShareAbove(p, 0.95); all.Upper != 1 || math.Abs(all.Lower-(1-0.2171962675)) > tolerance {
		t.Errorf("%+v", all)
	}
}

// TestPoissonBinomial compares with the binomial and with counting by hand.
func TestPoissonBinomial(t *testing.T) {
	const tolerance = 1e-12
	got := poissonBinomial([]float64{0.5, 0.5, 0.5, 0.5})
	for k, want := range []float64{1. / 16, 4. / 16, 6. / 16, 4. / 16, 1. / 16} {
		if math.Abs(got[k]-want) > tolerance {
			t.Errorf("%d: %g", k, got[k])
		}
	}
	got = poissonBinomial([]float64{0.2, 0.9})
	for k, want := range []float64{0.8 * 0.1, 0.2*0.1 + 0.8*0.9, 0.2 * 0.9} {
		if math.Abs(got[k]-want) > tolerance {
			t.Errorf("%d: %g", k, got[k])
		}
	}
	sum := 0.0
	for _, w := range poissonBinomial(slices.Repeat([]float64{0.003, 0.4, 0.99}, 500)) {
		sum += w
	}
	if math.Abs(sum-1) > 1e-8 {
		t.Errorf("1,500 trials: the weights sum to %.12g", sum)
	}
}

// TestMixture compares the recurrence with the sum of incomplete beta functions that
// it stands for, at either end too.
func TestMixture(t *testing.T) {
	const tolerance = 1e-11
	for _, n := range []int{1, 2, 30, 830, 5000} {
		for i, p := range []func(u float64) float64{
			func(u float64) float64 { return u },
			func(u float64) float64 { return u / 1000 },
			func(u float64) float64 { return 1 - u/1e4 },
			math.Round,
		} {
			s, chances := sim.NewSource(uint64(i), uint64(n)), make([]float64, n)
			for k := range chances {
				chances[k] = p(s.Float64())
			}
			weights := poissonBinomial(chances)
			m := newMixture(weights)
			for _, x := range []float64{1e-12, 0.01, 0.3, 0.5, 0.9, 1 - 1e-9} {
				want := 0.0
				for k, w := range weights {
					if w > 0 {
						want += w * mathext.RegIncBeta(float64(k)+0.5, float64(n-k)+0.5, x)
					}
				}
				if got := m.below(x); math.Abs(got-want) > tolerance {
					t.Errorf("%d apiaries, chances %d: %g below %g, want %g", n, i, got, x, want)
				}
			}
		}
	}
}

// TestShareCoverage draws regions whose apiaries are above the bound or not, each
// known with an error, and holds the limits to 93 %.
func TestShareCoverage(t *testing.T) {
	sets := 1500
	if testing.Short() {
		sets = 100
	}
	normal := func(s *sim.Source) float64 {
		return math.Sqrt(-2*math.Log(s.Float64()+0x1p-60)) * math.Cos(2*math.Pi*s.Float64())
	}
	for cell, truth := range []float64{0, 0.1, 0.3, 0.7} {
		for _, n := range []int{5, 12, 30} {
			held := 0
			for i := range sets {
				s := sim.NewSource(uint64(400+10*cell+n), uint64(i))
				p := make([]float64, n)
				for k := range p {
					log := 0.0 // log10 of a ratio of 1, or of 30, about a bound of 5
					if s.Float64() < truth {
						log = math.Log10(30)
					}
					const se = 0.2
					z := (log + se*normal(s) - math.Log10(5)) / se
					p[k] = 0.5 * math.Erfc(-z/math.Sqrt2)
				}
				if l := ShareAbove(p, 0.95); l.Lower <= truth && truth <= l.Upper {
					held++
				}
			}
			share := float64(held) / float64(sets)
			t.Logf("share %.1f of %d apiaries: %.3f", truth, n, share)
			if share < 0.93-3*math.Sqrt(0.93*0.07/float64(sets)) {
				t.Errorf("share %.1f of %d apiaries: limits hold it in %.3f", truth, n, share)
			}
		}
	}
}
