package bioassay

import (
	"math"
	"slices"

	"vialwise/doseresp"
	"vialwise/doseresp/sim"
)

// LimitSets chooses which limits are computed beside the fiducial ones, which
// always are. The posterior is also computed where fiducial limits do not
// exist, and never without a treated mite.
type LimitSets struct {
	Profile, Posterior, Bootstrap bool
}

// Limits are the further limits of an analysis, those that were asked for or
// needed. Slices run parallel to Fit.LC.
type Limits struct {
	Profile             []doseresp.Limits
	BetaBinomial        *doseresp.BetaBinomial // nil where that likelihood has no line
	BetaBinomialProfile []doseresp.Limits
	Posterior           *doseresp.Posterior
	PosteriorLC         []doseresp.PosteriorLimits
	Fallback            bool      // the posterior stands in for fiducial limits
	Exceeds             []Exceeds // the probabilities that were asked for
	Bootstrap           *doseresp.BootstrapResult
	Robust              []Robust
}

// Robust are the limits that allow for variation between containers, the
// answer that held its level in the coverage study of doseresp/sim: profile
// limits of the beta-binomial likelihood where they are bounded, else those of
// the posterior. From is RobustNone where there is no treated mite.
type Robust struct {
	Lower, Upper float64
	From         RobustSource
}

// RobustSource says which limits are the robust ones.
type RobustSource uint8

// The sources of robust limits.
const (
	RobustNone RobustSource = iota
	RobustBetaBinomial
	RobustPosterior
)

var robustNames = [...]string{RobustNone: "none", RobustBetaBinomial: "beta-binomial", RobustPosterior: "posterior"}

// String returns the source's name as results spell it.
func (s RobustSource) String() string { return robustNames[s] }

// RobustSources lists every source, in the order of their constants.
func RobustSources() []RobustSource {
	return []RobustSource{RobustNone, RobustBetaBinomial, RobustPosterior}
}

// largestBetaContainer is the number of individuals in a container beyond
// which the beta-binomial likelihood, whose cost grows with it, gives way to
// the posterior.
const largestBetaContainer = 2000

// Exceeds is the posterior probability that LC50 exceeds a dose.
type Exceeds struct{ Dose, Probability float64 }

// needsPosterior says whether some fiducial limit does not exist.
func needsPosterior(r *doseresp.Result) bool {
	for _, lc := range r.LC {
		if lc.Fiducial.Kind != doseresp.Bounded {
			return true
		}
	}
	return false
}

// furtherLimits computes what the options ask for and what the fit needs. f
// must have just fitted counts into r.
func furtherLimits(f *doseresp.Fitter, r *doseresp.Result, counts []doseresp.Container, o AnalysisOptions) (l Limits, err error) {
	if o.Limits.Profile {
		l.addProfiles(f, r, counts)
	}
	l.addRobust(f, r, counts)
	l.Fallback = needsPosterior(r) && r.TreatedExposed > 0
	wanted := o.Limits.Posterior || l.Fallback || len(o.Exceeds) > 0
	if (wanted || l.lacksRobust()) && r.TreatedExposed > 0 {
		if err := l.addPosterior(r, counts, o); err != nil {
			return l, err
		}
		if !wanted { // only the robust limits needed it
			l.Posterior, l.PosteriorLC = nil, nil
		}
	}
	if o.Limits.Bootstrap && r.Status == doseresp.Converged {
		l.Bootstrap, err = doseresp.Bootstrap(counts, o.Fit, doseresp.BootstrapOptions{
			Replicates: o.Replicates,
			NewSampler: func(replicate int) doseresp.Sampler { return sim.NewSource(o.Seed, uint64(replicate)) },
		})
	}
	return l, err
}

func (l *Limits) addProfiles(f *doseresp.Fitter, r *doseresp.Result, counts []doseresp.Container) {
	large := holdsLarge(counts)
	for _, lc := range r.LC {
		l.Profile = append(l.Profile, f.Profile(r, lc.Percent))
		beta := doseresp.Limits{Upper: math.Inf(1), Kind: doseresp.Unbounded}
		if !large {
			beta = f.BetaBinomialProfile(r, lc.Percent)
		}
		l.BetaBinomialProfile = append(l.BetaBinomialProfile, beta)
	}
	if large {
		return
	}
	if b, ok := f.BetaBinomial(r); ok {
		l.BetaBinomial = &b
	}
}

// holdsLarge says that some container is too large for the beta-binomial.
func holdsLarge(counts []doseresp.Container) bool {
	return slices.ContainsFunc(counts, func(c doseresp.Container) bool { return c.Exposed > largestBetaContainer })
}

// addRobust computes the robust limits that come from the beta-binomial
// profile, and leaves RobustNone where there are none.
func (l *Limits) addRobust(f *doseresp.Fitter, r *doseresp.Result, counts []doseresp.Container) {
	l.Robust = make([]Robust, len(r.LC))
	if r.Status != doseresp.Converged || holdsLarge(counts) {
		return
	}
	for i, lc := range r.LC {
		var limits doseresp.Limits
		if l.BetaBinomialProfile != nil {
			limits = l.BetaBinomialProfile[i]
		} else {
			limits = f.BetaBinomialProfile(r, lc.Percent)
		}
		if limits.Kind == doseresp.Bounded {
			l.Robust[i] = Robust{limits.Lower, limits.Upper, RobustBetaBinomial}
		}
	}
}

func (l *Limits) lacksRobust() bool {
	return slices.ContainsFunc(l.Robust, func(r Robust) bool { return r.From == RobustNone })
}

func (o *AnalysisOptions) priors() doseresp.Priors {
	if o.Priors != nil {
		return *o.Priors
	}
	return doseresp.DefaultPriors()
}

func (l *Limits) addPosterior(r *doseresp.Result, counts []doseresp.Container, o AnalysisOptions) error {
	p, err := doseresp.NewPosterior(counts, o.Fit, o.priors())
	if err != nil {
		return err
	}
	l.Posterior = p
	for _, lc := range r.LC {
		l.PosteriorLC = append(l.PosteriorLC, p.LC(lc.Percent, r.Level))
	}
	for i, limits := range l.PosteriorLC {
		if l.Robust[i].From == RobustNone {
			l.Robust[i] = Robust{limits.Lower, limits.Upper, RobustPosterior}
		}
	}
	for _, dose := range o.Exceeds {
		l.Exceeds = append(l.Exceeds, Exceeds{dose, p.ProbabilityAbove(50, dose)})
	}
	return nil
}

// Reported is the trade's answer for one LCp: the estimate with its fiducial limits where they are bounded, else with the
// posterior limits and, without a finite line, the posterior median.
type Reported struct {
	Estimate, Lower, Upper float64
	Posterior              bool // the limits are those of the posterior
}

// Report returns the trade's answer for the i-th LCp. All three are NaN where
// there is none, which takes an assay without a treated mite.
func (a *Analysis) Report(i int) Reported {
	lc := a.Fit.LC[i]
	if lc.Fiducial.Kind == doseresp.Bounded {
		return Reported{lc.Estimate, lc.Fiducial.Lower, lc.Fiducial.Upper, false}
	}
	if a.Limits.Posterior == nil {
		return Reported{math.NaN(), math.NaN(), math.NaN(), false}
	}
	p := a.Limits.PosteriorLC[i]
	estimate := lc.Estimate
	if math.IsNaN(estimate) {
		estimate = p.Median
	}
	return Reported{estimate, p.Lower, p.Upper, true}
}
