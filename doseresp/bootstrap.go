package doseresp

import (
	"errors"
	"fmt"
	"math"
	"runtime"
)

// Sampler draws the random counts of one replicate.
type Sampler interface {
	// Binomial returns how many of n die when each does with probability p.
	Binomial(n int, p float64) int
	// BetaBinomial is Binomial where the fates of two of the n correlate by rho.
	BetaBinomial(n int, p, rho float64) int
}

// BootstrapOptions chooses how many replicates are drawn and from what.
type BootstrapOptions struct {
	Replicates int // DefaultReplicates where 0
	Workers    int // goroutines, as many as processors where 0; no result depends on it

	// NewSampler returns the random numbers of a replicate, counted from 0.
	// Each must have a stream of its own. It is called from several goroutines.
	NewSampler func(replicate int) Sampler
}

// DefaultReplicates is the number of replicates unless another is asked for.
const DefaultReplicates = 2000

// fewestBeyond is how many replicates must lie beyond each limit for it to be
// more than an accident (common practice): 200 in all for 95 % limits.
const fewestBeyond = 5

// Errors of a bootstrap.
var (
	ErrNoLine     = errors.New("there is no finite rising line to simulate from")
	errNoSampler  = fmt.Errorf("%w: a bootstrap needs NewSampler, the source of its random numbers", ErrOptions)
	errNegative   = fmt.Errorf("%w: the numbers of replicates and workers cannot be negative", ErrOptions)
	errReplicates = fmt.Errorf("%w: too few replicates", ErrOptions)
)

// BootstrapResult is a parametric bootstrap of one assay.
type BootstrapResult struct {
	Fit        *Result // of the counts themselves, whose line was simulated
	Replicates int
	Rho        float64 // the correlation within containers that was simulated; 0 is binomial
	Bracketed  int     // replicates without a finite line, known to lie within their bracket
	Excluded   int     // replicates that say nothing: no or falling slope, or no fit
	Limits     []BootstrapLimits
}

// BootstrapLimits are the limits of one LCp.
type BootstrapLimits struct {
	Percent         float64
	Percentile, BCa Limits
	Bias            float64 // z0, the median bias in normal units; infinite where all replicates lie on one side
	Acceleration    float64 // NaN where leaving out some container leaves no finite line
	Failed          int     // replicates without a finite line: Bracketed and Excluded
}

// Bootstrap fits an assay, draws replicates from the fitted line and returns
// the limits that their estimates give.
//
// Each container is drawn anew from its fitted mortality, the untreated ones
// from C: binomially or, where the heterogeneity rule applied a factor h > 1,
// beta-binomially with the correlation of Williams's moment estimate in its
// simplest form, rho = (h - 1)/(n̄ - 1), n̄ the mean number in a container
// (Williams 1982, Applied Statistics 31:144-148, from memory), within
// [0, 0.9]. Every replicate is fitted with the same options.
//
// A replicate without a finite line is not dropped where its counts bound the
// LCp: Separated, AllDead and NoneDead have a Bracket, in which every LCp of
// their infinitely steep line lies. Lower limits take the lower end of it,
// -Inf on the log scale where there is none, and upper limits the upper end;
// a limit that falls among the infinite ones is unbounded. Replicates with no
// slope or a negative one bound nothing: they are left out and counted in
// Excluded.
//
// It fails as Fit does, with ErrOptions if boot is impossible, and with
// ErrNoLine unless the fit Converged. The order of the containers and the
// number of workers do not matter.
func Bootstrap(containers []Container, options Options, boot BootstrapOptions) (*BootstrapResult, error) {
	if err := options.complete(); err != nil {
		return nil, err
	}
	if err := boot.complete(options.Level); err != nil {
		return nil, err
	}
	var f Fitter
	fit := new(Result)
	if err := f.Fit(containers, options, fit); err != nil {
		return nil, err
	}
	if fit.Status != Converged {
		return nil, fmt.Errorf("%w (%v): report the bracket of its LC50, or limits that need no line", ErrNoLine, fit.Status)
	}
	b := newBootstrap(&f, fit, options)
	b.run(&boot)
	return b.result(&f), nil
}

func (o *BootstrapOptions) complete(level float64) error {
	switch {
	case o.NewSampler == nil:
		return errNoSampler
	case o.Replicates < 0 || o.Workers < 0:
		return errNegative
	}
	if o.Replicates == 0 {
		o.Replicates = DefaultReplicates
	}
	if o.Workers == 0 {
		o.Workers = runtime.GOMAXPROCS(0)
	}
	if o.Replicates < fewestReplicates(level) {
		return fmt.Errorf("%w: limits of level %g need at least %d, not %d",
			errReplicates, level, fewestReplicates(level), o.Replicates)
	}
	return nil
}

// fewestReplicates is how many leave fewestBeyond beyond each limit.
func fewestReplicates(level float64) int {
	return int(math.Ceil(2*fewestBeyond/(1-level) - 1e-9))
}
