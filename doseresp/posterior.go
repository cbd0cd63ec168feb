package doseresp

import (
	"errors"
	"fmt"
	"math"
)

// Priors are the weak prior distributions of a posterior. They say what is
// plausible for any such bioassay before the counts are seen; with ordinary
// counts they hardly matter, with separated or few ones they keep the answer
// finite.
type Priors struct {
	// Log10LC50Mean and Log10LC50SD: log10 LC50 is normal. A mean of NaN is the
	// middle of the tested log10 doses.
	Log10LC50Mean, Log10LC50SD float64
	// SlopeMedian and SlopeLogSD: the slope is lognormal. The median is in
	// probits per tenfold dose; for other links it is multiplied by Link.Scale.
	SlopeMedian, SlopeLogSD float64
	// NaturalA and NaturalB: natural mortality is Beta(a, b), where the model
	// estimates it.
	NaturalA, NaturalB float64
	// RhoMean: the intra-container correlation is exponential, below 1.
	RhoMean float64
}

// DefaultPriors returns the priors that are used unless others are given: an
// LC50 within two powers of ten of the middle of the tested doses, a slope
// between 0.6 and 10 probits, natural mortality of a few per cent, and an
// intra-container correlation of up to a few tenths. Its mean of 0.10 is what
// the coverage study (sim/coverage.md) asks for: with 0.06 the posterior held
// only 91.5 % in the weakest design.
func DefaultPriors() Priors {
	return Priors{
		Log10LC50Mean: math.NaN(), Log10LC50SD: 1,
		SlopeMedian: 2.5, SlopeLogSD: 0.7,
		NaturalA: 1, NaturalB: 9,
		RhoMean: 0.10,
	}
}

// errPriors wraps ErrOptions.
var errPriors = fmt.Errorf("%w: priors need a finite mean or NaN, and every other parameter finite and above 0", ErrOptions)

func (p Priors) check() error {
	for _, x := range []float64{p.Log10LC50SD, p.SlopeMedian, p.SlopeLogSD, p.NaturalA, p.NaturalB, p.RhoMean} {
		if !(x > 0) || math.IsInf(x, 1) {
			return errPriors
		}
	}
	if math.IsInf(p.Log10LC50Mean, 0) {
		return errPriors
	}
	return nil
}

// ErrNoTreated says that no treated container holds an individual.
var ErrNoTreated = errors.New("a posterior needs at least one treated container with individuals")

// Posterior is the joint posterior of log10 LC50 and slope, with natural
// mortality C and intra-container correlation integrated out:
//
//	p(θ, b | counts) ∝ p(θ) p(b) ∫∫ Π BetaBinomial(r; n, P, ρ) p(C) p(ρ) dC dρ
//	P = C + (1 - C) F(F⁻¹(½) + b (log10 d - θ))
//
// It exists for any counts with a treated container, and is computed by
// quadrature without random numbers.
type Posterior struct {
	link   Link
	slopes []slopeSlice // by rising slope, equally spaced in log slope
	Priors Priors       // with the mean of log10 LC50 filled in
	// Error is the largest change, when the grid was last refined, of the
	// cumulative probabilities at the limits and medians of LC50, LC90 and LC99.
	// What error is left is mostly a tenth of that, at worst about all of it.
	Error float64
	// Points is the number of points of the final grid.
	Points int
}

// PosteriorLimits is the posterior of one LCp.
type PosteriorLimits struct {
	Median, Lower, Upper float64
}

// NewPosterior computes the posterior of one assay. Of the options it uses
// Link and Natural: with Estimated, and with AbbottCorrection, whose formula
// it has no use for, C has its prior, also without controls. It fails with a
// *CountError, ErrNoTreated or ErrOptions.
func NewPosterior(containers []Container, options Options, priors Priors) (*Posterior, error) {
	if err := options.complete(); err != nil {
		return nil, err
	}
	if err := priors.check(); err != nil {
		return nil, err
	}
	if err := checkContainers(containers); err != nil {
		return nil, err
	}
	var d design
	d.summarise(containers)
	t, err := targetOf(&d, options, priors)
	if err != nil {
		return nil, err
	}
	return t.integrate(), nil
}

// targetOf is newTarget with the middle of the tested doses where the priors
// leave it open.
func targetOf(d *design, options Options, priors Priors) (*target, error) {
	if len(d.treated) == 0 {
		return nil, ErrNoTreated
	}
	if math.IsNaN(priors.Log10LC50Mean) {
		priors.Log10LC50Mean = (d.treated[0].x + d.treated[len(d.treated)-1].x) / 2
	}
	return newTarget(d, options, priors), nil
}

// LC returns the median and the equal-tailed limits of LCp at a level.
func (p *Posterior) LC(percent, level float64) PosteriorLimits {
	const fine = 1e-9
	shift := p.link.Quantile(percent/100) - p.link.Quantile(0.5)
	tail := (1 - level) / 2
	return PosteriorLimits{
		Median: math.Pow(10, p.quantile(0.5, shift, fine)),
		Lower:  math.Pow(10, p.quantile(tail, shift, fine)),
		Upper:  math.Pow(10, p.quantile(1-tail, shift, fine)),
	}
}

// ProbabilityAbove returns the posterior probability that LCp exceeds a dose.
func (p *Posterior) ProbabilityAbove(percent, dose float64) float64 {
	if dose <= 0 {
		return 1
	}
	shift := p.link.Quantile(percent/100) - p.link.Quantile(0.5)
	return 1 - min(max(p.cumulative(math.Log10(dose), shift), 0), 1) // the spline may dip a hair below 0
}

// Density returns the posterior density of log10 LC50.
func (p *Posterior) Density(log10LC50 float64) float64 {
	sum := 0.0
	for i := range p.slopes {
		sum += p.slopes[i].density(log10LC50)
	}
	return sum
}
