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
	m := mixture{weights: poissonBinomial(p), n: float64(len(p))}
	tail := (1 - level) / 2
	out := bioassay.Interval{Estimate: mean, Lower: 0, Upper: 1}
	// The mixture may lie to one side of the mean where counts are few.
	if !(m.weights[0] >= tail) {
		out.Lower = min(m.quantile(tail), mean)
	}
	if !(m.weights[len(p)] >= tail) {
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

// mixture is a mixture of beta distributions over the number above a bound.
type mixture struct {
	weights []float64
	n       float64
}

func (m mixture) below(x float64) float64 {
	sum := 0.0
	for k, w := range m.weights {
		if w > 0 {
			sum += w * mathext.RegIncBeta(float64(k)+0.5, m.n-float64(k)+0.5, x)
		}
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
