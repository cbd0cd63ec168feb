package doseresp

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestBiasCorrectedTail: Efron & Tibshirani (1993), An Introduction to the
// Bootstrap, chapter 14, spatial test data: z0 = .146 and a = .061 take the
// 5 and 95 % points to 11.0 and 98.5 % (from memory). The tolerance is what the
// rounding of z0 and a to three digits does to them.
func TestBiasCorrectedTail(t *testing.T) {
	const printed = 1e-3
	for _, c := range []struct{ z, want float64 }{{-1.6448536, .110}, {1.6448536, .985}} {
		if got := biasCorrectedTail(c.z, .146, .061); math.Abs(got-c.want) > printed {
			t.Errorf("tail at %v is %v, want %v", c.z, got, c.want)
		}
	}
	if got := biasCorrectedTail(1.96, 0, 0); math.Abs(got-.975) > printed {
		t.Errorf("without bias and acceleration %v, want .975", got)
	}
	if got := biasCorrectedTail(1.96, 0, .6); !math.IsNaN(got) {
		t.Errorf("past the pole of the acceleration %v, want NaN", got)
	}
}

func TestSortedQuantile(t *testing.T) {
	inf := math.Inf(1)
	for _, c := range []struct {
		x       []float64
		p, want float64
	}{
		{[]float64{1, 2, 4, 8, 16}, .5, 4},
		{[]float64{1, 2, 4, 8, 16}, .375, 3},
		{[]float64{1, 2, 4, 8, 16}, 0, 1},
		{[]float64{1, 2, 4, 8, 16}, 1, 16},
		{[]float64{-inf, 2, 4, 8, inf}, .1, -inf},
		{[]float64{-inf, -inf, 4, 8, inf}, .1, -inf},
		{[]float64{-inf, 2, 4, 8, inf}, .25, 2},
		{[]float64{-inf, 2, 4, 8, inf}, .375, 3},
		{[]float64{-inf, 2, 4, 8, inf}, .8, inf},
	} {
		if got := sortedQuantile(c.x, c.p); got != c.want {
			t.Errorf("quantile %v of %v is %v, want %v", c.p, c.x, got, c.want)
		}
	}
}

// TestBias: replicates at the estimate or around it count one half, so that
// these five halve evenly, and the order in which ends are sorted is no matter.
func TestBias(t *testing.T) {
	inf := math.Inf(1)
	even := ordered{low: []float64{-inf, 1, 1, 2, 3}, high: []float64{1, 2, 3, 3, inf}}
	if z := even.bias(2); math.Abs(z) > 1e-15 {
		t.Errorf("z0 = %v, want 0", z)
	}
	if z := even.bias(-5); math.Abs(z-Probit.Quantile(.1)) > 1e-12 { // one bracket reaches down there
		t.Errorf("z0 = %v", z)
	}
	all := ordered{low: []float64{3, 4}, high: []float64{3, 4}}
	if z := all.bias(5); !math.IsInf(z, 1) {
		t.Errorf("z0 = %v, want +Inf", z)
	}
	if z := all.bias(2); !math.IsInf(z, -1) {
		t.Errorf("z0 = %v, want -Inf", z)
	}
}

// TestCorrectedNeedsReplicates: a limit whose tail holds less than one
// replicate is not taken from the outermost one.
func TestCorrectedNeedsReplicates(t *testing.T) {
	var o ordered
	for i := range 400 {
		o.low = append(o.low, float64(i)/100)
	}
	o.high = o.low
	for _, c := range []struct {
		bias, acceleration float64
		want               LimitKind
	}{
		{0, 0, Bounded},
		{-.5, 0, UnboundedBelow}, // Φ(-2.96) 400 = 0.6
		{.5, 0, UnboundedAbove},
		{0, .6, UnboundedAbove}, // past the pole
		{0, math.NaN(), Unbounded},
		{math.Inf(1), 0, Unbounded},
	} {
		got := o.corrected(.95, c.bias, c.acceleration)
		if got.Kind != c.want {
			t.Errorf("z0 %v, a %v: %+v, want %v", c.bias, c.acceleration, got, c.want)
		}
	}
}

// TestBootstrapSingles: with one individual in each container nothing can
// correlate, whatever h.
func TestBootstrapSingles(t *testing.T) {
	var assay []Container
	for i, dead := range []int{1, 0, 1, 6, 6} { // the first one is unlikely, so that h > 1
		for k := range 6 {
			c := Container{Dose: math.Pow(2, float64(i)), Exposed: 1}
			if k < dead {
				c.Dead = 1
			}
			assay = append(assay, c)
		}
	}
	r, err := Bootstrap(assay, Options{}, BootstrapOptions{Replicates: 200, NewSampler: func(i int) Sampler {
		return chance{rand.New(rand.NewPCG(1, uint64(i)))}
	}})
	if err != nil {
		t.Fatal(err)
	}
	if r.Rho != 0 || !r.Fit.Heterogeneity.Applied {
		t.Errorf("rho %v, heterogeneity %+v", r.Rho, r.Fit.Heterogeneity)
	}
}

// chance is a Sampler over the standard generator, seldom with correlation.
type chance struct{ *rand.Rand }

func (c chance) Binomial(n int, p float64) int {
	r := 0
	for range n {
		if c.Float64() < p {
			r++
		}
	}
	return r
}

func (c chance) BetaBinomial(n int, p, rho float64) int {
	if c.Float64() < rho {
		return n * c.Binomial(1, p)
	}
	return c.Binomial(n, p)
}

// TestBootstrapUntidy: whatever the assay, every limit is a number with its
// kind, and brackets, exclusions and finite lines add up.
func TestBootstrapUntidy(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 5))
	bounded, unbounded := 0, 0
	for trial := range 300 {
		o := Options{Link: Links()[trial%3], Natural: NaturalMortality{Mode: NaturalMode(trial % 4), Value: .03}}
		fit, err := Bootstrap(randomAssay(r), o, BootstrapOptions{Replicates: 200, NewSampler: func(i int) Sampler {
			return chance{rand.New(rand.NewPCG(uint64(trial), uint64(i)))}
		}})
		if err != nil {
			continue
		}
		if fit.Rho < 0 || fit.Rho > highestRho || fit.Bracketed+fit.Excluded > fit.Replicates {
			t.Errorf("trial %d: rho %v, %d bracketed, %d excluded", trial, fit.Rho, fit.Bracketed, fit.Excluded)
		}
		for _, l := range fit.Limits {
			for _, k := range []Limits{l.Percentile, l.BCa} {
				ok := k.Lower >= 0 && k.Upper >= k.Lower
				switch k.Kind {
				case Bounded:
					ok = ok && k.Lower > 0 && !math.IsInf(k.Upper, 1)
					bounded++
				case UnboundedAbove:
					ok = ok && k.Lower > 0 && math.IsInf(k.Upper, 1)
					unbounded++
				case UnboundedBelow:
					ok = ok && k.Lower == 0 && !math.IsInf(k.Upper, 1)
				case Unbounded:
					ok = ok && k.Lower == 0 && math.IsInf(k.Upper, 1)
				}
				if !ok {
					t.Errorf("trial %d, LC%v: %+v", trial, l.Percent, k)
				}
			}
		}
	}
	if bounded < 500 || unbounded < 20 {
		t.Errorf("only %d bounded and %d one-sided limits seen", bounded, unbounded)
	}
}
