package bioassay

import "math"

// ReferencePercent is the p of the LCp of the baseline at which survival is told
// to those who keep bees: the dose that one susceptible mite in a hundred outlives.
const ReferencePercent = 99

// SurvivalAtReference is the share of the population expected to outlive the dose
// that one in a hundred susceptible mites outlives, LC99 of the baseline, natural
// mortality apart. The estimate and the limits are quantiles of the posterior: as
//
//	S(d) > s  where  LC(1-s) > d
//
// the probability that the survival exceeds s is the posterior probability that
// the population's LC at 1-s lies above the dose. The limits are taken
// at the limits of LC99 itself, which makes them too wide rather than too narrow. It
// reports false where LC99 of the baseline has no limits, as that of two or three
// assays, or the counts set no bound to LC50.
func (c *Comparison) SurvivalAtReference(level float64) (Interval, bool) {
	p := tellingPosterior(c.Field)
	lc, ok := c.Baseline.At(ReferencePercent)
	if !ok || p == nil || !(lc.Estimate() > 0) || !(lc.Lower > 0) || math.IsInf(lc.Upper, 1) || math.IsNaN(lc.Upper) {
		return NoInterval(), false
	}
	quantile := func(q, dose float64) float64 {
		exceeds := func(s float64) float64 { return p.ProbabilityAbove(100*(1-s), dose) } // falls in s
		low, high := leastSurvival, 1-leastSurvival
		for range survivalHalvings {
			middle := (low + high) / 2
			if exceeds(middle) > 1-q {
				low = middle
			} else {
				high = middle
			}
		}
		return (low + high) / 2
	}
	tail := (1 - level) / 2
	return Interval{quantile(0.5, lc.Estimate()), quantile(tail, lc.Upper), quantile(1-tail, lc.Lower)}, true
}

// leastSurvival is a share below which none is told from none, and the halvings
// bring a quantile within a tenth of a mite in a hundred.
const (
	leastSurvival    = 1e-4
	survivalHalvings = 14
)
