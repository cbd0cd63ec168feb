package doseresp

import "math"

// Ratio is LCp of one population over LCp of a baseline, the resistance ratio
// where the baseline is susceptible.
type Ratio struct {
	Estimate float64 // NaN where either population has no finite line
	Log10SE  float64 // of log10 Estimate, by the delta method, heterogeneity included
	DF       int     // degrees of freedom of Delta's Student's t, 0 where it is normal
	Level    float64 // of all limits

	// Bracket holds the ratios that the counts allow when read as they stand:
	// both ends are Estimate, or one or both are bounds as Censored says.
	Bracket  Bracket
	Censored Censoring

	Delta     Limits          // of Robertson & Preisler (1992)
	Mover     Limits          // the default: both populations' own limits combined
	Posterior PosteriorLimits // NaN where no posterior was given

	Difference Difference // from 1
	Basis      RatioBasis // the limits that Difference was read from

	Extrapolated bool // an estimate lies outside the tested doses of its population
}

// Censoring says what is known of a ratio without an estimate.
type Censoring uint8

// The censorings.
const (
	NotCensored  Censoring = iota // there is an estimate
	CensoredLow                   // the ratio lies above Bracket.Lower
	CensoredHigh                  // the ratio lies below Bracket.Upper
	Interval                      // the ratio lies within Bracket
	Unplaced                      // the counts set no bound
)

var censoringNames = [...]string{
	NotCensored: "none", CensoredLow: "above", CensoredHigh: "below", Interval: "interval", Unplaced: "unplaced",
}

// String returns the censoring's name as results spell it: where the ratio
// lies of its bound.
func (c Censoring) String() string { return nameOf(censoringNames[:], c) }

// Difference says whether a ratio differs from 1, and how.
type Difference uint8

// The differences.
const (
	NotDifferent Difference = iota // the interval contains 1
	Greater                        // it lies above 1
	Smaller                        // it lies below 1
	Undecided                      // there is no interval to say
)

var differenceNames = [...]string{NotDifferent: "not-different", Greater: "greater", Smaller: "smaller", Undecided: "undecided"}

// String returns the difference's name as results spell it.
func (d Difference) String() string { return nameOf(differenceNames[:], d) }

// RatioBasis names the limits by which a difference was judged.
type RatioBasis uint8

// The bases. The posterior decides only where the combined limits contain 1
// and lack a bound, and so cannot say that there is no difference.
const (
	ByMover RatioBasis = iota
	ByPosterior
)

var basisNames = [...]string{ByMover: "combined-profile", ByPosterior: "posterior"}

// String returns the basis's name as results spell it.
func (b RatioBasis) String() string { return nameOf(basisNames[:], b) }

// NewRatio compares a population with a baseline, which must be independent of
// it. Two assays are best given as SharedLogDose, with the sum of both
// Dispersions. posterior may be nil. level is that of the limits in both, in (0, 1), or
// NewRatio panics.
//
// The estimate is 10^(d₁-d₂) with d₁ and d₂ the two Estimates. "Different"
// means that the limits exclude 1, also where they have one bound only;
// whether the two populations' own limits overlap is not asked.
func NewRatio(population, baseline LogDose, posterior *RatioPosterior, level float64) Ratio {
	if !(level > 0 && level < 1) {
		panic("doseresp: level of a ratio must lie between 0 and 1")
	}
	r := Ratio{
		Estimate: pow10(population.Estimate - baseline.Estimate),
		Log10SE:  math.Hypot(population.SE, baseline.SE),
		DF:       pooledDF(population, baseline),
		Level:    level,
		Bracket:  Bracket{pow10(population.From - baseline.To), pow10(population.To - baseline.From)},
		Mover:    moverLimits(population, baseline),

		Posterior:    PosteriorLimits{math.NaN(), math.NaN(), math.NaN()},
		Extrapolated: population.Extrapolated || baseline.Extrapolated,
	}
	r.Censored = r.censoring()
	r.Delta = r.deltaLimits()
	if posterior != nil {
		r.Posterior = posterior.Limits(level)
	}
	r.judge()
	return r
}

func (r *Ratio) censoring() Censoring {
	below, above := r.Bracket.Lower > 0, !math.IsInf(r.Bracket.Upper, 1)
	switch {
	case !math.IsNaN(r.Estimate):
		return NotCensored
	case below && above:
		return Interval
	case below:
		return CensoredLow
	case above:
		return CensoredHigh
	}
	return Unplaced
}

// judge reads the difference from 1.
func (r *Ratio) judge() {
	r.Difference, r.Basis = differenceOf(r.Mover.Lower, r.Mover.Upper), ByMover
	if r.Difference != NotDifferent || r.Mover.Kind == Bounded {
		return
	}
	if math.IsNaN(r.Posterior.Median) {
		r.Difference = Undecided
		return
	}
	r.Difference, r.Basis = differenceOf(r.Posterior.Lower, r.Posterior.Upper), ByPosterior
}

func differenceOf(lower, upper float64) Difference {
	switch {
	case lower > 1:
		return Greater
	case upper < 1:
		return Smaller
	}
	return NotDifferent
}

// pow10 is 10^x.
func pow10(x float64) float64 { return math.Exp(math.Ln10 * x) }
