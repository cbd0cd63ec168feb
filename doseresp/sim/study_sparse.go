package sim

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"vialwise/doseresp"
)

// sparseFactor is a heterogeneity factor that containers in which hardly any
// mite was expected dead, or alive, do not draw towards 0:
//
//	(X²/df)/(1 + s̄),  s̄ the mean of (1-2P)(r - nP)/(n P (1-P))
//
// over the containers (Fletcher 2012, Biometrika 99:230-237, from memory, with
// V = μ(1 - μ/n)). Such a container has s near -1 unless the unexpected
// happens, and so hardly counts. +Inf where none counts.
func sparseFactor(containers []doseresp.Container, fit *doseresp.Result) float64 {
	sum, n := 0.0, 0.0
	for _, c := range containers {
		if c.Exposed == 0 {
			continue
		}
		n++
		exposed, P := float64(c.Exposed), fit.Mortality(c.Dose)
		if expected := exposed * P * (1 - P); expected > 0 {
			sum += (1 - 2*P) * (float64(c.Dead) - exposed*P) / expected
		} else {
			sum--
		}
	}
	weight := 1 + sum/n
	if !(weight > 0) {
		return math.Inf(1)
	}
	return fit.PearsonContainer.X2 / float64(fit.PearsonContainer.DF) / weight
}

// student is the quantile of Student's t at studyLevel for the fit.
func (w *studyWorker) student() float64 {
	df := w.plain.PearsonContainer.DF
	t, ok := w.quantiles[df]
	if !ok {
		t = distuv.StudentsT{Sigma: 1, Nu: float64(df)}.Quantile(0.5 + studyLevel/2)
		w.quantiles[df] = t
	}
	return t
}

// highestQuantile is the largest for which a level below 1 can stand. With at
// most 20 mites in a container the factors of a study stay below its square.
const highestQuantile = 8

// atQuantile are options whose limits use the normal quantile q: so limits
// without heterogeneity become those with Student's t, and with any factor,
// because Fieller's limits, and a profile's, know a variance factor h and a
// quantile t only as t √h.
func (w *studyWorker) atQuantile(q float64) doseresp.Options {
	o := w.plainOptions
	o.Level = 2*distuv.UnitNormal.CDF(min(q, highestQuantile)) - 1
	return o
}
