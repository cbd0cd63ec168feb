// Package track follows populations over the seasons: the resistance ratio of
// each apiary and acaricide season by season, its trend, and what the apiaries
// of a region have in common.
//
// All ratios of one series are against one baseline, whose error moves them
// all by the same factor: it has no part in a trend, and enters the mean of a
// region once and not once for every apiary.
package track

import (
	"vialwise/bioassay"
	"vialwise/doseresp"
)

// Measured is one field assay with what was found.
type Measured struct {
	Assay      string
	Apiary     string // code
	Population string
	Acaricide  string
	Protocol   string
	Origin     bioassay.Origin // where it stands, as its Entry has it
	Collected  bioassay.Date
	Season     bioassay.Season
	Baseline   int             // position among Tracking.Baselines
	Brief      *bioassay.Brief // nil where LeftOut says why there is none
	LeftOut    string          // why the assay carries nothing: discarded, no baseline, no date
}

// Reference is a baseline that series are compared with.
type Reference struct {
	*bioassay.Baseline
	Version  int      // as defined in a registry; 0 for one made of what the files or the registry now hold
	Outdated []string // assays amended since the version was defined
}

// Tracking is what a programme knows of its apiaries over the seasons.
type Tracking struct {
	Calendar  bioassay.Calendar
	Level     float64              // of all limits
	Bands     *bioassay.RatioBands // nil for none
	Baselines []Reference
	Series    []Series // by region, apiary, acaricide and baseline
	Regions   []Region // by region, acaricide and baseline
	Lacking   []Lacking
	LeftOut   []Measured // assays that are in no series, with the reason
}

// Series is one apiary and acaricide over the seasons, against one baseline.
type Series struct {
	Apiary, Region, Acaricide, Protocol string
	Baseline                            int      // position among Tracking.Baselines
	Seasons                             []Season // those with an assay, rising
	Trend                               Trend
}

// Season is what one season of a series found: its only assay, or the mean of
// several.
type Season struct {
	Season   bioassay.Season
	Begins   bioassay.Date
	Assays   []Measured
	Mites    int
	LC50     bioassay.Interval
	Censored doseresp.Censoring // LC50 and Ratio are only known to lie above or below their estimates
	Log      float64            // log10 LC50 of the season, NaN without one
	LogSE    float64
	Ratio    bioassay.Interval
	// Difference is that of Ratio from 1, Natural its place among susceptible
	// populations.
	Difference doseresp.Difference
	Natural    bioassay.Natural
	Bands      []float64         // probability of each band, nil for none
	Bounds     int               // assays beside the mean of others, of which only a bound is known
	Fraction   bioassay.Interval // of the assay with the most mites
	FractionP  float64
	WholeShift bool
	Single     bool
}

// Bounded says that LC50 is only known to lie above or below a bound: nobody or
// everybody died at the doses of the test.
func (s Season) Bounded() bool {
	return s.Censored == doseresp.CensoredLow || s.Censored == doseresp.CensoredHigh
}

// Direction is where a trend goes, in one word.
type Direction uint8

// The directions.
const (
	TooFewSeasons Direction = iota // fewer than FewestSeasons
	NoClearChange                  // the limits include no change
	Rising                         // the acaricide loses its effect
	Falling
)

// FewestSeasons is the number of seasons below which a trend is given no limits.
const FewestSeasons = 4

// Trend is the change of the resistance ratio over the years: a weighted
// regression of log10 of the ratio on time, with variation between seasons.
type Trend struct {
	Direction   Direction
	Seasons     int               // that carry it
	LeftOut     int               // seasons without an estimate
	FoldPerYear bioassay.Interval // NaN where there is none
	P           float64           // of the two-sided test against no change
	BetweenSD   float64           // of log10 of the ratio between seasons, NaN where not known
	Line        []TrendPoint      // the fitted ratio with limits, at every season that carries it
	Warnings    []bioassay.Warning
}

// TrendPoint is the fitted ratio at one season.
type TrendPoint struct {
	Season bioassay.Season
	Ratio  bioassay.Interval
}

// Region is what the apiaries of a region have in common, over the seasons.
type Region struct {
	Region, Acaricide string
	Baseline          int
	Seasons           []RegionSeason
	Trend             Trend
}

// RegionSeason is a region in one season.
type RegionSeason struct {
	Season     bioassay.Season
	Begins     bioassay.Date
	Apiaries   int // with an estimate
	Censored   int // further ones, with a bound only
	Mites      int
	Ratio      bioassay.Interval // random-effects mean; no limits below four apiaries
	BetweenSD  float64           // of log10 of the ratio between apiaries
	Prediction bioassay.Interval // where a further apiary may be expected
	Bands      []float64         // expected share of the apiaries in each band
	Shares     []Share           // of apiaries above a bound, one for each bound between two bands
	Pooled     []Pooled          // each apiary drawn towards the mean, by code
	Warnings   []bioassay.Warning
}

// Share is the share of a region's apiaries whose ratio lies above a bound.
type Share struct {
	Band     string  // the lowest of the bands above the bound
	Above    float64 // the bound
	Apiaries int     // that were judged
	bioassay.Interval
}

// Pooled is the ratio of one apiary drawn towards what the region has in common.
type Pooled struct {
	Apiary string
	Own    float64 // its own ratio
	Ratio  bioassay.Interval
	Weight float64 // of its own estimate, from 0 to 1
}

// Lacking is an apiary of which too little is known.
type Lacking struct {
	Apiary, Region, Acaricide string
	Last                      bioassay.Season // in which it was last tested, zero for never
	Reason                    string
}
