package advice

import (
	"math"

	"vialwise/bioassay"
)

// Finding is what is known about one acaricide on the mites of one apiary. What
// is not known stays zero.
type Finding struct {
	Acaricide string // active ingredient, never a trade name
	Protocol  string
	Reference string // protocol of the susceptible mites compared with; blank when nothing was compared
	TestedOn  bioassay.Date
	Mites     int // treated and untreated, without the missing

	RR50, RR90 Range     // resistance ratios
	Variation  Variation // what susceptible populations differ by at LC50
	Fold90     float64   // the RR90 above which mites are resistant in part; 0 for Variation.Fold
	Bands      Bands
	Minority   Minority
	Single     Single
	Quality    Quality
	Trend      Trend
	Survivors  Range // of 100 mites, expected at the reference dose
}

// Range is an estimate with its limits. An infinite limit does not exist on
// that side; a NaN was not computed.
type Range struct {
	Known                  bool
	Estimate, Lower, Upper float64
}

// KnownRange returns a range that is known.
func KnownRange(estimate, lower, upper float64) Range {
	return Range{true, estimate, lower, upper}
}

// limited reports whether both limits can be compared with, infinite or not.
func (r Range) limited() bool {
	return r.Known && !math.IsNaN(r.Lower) && !math.IsNaN(r.Upper)
}

// bounded reports whether the range has an estimate and two finite limits.
func (r Range) bounded() bool {
	return r.limited() && !math.IsNaN(r.Estimate) && !math.IsInf(r.Estimate, 0) &&
		!math.IsInf(r.Lower, 0) && !math.IsInf(r.Upper, 0)
}

// above and within compare the whole range with a bound.
func (r Range) above(bound float64) bool  { return r.limited() && r.Lower > bound }
func (r Range) within(bound float64) bool { return r.limited() && r.Upper <= bound }

// Variation is the largest resistance ratio that a susceptible population may
// show, from the baseline's predictive limits or from a named rule set. Without
// it no ratio means resistance.
type Variation struct {
	Fold float64 // 0 when not known
	Own  bool    // found among the assays of the baseline, not taken from a rule set
	bioassay.Basis
}

// Bands are the probabilities of the bands of the resistance ratio under a rule
// set.
type Bands struct {
	bioassay.Basis
	List []Band
}

// Band is a band with its probability.
type Band struct {
	Name        string
	Susceptible bool // mites in this band are not called resistant
	Probability float64
}

// susceptible is the probability of the susceptible bands, and whether any
// band is known.
func (b Bands) susceptible() (p float64, known bool) {
	for _, band := range b.List {
		if band.Susceptible {
			p += band.Probability
		}
	}
	return p, len(b.List) > 0
}

// Minority is the resistant fraction with the one-sided P value against there
// being none.
type Minority struct {
	Fraction Range
	P        float64 // used only where the fraction is known
}

// minorityLevel is the level of the test for a resistant minority.
const minorityLevel = 0.05

func (m Minority) shown() bool { return m.Fraction.above(0) && m.P < minorityLevel }

// Single is a result at one concentration, judged by a named rule set.
type Single struct {
	bioassay.Basis
	Exposed, Survivors int     // Exposed is 0 when there is no such result
	Survival           Range   // between 0 and 1, with exact limits
	SusceptibleUpTo    float64 // survival that the rule set still calls susceptible
	ResistantAbove     float64 // survival above which it says resistant
}

func (s Single) known() bool { return s.Exposed > 0 && s.Survival.limited() }

// Quality says whether a claim may rest on the assay. The zero Quality is
// usable.
type Quality struct {
	Discarded bool
	Reason    bioassay.WarningCode // the gravest finding that discards it
}

// Trend is where the resistance ratio of the acaricide goes over the seasons.
type Trend uint8

// The trends. Rising means that the acaricide loses its effect.
const (
	TrendUnknown Trend = iota
	TrendTooFewSeasons
	TrendLevel
	TrendRising
	TrendFalling
)

var trendNames = [...]string{
	TrendUnknown: "unknown", TrendTooFewSeasons: "too few seasons", TrendLevel: "level",
	TrendRising: "rising", TrendFalling: "falling",
}

// String returns the trend in words.
func (t Trend) String() string { return trendNames[t] }

// RangeOf is a range of what may be known of it: the limits, or the estimate with
// either, or alone.
func RangeOf(estimate, lower, upper bioassay.Optional) Range {
	if !estimate.Known && !lower.Known && !upper.Known {
		return Range{}
	}
	value := func(o bioassay.Optional, otherwise float64) float64 {
		if o.Known {
			return o.Value
		}
		return otherwise
	}
	return KnownRange(value(estimate, math.NaN()), value(lower, math.NaN()), value(upper, math.NaN()))
}
