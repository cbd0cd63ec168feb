package mixture

import (
	"errors"
	"fmt"
	"math"

	"vialwise/doseresp"
)

// Options chooses the model. The zero value is the default: probit, natural
// mortality estimated, heterogeneity when above one, 95 % limits, a least
// shift of LeastFold, no variation between populations, DefaultPriors.
type Options struct {
	Link doseresp.Link
	// Natural is Estimated, None or Fixed; there are no fractional deaths in
	// this likelihood, and so no correction by Abbott's formula.
	Natural       doseresp.NaturalMortality
	Heterogeneity doseresp.HeterogeneityRule
	Level         float64 // of limits, in (0, 1)

	// LeastFold is the smallest shift of a resistant part, as a ratio of doses
	// above 1. Below it a "resistant fraction" is no more than a population
	// that is a little hardier as a whole.
	LeastFold float64

	// Tau is the standard deviation of log10 LC50 between susceptible
	// populations. With it the susceptible part of the field has a line of its
	// own, δ to the right of the baseline's on log10 dose, and δ is normal with
	// mean 0 and variance Tau² (1 + 1/k) for a baseline of k assays. The fit
	// adds -δ²/(2 variance) to the log-likelihood and maximises over δ; the
	// posterior integrates δ out.
	Tau float64

	Priors *Priors // nil means DefaultPriors

	// Doses is the range within which a further dose may be advised; zero
	// means from the lowest tested dose to twice the baseline's LC99.
	Doses [2]float64
}

// DefaultLeastFold is the smallest shift that counts as resistance unless
// another is asked for: twofold, above what separates susceptible populations
// in most bioassays (common practice).
const DefaultLeastFold = 2

// largestLog10Shift is where a finite shift ends: a million-fold one is a
// plateau to any counts.
const largestLog10Shift = 6

// Errors of this package. Containers that cannot be counts give a
// *doseresp.CountError, impossible options doseresp.ErrOptions.
var (
	ErrBaseline = errors.New("the baseline has no finite rising line to compare with")
	ErrField    = errors.New("no treated field container holds a mite")
	ErrAscent   = errors.New("the likelihood of the mixture was not maximised")
)

func (o *Options) complete() error {
	if o.Level == 0 {
		o.Level = doseresp.DefaultLevel
	}
	if o.LeastFold == 0 {
		o.LeastFold = DefaultLeastFold
	}
	if o.Priors == nil {
		p := DefaultPriors()
		o.Priors = &p
	}
	bad := func(what string) error { return fmt.Errorf("%w: %s", doseresp.ErrOptions, what) }
	switch {
	case !(o.Level > 0 && o.Level < 1):
		return bad("a level must lie above 0 and below 1")
	case !(o.LeastFold > 1 && o.LeastFold <= 1000):
		return bad("the least shift is a ratio of doses above 1 and at most 1000")
	case !(o.Tau >= 0) || math.IsInf(o.Tau, 1):
		return bad("the variation between populations is a standard deviation, finite and at least 0")
	case o.Natural.Mode == doseresp.AbbottCorrection:
		return bad("a resistant fraction cannot be fitted to counts corrected by Abbott's formula; use natural mortality \"estimated\"")
	case o.Natural.Mode == doseresp.Fixed && !(o.Natural.Value >= 0 && o.Natural.Value < 1):
		return bad("fixed natural mortality must be at least 0 and below 1")
	case !(o.Doses[0] >= 0) || !(o.Doses[1] >= o.Doses[0]) || math.IsInf(o.Doses[1], 1):
		return bad("the range of doses runs from a lower to a higher one, both finite")
	}
	return o.Priors.check()
}
