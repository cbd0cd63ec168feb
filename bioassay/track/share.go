package track

import (
	"math"

	"gonum.org/v1/gonum/mathext"

	"vialwise/bioassay"
	"vialwise/doseresp"
)

// shares returns the expected share of apiaries in each band, and that above
// each bound between two bands, from every apiary's own probabilities. The baseline
// moves all ratios together: the limits are those of ShareAbove at both of its
// limits, whichever reach further.
func (w *work) shares(apiaries []of, chances [][]float64, baseline int) (bands []float64, shares []Share) {
	if w.bands == nil || len(chances) == 0 {
		return nil, nil
	}
	bands = MeanShares(chances)
	above := make([]float64, len(chances))
	for k := range len(w.bands.Bands) - 1 {
		for i, c := range chances {
			above[i] = min(above[i]+c[k], 1)
		}
		band := w.bands.Bands[k]
		interval := ShareAbove(above, w.level)
		for _, moved := range w.moved(apiaries, above, band.From, baseline) {
			at := ShareAbove(moved, w.level)
			interval.Lower, interval.Upper = min(interval.Lower, at.Lower), max(interval.Upper, at.Upper)
		}
		shares = append(shares, Share{Band: band.Name, Above: band.From, Apiaries: len(chances), Interval: interval})
	}
	return bands, shares
}

// moved returns the probabilities of lying above a bound, were log10 LC50 of the
// baseline at its lower and at its upper limit: by the normal distribution of the
// apiary's own error, or as they are where it has only a bound.
func (w *work) moved(apiaries []of, above []float64, bound float64, baseline int) (out [][]float64) {
	lc, ok := w.comparers[baseline].Baseline().At(50)
	if !ok || w.bands.Percent != 50 || math.IsInf(lc.Log.Lower, -1) || math.IsInf(lc.Log.Upper, 1) {
		return nil
	}
	for _, base := range []float64{lc.Log.Lower, lc.Log.Upper} {
		var p []float64
		for _, a := range apiaries {
			if a.Bands == nil {
				continue
			}
			x := above[len(p)]
			if isPlaced(a.Log, a.LogSE) {
				x = doseresp.Probit.CDF((a.Log - base - math.Log10(bound)) / a.LogSE)
			}
			p = append(p, x)
		}
		out = append(out, p)
	}
	return out
}

// MeanShares is the mean of every band's probability over apiaries.
func MeanShares(chances [][]float64) []float64 {
	out := make([]float64, len(chances[0]))
	for _, c := range chances {
		for k, p := range c {
			out[k] += p / float64(len(chances))
		}
	}
	return out
}

// ShareAbove is the share of a region's apiaries that lie above a bound, from the
// probability of each of n tested ones that it does. The estimate is the mean
// probability. The number k of tested apiaries above the bound is then
// Poisson-binomial, and with the tested ones as a random sample of the region's
// the limits are equal-tailed quantiles of
//
//	Σ_k P(k) Beta(k + ½, n - k + ½)
//
// which for certain apiaries is Jeffreys' interval (Brown, Cai & DasGupta 2001,
// Statistical Science 16:101-133, from memory). As there for none and for all, the
// lower limit is 0 where P(0), that none of the tested is above, is not below the
// tail, and the upper one 1 where P(n) is not. In simulation the limits held shares
// of 0, 0.1, 0.3 and 0.7 in 94 to 100 % (TestShareCoverage). It panics without an
// apiary.
func ShareAbove(p []float64, level float64) bioassay.Interval {
	if len(p) == 0 {
		panic("track: a share of no apiary")
	}
	mean := 0.0
	for _, x := range p {
		mean += x / float64(len(p))
	}
	weights := poissonBinomial(p)
	m := newMixture(weights)
	tail := (1 - level) / 2
	out := bioassay.Interval{Estimate: mean, Lower: 0, Upper: 1}
	// The mixture may lie to one side of the mean where counts are few.
	if !(weights[0] >= tail) {
		out.Lower = min(m.quantile(tail), mean)
	}
	if !(weights[len(p)] >= tail) {
		out.Upper = max(m.quantile(1-tail), mean)
	}
	return out
}

// negligible is a probability that is dropped from the sums.
const negligible = 1e-12

// poissonBinomial returns the probability of every number of successes in trials
// with these probabilities, by adding one trial after the other.
func poissonBinomial(p []float64) []float64 {
	weights := make([]float64, len(p)+1)
	weights[0] = 1
	low, high := 0, 0 // weights outside are 0
	for _, x := range p {
		high++
		for k := high; k >= low; k-- {
			w := weights[k] * (1 - x)
			if k > low {
				w += weights[k-1] * x
			}
			weights[k] = w
		}
		for low < high && weights[low] < negligible {
			weights[low] = 0
			low++
		}
		for high > low && weights[high] < negligible {
			weights[high] = 0
			high--
		}
	}
	return weights
}

// mixture is a mixture of beta distributions over the number k above a bound, of
// those k alone that have a weight.
type mixture struct {
	n, first float64   // of all, and the lowest k
	weights  []float64 // by k from the lowest
	steps    []float64 // ln Γ(n+1) / (Γ(k+3/2) Γ(n-k+½))
}

func newMixture(weights []float64) mixture {
	n, first := len(weights)-1, 0
	for weights[first] == 0 && first < n {
		first++
	}
	last := n
	for weights[last] == 0 && last > first {
		last--
	}
	m := mixture{n: float64(n), first: float64(first), weights: weights[first : last+1]}
	all := lnGamma(m.n + 1)
	for i := range m.weights {
		k := m.first + float64(i)
		m.steps = append(m.steps, all-lnGamma(k+1.5)-lnGamma(m.n-k+0.5))
	}
	return m
}

func lnGamma(x float64) float64 {
	y, _ := math.Lgamma(x)
	return y
}

// below is the distribution function, from the highest k down by
//
//	I_x(a, b) = I_x(a+1, b-1) + Γ(a+b) / (Γ(a+1) Γ(b)) x^a (1-x)^(b-1)
//
// (NIST Digital Library of Mathematical Functions, 8.17.18, from memory), in which
// nothing cancels.
func (m mixture) below(x float64) float64 {
	last := len(m.weights) - 1
	top := m.first + float64(last)
	beta := mathext.RegIncBeta(top+0.5, m.n-top+0.5, x)
	sum := m.weights[last] * beta
	lnX, lnRest := math.Log(x), math.Log1p(-x)
	for i := last - 1; i >= 0; i-- {
		a := m.first + float64(i) + 0.5
		beta += math.Exp(m.steps[i] + a*lnX + (m.n-a)*lnRest)
		sum += m.weights[i] * beta
	}
	return sum
}

// quantile inverts below by halving.
func (m mixture) quantile(p float64) float64 {
	low, high := 0.0, 1.0
	for range 60 {
		middle := low + (high-low)/2
		if m.below(middle) < p {
			low = middle
		} else {
			high = middle
		}
	}
	return low + (high-low)/2
}
