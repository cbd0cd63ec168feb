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
// the population's LC at 1-s lies above the dose. The dose is taken as it is
// estimated. It reports false where the baseline has no LC99 or the counts set no
// bound to LC50.
func (c *Comparison) SurvivalAtReference(level float64) (Interval, bool) {
	p := tellingPosterior(c.Field)
	lc, ok := c.Baseline.At(ReferencePercent)
	if !ok || p == nil || !(lc.Estimate() > 0) || math.IsInf(lc.Estimate(), 1) {
		return NoInterval(), false
	}
	// exceeds falls in s.
	exceeds := func(s float64) float64 { return p.ProbabilityAbove(100*(1-s), lc.Estimate()) }
	quantile := func(q float64) float64 {
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
	return Interval{quantile(0.5), quantile(tail), quantile(1 - tail)}, true
}

// leastSurvival is a share below which none is told from none, and the halvings
// bring a quantile within a tenth of a mite in a hundred.
const (
	leastSurvival    = 1e-4
	survivalHalvings = 14
)
