package meta

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// solveQ returns the τ² at which the generalised Q(τ²) has a value above 0, and
// 0 where Q(0) is not above it. Q falls without end, so there is one solution;
// it is found by Newton's method on 1/Q, which is linear in τ² for units of one
// variance, kept within a bracket.
func (u *units) solveQ(value float64) float64 {
	const steps = 200
	low, high := 0.0, math.Inf(1)
	tau2 := 0.0
	for range steps {
		f := u.fit(tau2)
		if f.q > value {
			low = tau2
		} else {
			high = tau2
		}
		if high == 0 {
			return 0
		}
		next := tau2 + f.q*(f.q/value-1)/-u.slope(f)
		switch {
		case next > low && next < high:
		case math.IsInf(high, 1):
			next = 2*low + u.v[0]
		default:
			next = (low + high) / 2
		}
		if math.Abs(next-tau2) <= 1e-15*next {
			return next
		}
		tau2 = next
	}
	return tau2
}

// pauleMandel is the τ² at which Q equals its expectation.
func (u *units) pauleMandel() float64 { return u.solveQ(float64(u.k() - u.p())) }

// restricted is the restricted log-likelihood of τ², up to a constant, and its
// derivative
//
//	½ (Σ w²r² - tr P),   tr P = Σw - tr (XᵀWX)⁻¹XᵀW²X
func (u *units) restricted(tau2 float64) (loglik, score float64) {
	f := u.fit(tau2)
	loglik = -(f.logDet + f.q) / 2
	trace := 0.0
	for i, x := range u.x {
		w := 1 / (u.v[i] + tau2)
		loglik += math.Log(w) / 2
		trace += w - w*w*quadratic(f.cov, x)
	}
	return loglik, (-u.slope(f) - trace) / 2
}

// reml is the τ² of the highest restricted likelihood. The likelihood may have
// several maxima, so it is looked at on a grid, even in log τ², before the
// highest is closed in upon by its derivative.
func (u *units) reml() float64 {
	const points, decades = 80, 10.0
	top := 0.0
	for i := range u.y {
		top = max(top, u.v[i])
	}
	spread := u.fit(top).residual
	top += dot(spread, spread) // no τ² above can be the highest
	grid := make([]float64, points+1)
	best, bestLoglik := 0, math.Inf(-1)
	for i := range grid {
		if i > 0 {
			grid[i] = top * math.Pow(10, decades*(float64(i)/points-1))
		}
		if loglik, _ := u.restricted(grid[i]); loglik > bestLoglik {
			best, bestLoglik = i, loglik
		}
	}
	low, high := grid[max(best-1, 0)], grid[min(best+1, points)]
	if _, score := u.restricted(low); low == 0 && score <= 0 && best == 0 {
		return 0
	}
	for high-low > 1e-15*high {
		middle := (low + high) / 2
		if middle == low || middle == high {
			break
		}
		if _, score := u.restricted(middle); score > 0 {
			low = middle
		} else {
			high = middle
		}
	}
	return low
}

// profileQ are the limits of τ² by the Q-profile: all values at which Q is
// neither significantly above nor below its chi-squared distribution
// (Viechtbauer 2007, Statistics in Medicine 26:37-52). Both are 0 where the
// units vary so little that no τ² agrees with them, or 0 alone.
func (u *units) profileQ(level float64) Interval {
	chi := distuv.ChiSquared{K: float64(u.k() - u.p())}
	return Interval{
		Lower: u.solveQ(chi.Quantile((1 + level) / 2)),
		Upper: u.solveQ(chi.Quantile((1 - level) / 2)),
	}
}

// quadratic is xᵀ m x.
func quadratic(m [][]float64, x []float64) float64 {
	sum := 0.0
	for i := range x {
		sum += x[i] * dot(m[i], x)
	}
	return sum
}
