package plots

import "gonum.org/v1/gonum/stat/distuv"

// barLevel is the confidence level of the bars on observed proportions.
const barLevel = 0.95

// exactLimits returns the two-sided exact binomial limits, at barLevel, of the
// proportion dead/exposed, for 0 <= dead <= exposed and exposed > 0.
//
//	lower = BetaQuantile(α/2; r, n-r+1),  upper = BetaQuantile(1-α/2; r+1, n-r)
//
// with lower = 0 at r = 0 and upper = 1 at r = n (Clopper & Pearson 1934,
// Biometrika 26:404-413).
func exactLimits(dead, exposed int) (lower, upper float64) {
	const tail = (1 - barLevel) / 2
	r, n := float64(dead), float64(exposed)
	lower, upper = 0, 1
	if dead > 0 {
		lower = distuv.Beta{Alpha: r, Beta: n - r + 1}.Quantile(tail)
	}
	if dead < exposed {
		upper = distuv.Beta{Alpha: r + 1, Beta: n - r}.Quantile(1 - tail)
	}
	return lower, upper
}
