package doseresp

import "math"

// RatioPosterior is the posterior of a ratio of two independent LCp.
type RatioPosterior struct {
	sign     float64           // -1 where the points belong to the population, +1 to the baseline
	wide     *DoseDistribution // the other of the two
	point    []float64         // log10 doses of the narrower one
	weight   []float64         // and their probabilities, which add up to 1
	from, to float64           // where log10 ratio can lie
}

// NewRatioPosterior convolves the two distributions: with X₁ of the population
// and X₂ of the baseline
//
//	P(X₁ - X₂ <= x) = ∫ F₁(x + y) dF₂(y) = 1 - ∫ F₂(y - x) dF₁(y)
//
// by the trapezoidal rule over the knots of the narrower distribution, on whose
// scale the other is smooth. It draws no random numbers; its error is below
// 1e-3 in probability.
func NewRatioPosterior(population, baseline *DoseDistribution) *RatioPosterior {
	narrow, wide, sign := baseline, population, 1.0
	if population.width < baseline.width {
		narrow, wide, sign = population, baseline, -1
	}
	n := len(narrow.below)
	r := &RatioPosterior{
		sign: sign, wide: wide,
		point: make([]float64, n), weight: make([]float64, n),
		from: population.x(0) - baseline.x(n-1), to: population.x(n-1) - baseline.x(0),
	}
	total := 0.0
	for i := range r.point {
		r.point[i], r.weight[i] = narrow.x(i), narrow.density[i]
		total += r.weight[i]
	}
	for i := range r.weight {
		r.weight[i] /= total
	}
	return r
}

// below is the probability that log10 ratio lies below x.
func (r *RatioPosterior) below(x float64) float64 {
	sum := 0.0
	for i, y := range r.point {
		sum += r.weight[i] * r.wide.cumulative(y+r.sign*x)
	}
	if r.sign < 0 {
		return 1 - sum
	}
	return sum
}

// ProbabilityAbove returns the probability that the ratio exceeds a number, 1
// for numbers up to 0.
func (r *RatioPosterior) ProbabilityAbove(ratio float64) float64 {
	if ratio <= 0 {
		return 1
	}
	return min(max(1-r.below(math.Log10(ratio)), 0), 1)
}

// Limits returns the median and the equal-tailed limits at a level in (0, 1).
func (r *RatioPosterior) Limits(level float64) PosteriorLimits {
	tail := (1 - level) / 2
	return PosteriorLimits{
		Median: pow10(r.quantile(0.5)),
		Lower:  pow10(r.quantile(tail)),
		Upper:  pow10(r.quantile(1 - tail)),
	}
}

// quantileWidth is how closely quantiles of log10 ratio are found.
const quantileWidth = 1e-9

// quantile inverts below by secant steps that a shrinking bracket guards
// (the Illinois rule: the value of an end that stays is halved).
func (r *RatioPosterior) quantile(probability float64) float64 {
	low, high := r.from, r.to
	atLow, atHigh := -probability, 1-probability
	kept := 0
	for k := 0; k < 200 && high-low > quantileWidth; k++ {
		x := low - atLow*(high-low)/(atHigh-atLow)
		if k < 8 && k%2 == 0 || !(x > low && x < high) { // the tails are long: halve them first
			x = low + (high-low)/2
		}
		switch f := r.below(x) - probability; {
		case f == 0:
			return x
		case f < 0:
			low, atLow = x, f
			if kept < 0 {
				atHigh /= 2
			}
			kept = -1
		default:
			high, atHigh = x, f
			if kept > 0 {
				atLow /= 2
			}
			kept = 1
		}
	}
	return low + (high-low)/2
}
