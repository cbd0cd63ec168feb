package plots

import "vialwise/doseresp"

// barLevel is the confidence level of the bars on observed proportions.
const barLevel = 0.95

// exactLimits returns the exact binomial limits of an observed proportion.
func exactLimits(dead, exposed int) (lower, upper float64) {
	return doseresp.ClopperPearson(dead, exposed, barLevel)
}
