package mixture

import (
	"fmt"
	"math"

	"vialwise/doseresp"
)

// Priors are the prior distributions of a posterior of q.
type Priors struct {
	// FractionA and FractionB: q is Beta(a, b).
	FractionA, FractionB float64
	// PlateauShare is the prior probability that no tested dose kills the
	// resistant part. Otherwise log10 of the shift is uniform between those of
	// Options.LeastFold and LargestFold.
	PlateauShare, LargestFold float64
	// Line holds the priors of the susceptible line and of natural mortality,
	// as those of the core's posterior; a mean of log10 LC50 of NaN is that of
	// the baseline's log10 doses. With a baseline they hardly matter.
	Line doseresp.Priors
}

// DefaultPriors returns the priors that are used unless others are given. A
// Beta(1, 4) fraction is most likely small and has a mean of 0.2, yet gives q
// above 0.4 a probability of 0.13: a uniform one would, with few mites, read
// the chance hardiness of a whole population as a resistant majority. The price
// is paid where the resistant part is large and only high doses were tested:
// there the posterior limits held q = 0.4 in 89 to 95 % of simulated data sets
// (sim/fraction.md). The shift is a plateau with probability 1/3, else up to 100-fold.
func DefaultPriors() Priors {
	return Priors{FractionA: 1, FractionB: 4, PlateauShare: 1. / 3, LargestFold: 100, Line: doseresp.DefaultPriors()}
}

func (p *Priors) check() error {
	for _, x := range []float64{p.FractionA, p.FractionB, p.LargestFold, p.Line.Log10LC50SD, p.Line.SlopeMedian, p.Line.SlopeLogSD, p.Line.NaturalA, p.Line.NaturalB} {
		if !(x > 0) || math.IsInf(x, 1) {
			return fmt.Errorf("%w: priors of a fraction need finite parameters above 0", doseresp.ErrOptions)
		}
	}
	if math.IsInf(p.Line.Log10LC50Mean, 0) {
		return fmt.Errorf("%w: the prior mean of log10 LC50 is finite, or NaN for the middle of the baseline's doses", doseresp.ErrOptions)
	}
	if !(p.PlateauShare >= 0 && p.PlateauShare <= 1) {
		return fmt.Errorf("%w: the share of the plateau is a probability", doseresp.ErrOptions)
	}
	return nil
}
