package plots

import (
	"math"
	"testing"
)

// The limits below are rounded to 0.01 %.
const limitTolerance = 0.00006

// With none or all dead the limit has a closed form, 1 - 0.025^(1/n) and
// 0.025^(1/n). The limits of 28/30 and 98/100 are the Clopper-Pearson ones, which
// TestExactLimitsSolveTheTails confirms from the definition.
func TestExactLimits(t *testing.T) {
	for _, c := range []struct {
		dead, exposed int
		lower, upper  float64
	}{
		{0, 30, 0, 0.1157},
		{0, 60, 0, 0.0596},
		{28, 30, 0.7793, 0.9918},
		{98, 100, 0.9296, 0.9976},
		{1, 1, 0.025, 1},
		{15, 15, 0.7820, 1},
	} {
		lower, upper := exactLimits(c.dead, c.exposed)
		if math.Abs(lower-c.lower) > limitTolerance || math.Abs(upper-c.upper) > limitTolerance {
			t.Errorf("%d of %d: limits %.5f to %.5f, want %.4f to %.4f", c.dead, c.exposed, lower, upper, c.lower, c.upper)
		}
	}
}

// By definition each limit leaves a tail of exactly 2.5 % (Clopper & Pearson
// 1934, Biometrika 26:404-413); the tails are summed here term by term.
func TestExactLimitsSolveTheTails(t *testing.T) {
	const tolerance = 1e-10
	for _, n := range []int{1, 2, 7, 20, 30, 60, 100} {
		for r := 0; r <= n; r++ {
			lower, upper := exactLimits(r, n)
			if r > 0 {
				if tail := 1 - atMost(r-1, n, lower); math.Abs(tail-0.025) > tolerance {
					t.Errorf("%d of %d: P(X >= r) at the lower limit is %g", r, n, tail)
				}
			}
			if r < n {
				if tail := atMost(r, n, upper); math.Abs(tail-0.025) > tolerance {
					t.Errorf("%d of %d: P(X <= r) at the upper limit is %g", r, n, tail)
				}
			}
		}
	}
}

// atMost is P(X <= r) for X binomial (n, p), 0 < p < 1, summed from logarithms
// so that no term underflows before its turn.
func atMost(r, n int, p float64) float64 {
	logFactorial := func(k int) float64 { v, _ := math.Lgamma(float64(k + 1)); return v }
	sum := 0.0
	for k := 0; k <= r; k++ {
		sum += math.Exp(logFactorial(n) - logFactorial(k) - logFactorial(n-k) +
			float64(k)*math.Log(p) + float64(n-k)*math.Log1p(-p))
	}
	return sum
}
