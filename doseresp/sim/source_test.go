package sim

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

const (
	// monteCarlo is how many standard errors a simulated moment may lie from
	// theory. The streams are fixed, so a test that passes keeps passing.
	monteCarlo = 5.0
	// rareChiSquared is the tail probability below which frequencies disagree
	// with theory. About a hundred are judged, so the least is expected near 0.01.
	rareChiSquared = 1e-4
	draws          = 200_000
)

// golden are the first ten numbers of stream 7 of seed 2031, computed apart
// from this code in Python's integers from the published steps of SplitMix64
// and PCG-DXSM (testdata/golden.py).
var golden = [10]float64{
	0.1928970191863264, 0.8752337961647457, 0.013245786077282107, 0.9514729447234249, 0.13527058723676855,
	0.9910511113215462, 0.013583550267596944, 0.32890628380350584, 0.6330726749653545, 0.3937785744319745,
}

func TestStreamRepeats(t *testing.T) {
	s := NewSource(2031, 7)
	for i, want := range golden {
		if got := s.Float64(); got != want {
			t.Errorf("number %d of the stream is %v, want %v", i, got, want)
		}
	}
}

func TestStreamsDiffer(t *testing.T) {
	firsts := map[float64]string{}
	for seed := range uint64(30) {
		for stream := range uint64(30) {
			name := fmt.Sprintf("seed %d stream %d", seed, stream)
			first := NewSource(seed, stream).Float64()
			if other, ok := firsts[first]; ok {
				t.Errorf("%s starts like %s", name, other)
			}
			firsts[first] = name
		}
	}
}

// Numbers must be uniform and free of serial correlation along a stream and,
// what is harder, across the streams of neighbouring replicates.
func TestUniformAlongAndAcrossStreams(t *testing.T) {
	along := NewSource(1, 1)
	stream := uint64(0)
	for name, next := range map[string]func() float64{
		"along":  along.Float64,
		"across": func() float64 { stream++; return NewSource(1, stream).Float64() },
	} {
		const cells = 20
		single, pairs := make([]int, cells), make([]int, cells*cells)
		last := next()
		for range draws {
			u := next()
			if u < 0 || u >= 1 {
				t.Fatalf("%s: %v lies outside [0, 1)", name, u)
			}
			single[int(u*cells)]++
			pairs[int(last*cells)*cells+int(u*cells)]++
			last = u
		}
		judge(t, name+", single numbers", single, func(int) float64 { return 1. / cells })
		judge(t, name+", pairs", pairs, func(int) float64 { return 1. / (cells * cells) })
	}
}

var proportions = []float64{1e-3, .05, .3, .5, .7, .98}

func TestBinomialDistribution(t *testing.T) {
	for _, n := range []int{1, 5, 12, 60, 1100} {
		for i, p := range proportions {
			name := fmt.Sprintf("n %d p %v", n, p)
			s := NewSource(11, uint64(n*100+i))
			counts := tally(t, name, n, func() int { return s.Binomial(n, p) })
			judge(t, name, counts, func(k int) float64 { return binomialMass(n, k, p) })
			moments(t, name, counts, p, 0)
		}
	}
}

func TestBetaBinomialDistribution(t *testing.T) {
	for _, n := range []int{2, 12, 60} {
		for i, p := range []float64{.05, .3, .5, .98} {
			for j, rho := range []float64{1e-6, .05, .15, .6, .999} {
				name := fmt.Sprintf("n %d p %v rho %v", n, p, rho)
				s := NewSource(13, uint64(n*100+i*10+j))
				counts := tally(t, name, n, func() int { return s.BetaBinomial(n, p, rho) })
				judge(t, name, counts, func(k int) float64 { return betaBinomialMass(n, k, p, rho) })
				moments(t, name, counts, p, rho)
			}
		}
	}
}

func TestExtremeDraws(t *testing.T) {
	s := NewSource(17, 1)
	cases := []struct {
		n      int
		p, rho float64
		want   int
	}{
		{0, .5, 0, 0}, {0, .5, .3, 0}, {0, 0, 1, 0}, {0, 1, 1, 0}, {20, 0, 0, 0}, {20, 1, 0, 20}, {20, 0, .4, 0}, {20, 1, .4, 20},
		{20, 0, 1, 0}, {20, 1, 1, 20}, {20, 5e-324, 0, 0}, {5000, 1e-300, 0, 0}, {20, 1e-300, .5, 0},
	}
	for _, c := range cases {
		for range 1000 {
			if got := s.BetaBinomial(c.n, c.p, c.rho); got != c.want {
				t.Fatalf("n %d p %v rho %v drew %d, want %d", c.n, c.p, c.rho, got, c.want)
			}
		}
	}
	all := 0
	for range 1000 {
		switch k := s.BetaBinomial(9, .5, 1); k {
		case 9:
			all++
		case 0:
		default:
			t.Fatalf("with rho 1 all or none of 9 respond, not %d", k)
		}
	}
	if all < 400 || all > 600 { // 500, standard deviation 16
		t.Errorf("with rho 1 and p 1/2 all responded in %d of 1000 draws", all)
	}
}

func TestImpossibleDrawsPanic(t *testing.T) {
	s := NewSource(1, 1)
	for name, draw := range map[string]func(){
		"negative n":  func() { s.Binomial(-1, .5) },
		"p below 0":   func() { s.Binomial(3, -1e-9) },
		"p above 1":   func() { s.BetaBinomial(3, 1.01, .1) },
		"p NaN":       func() { s.Binomial(3, math.NaN()) },
		"rho below 0": func() { s.BetaBinomial(3, .5, -.1) },
		"rho above 1": func() { s.BetaBinomial(3, .5, 1.1) },
		"rho NaN":     func() { s.BetaBinomial(3, .5, math.NaN()) },
	} {
		mustPanic(t, name, draw)
	}
}

func tally(t *testing.T, name string, n int, draw func() int) []int {
	t.Helper()
	counts := make([]int, n+1)
	for range draws {
		k := draw()
		if k < 0 || k > n {
			t.Fatalf("%s: drew %d", name, k)
		}
		counts[k]++
	}
	return counts
}

// judge compares frequencies with probabilities by chi-squared, neighbouring
// cells joined until each expects ten or more.
func judge(t *testing.T, name string, counts []int, mass func(int) float64) {
	t.Helper()
	total := 0
	for _, c := range counts {
		total += c
	}
	var seen, expected, x2 float64
	cells := 0
	for k, c := range counts {
		seen += float64(c)
		expected += float64(total) * mass(k)
		if expected >= 10 {
			x2 += (seen - expected) * (seen - expected) / expected
			seen, expected = 0, 0
			cells++
		}
	}
	if expected > 0 {
		x2 += (seen - expected) * (seen - expected) / max(expected, 1)
		cells++
	}
	if cells < 2 {
		t.Fatalf("%s: nothing to compare", name)
	}
	if p := 1 - (distuv.ChiSquared{K: float64(cells - 1)}).CDF(x2); p < rareChiSquared {
		t.Errorf("%s: X2 %.1f on %d cells, P %.2g", name, x2, cells, p)
	}
}

// moments compares mean and variance with n p and n p (1-p) (1 + (n-1) rho).
func moments(t *testing.T, name string, counts []int, p, rho float64) {
	t.Helper()
	n, total := float64(len(counts)-1), 0.
	mean := n * p
	variance := n * p * (1 - p) * (1 + (n-1)*rho)
	var first, second, fourth float64
	for k, c := range counts {
		d := float64(k) - mean
		total += float64(c)
		first += float64(c) * d
		second += float64(c) * d * d
		fourth += float64(c) * d * d * d * d
	}
	first, second, fourth = first/total, second/total, fourth/total
	if se := math.Sqrt(variance / total); math.Abs(first) > monteCarlo*se {
		t.Errorf("%s: mean is off by %.2f standard errors", name, first/se)
	}
	if se := math.Sqrt((fourth - second*second) / total); math.Abs(second-variance) > monteCarlo*se {
		t.Errorf("%s: variance %v, want %v (standard error %.2g)", name, second, variance, se)
	}
}

func logChoose(n, k int) float64 {
	return logGamma(float64(n+1)) - logGamma(float64(k+1)) - logGamma(float64(n-k+1))
}

func logGamma(x float64) float64 { v, _ := math.Lgamma(x); return v }

func logBeta(a, b float64) float64 { return logGamma(a) + logGamma(b) - logGamma(a+b) }

func binomialMass(n, k int, p float64) float64 {
	return math.Exp(logChoose(n, k) + float64(k)*math.Log(p) + float64(n-k)*math.Log1p(-p))
}

// betaBinomialMass is C(n,k) B(k+α, n-k+β)/B(α,β) with α = p(1-ρ)/ρ and
// β = (1-p)(1-ρ)/ρ (Skellam 1948, J. R. Statist. Soc. B 10:257-261).
func betaBinomialMass(n, k int, p, rho float64) float64 {
	a, b := p*(1-rho)/rho, (1-p)*(1-rho)/rho
	return math.Exp(logChoose(n, k) + logBeta(float64(k)+a, float64(n-k)+b) - logBeta(a, b))
}
