package bioassay

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// fallingTrend returns the one-sided P value of mortality falling with dose:
// the trend test of Cochran (1954, Biometrics 10:417-451) and Armitage (1955,
// Biometrics 11:375-386) with log dose as score and the variance of fixed
// margins, widened by the variation between containers of a dose where that is
// more than binomial, as a vial in which all died by mishap is no trend. It is
// 1 where there is nothing to tell: fewer than two doses, all dead, or none.
func fallingTrend(doses []doseSum) float64 {
	var n, dead, nx, nxx, deadX float64
	for _, d := range doses {
		x, e, r := math.Log10(d.dose), float64(d.exposed), float64(d.dead)
		n += e
		dead += r
		nx += e * x
		nxx += e * x * x
		deadX += r * x
	}
	p := dead / n
	spread := nxx - nx*nx/n
	if len(doses) < 2 || !(p > 0 && p < 1 && spread > 0 && n > 1) {
		return 1
	}
	variance := p * (1 - p) * spread * n / (n - 1) * math.Max(1, containerVariation(doses))
	return normalBelow((deadX - p*nx) / math.Sqrt(variance))
}

// containerVariation is Pearson's χ² of the containers about the mortality of
// their dose, over its degrees of freedom; 0 where there are none.
func containerVariation(doses []doseSum) float64 {
	x2, df := 0.0, 0
	for _, d := range doses {
		if !d.partial() {
			continue
		}
		x2 += d.pearson()
		df += len(d.containers) - 1
	}
	if df == 0 {
		return 0
	}
	return x2 / float64(df)
}

// pearson is χ² of the containers about the mortality of their dose, of which
// some died and some lived.
func (d doseSum) pearson() float64 {
	x2, p := 0.0, d.rate()
	for _, c := range d.containers {
		n := float64(c.Exposed)
		e := float64(c.Dead) - n*p
		x2 += e * e / (n * p * (1 - p))
	}
	return x2
}

// normalBelow is the distribution function of the standard normal, accurate in
// its lower tail.
func normalBelow(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }

// exactUpTo is the number of individuals up to which fewer is exact; its time
// grows with them.
const exactUpTo = 10_000

// fewer returns the one-sided P value of the first proportion, r1 of n1, being
// this much below the second: the hypergeometric probability of r1 or fewer
// given the total (Fisher 1934, Statistical Methods for Research Workers, 5th
// edition, section 21.02), by its normal approximation with continuity
// correction for more than ten thousand individuals. Both n are above 0.
func fewer(r1, n1, r2, n2 int) float64 {
	n, dead := n1+n2, r1+r2
	if n > exactUpTo {
		mean := float64(n1) * float64(dead) / float64(n)
		variance := mean * float64(n-dead) / float64(n) * float64(n2) / float64(n-1)
		if variance == 0 {
			return 1
		}
		return normalBelow((float64(r1) + 0.5 - mean) / math.Sqrt(variance))
	}
	total := logChoose(n, dead)
	sum := 0.0
	for r := max(0, dead-n2); r <= r1; r++ {
		sum += math.Exp(logChoose(n1, r) + logChoose(n2, dead-r) - total)
	}
	return min(sum, 1)
}

// logChoose is the logarithm of the number of ways to choose k of n.
func logChoose(n, k int) float64 { return logFactorial(n) - logFactorial(k) - logFactorial(n-k) }

func logFactorial(n int) float64 {
	v, _ := math.Lgamma(float64(n) + 1)
	return v
}

// dip is a fall of mortality from a dose to a higher one.
type dip struct {
	from, to int     // positions of the two doses
	p        float64 // of the fall, one-sided, times the number of pairs
}

// mostPairedDoses is the number of doses up to which every pair is compared;
// in longer series, which no bench makes, only neighbours are.
const mostPairedDoses = 50

// clearestDip returns the pair of doses with the least likely fall. Its P value
// is that of fewer, as a normal deviate divided by the square root of the
// variation between containers where that is more than binomial, and then
// Bonferroni's, for all pairs of doses were looked at. It is 1 where mortality
// never falls.
func clearestDip(doses []doseSum) dip {
	best, pairs, reach := dip{p: 1}, 0.0, len(doses)
	if reach > mostPairedDoses {
		reach = 1
	}
	for i, low := range doses {
		for k := i + 1; k <= min(i+reach, len(doses)-1); k++ {
			pairs++
			high := doses[k]
			if high.rate() >= low.rate() {
				continue
			}
			if p := fewer(high.dead, high.exposed, low.dead, low.exposed); p < best.p {
				best = dip{i, k, p}
			}
		}
	}
	if h := containerVariation(doses); h > 1 && best.p > 0 && best.p < 1 {
		best.p = normalBelow(distuv.UnitNormal.Quantile(best.p) / math.Sqrt(h))
	}
	best.p = min(1, pairs*best.p)
	return best
}
