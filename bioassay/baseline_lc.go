package bioassay

import (
	"math"

	"vialwise/doseresp"
	"vialwise/doseresp/meta"
)

// BaselineLC is one LCp of a baseline.
type BaselineLC struct {
	Percent float64
	// Log is log10 LCp as ratios take it. Its limits exist from two assays on, or
	// of one; of two or three they are those of Student's t with few degrees of
	// freedom, wider than what is worth showing by itself.
	Log doseresp.LogDose
	// Lower and Upper are the limits to show, as doses: 0 and +Inf for two or
	// three assays without a given variation between populations.
	Lower, Upper float64
	From         BaselineSource
	Pooled       *meta.Summary // of log10 LCp; nil of one assay
	BetweenSD    float64       // of log10 LCp between populations, estimated or given; NaN where unknown
	Band         Band
}

// Estimate is LCp as a dose, NaN without one.
func (lc *BaselineLC) Estimate() float64 { return antilog(lc.Log.Estimate) }

// Band is where LCp of a further susceptible population may be expected: the
// natural variation that a ratio is to be judged against.
type Band struct {
	Lower, Upper         float64 // doses; 0 and +Inf where nothing is known
	LowerFold, UpperFold float64 // the same over the estimate of the baseline; NaN without one
	From                 BandSource
}

// BandSource says what a band rests on.
type BandSource uint8

// The sources of a band. BandNone: the variation between susceptible
// populations cannot be known from one or two assays.
const (
	BandNone     BandSource = iota
	BandAssays              // predictive limits of three assays or more
	BandProvided            // a standard deviation that was given
)

var bandNames = [...]string{BandNone: "none", BandAssays: "assays", BandProvided: "provided"}

// String returns the source's name as results spell it.
func (s BandSource) String() string { return bandNames[s] }

// BandSources lists every source, in the order of their constants.
func BandSources() []BandSource { return []BandSource{BandNone, BandAssays, BandProvided} }

// BaselineSource says where the limits of a baseline's LCp come from.
type BaselineSource uint8

// The sources. The first three are limits of a single assay: those that allow
// for variation between containers, the profile likelihood where the counts
// have no finite line, and the posterior where neither exists.
const (
	BaselineBetaBinomial BaselineSource = iota
	BaselineProfile
	BaselinePosterior
	BaselineRandomEffects
)

var baselineSourceNames = [...]string{
	BaselineBetaBinomial: "beta-binomial", BaselineProfile: "profile",
	BaselinePosterior: "posterior", BaselineRandomEffects: "random-effects",
}

// String returns the source's name as results spell it.
func (s BaselineSource) String() string { return baselineSourceNames[s] }

// BaselineSources lists every source, in the order of their constants.
func BaselineSources() []BaselineSource {
	return []BaselineSource{BaselineBetaBinomial, BaselineProfile, BaselinePosterior, BaselineRandomEffects}
}

// lc summarises the i-th LCp.
func (l *baselineLines) lc(i int, percent float64, o BaselineOptions) (BaselineLC, error) {
	if len(l.analyses) == 1 {
		return l.single(i, percent, o)
	}
	var y, v []float64
	for _, a := range l.analyses {
		estimate, variance := l.estimate(a, i)
		y, v = append(y, estimate), append(v, variance)
	}
	s, err := meta.Summarise(y, v, o.method())
	if err != nil {
		return BaselineLC{}, err
	}
	df := 0
	if !math.IsInf(s.DF, 1) {
		df = int(s.DF)
	}
	lc := BaselineLC{
		Percent: percent, From: BaselineRandomEffects, Pooled: s, BetweenSD: s.SD(),
		Log:   doseresp.NewLogDose(s.Mean, s.StdErr, df, s.Carried.Lower, s.Carried.Upper),
		Lower: antilog(s.Limits.Lower), Upper: antilog(s.Limits.Upper),
	}
	switch {
	case o.BetweenSD.Known:
		lc.Band.From = BandProvided
	case s.Units >= meta.FewestForPrediction:
		lc.Band.From = BandAssays
	}
	lc.addBand(s.Prediction.Lower, s.Prediction.Upper)
	return lc, nil
}

// single takes LCp from the only assay. Where a standard deviation between
// populations is given, the assay stands for their mean, and that deviation
// widens its limits, by squares on either side (as Zou & Donner 2008, Statistics
// in Medicine 27:1693-1702, combine limits); a further population differs by
// it once more.
func (l *baselineLines) single(i int, percent float64, o BaselineOptions) (BaselineLC, error) {
	log, from, err := l.singleDose(i, percent)
	if err != nil {
		return BaselineLC{}, err
	}
	lc := BaselineLC{Percent: percent, From: from, BetweenSD: math.NaN()}
	low, high := math.Inf(-1), math.Inf(1)
	if o.BetweenSD.Known {
		lc.BetweenSD = o.BetweenSD.Value
		spread := lc.BetweenSD * meta.Quantile(0.5+l.options.Level/2, math.Inf(1))
		low, high = widen(log, math.Sqrt2*spread)
		log.Lower, log.Upper = widen(log, spread)
		log.SE = math.Hypot(log.SE, lc.BetweenSD)
		lc.Band.From = BandProvided
	}
	lc.Log, lc.Lower, lc.Upper = log, antilog(log.Lower), antilog(log.Upper)
	lc.addBand(low, high)
	return lc, nil
}

// widen adds a spread to both limits, by squares where there is an estimate
// that they can be measured from.
func widen(d doseresp.LogDose, spread float64) (lower, upper float64) {
	if math.IsNaN(d.Estimate) {
		return d.Lower - spread, d.Upper + spread
	}
	return d.Estimate - math.Hypot(d.Estimate-d.Lower, spread), d.Estimate + math.Hypot(d.Upper-d.Estimate, spread)
}

// singleDose is log10 LCp of the only assay with the limits that allow for
// variation between containers, or those that stand in for them.
func (l *baselineLines) singleDose(i int, percent float64) (d doseresp.LogDose, from BaselineSource, err error) {
	a := l.analyses[0]
	counts := a.Assay.Counts(a.Moribund)
	var f doseresp.Fitter
	r := new(doseresp.Result)
	if err := f.Fit(counts, l.options, r); err != nil {
		return d, from, err
	}
	if r.Status == doseresp.Converged && !holdsLarge(counts) {
		d, from = f.RobustLogDose(r, percent), BaselineBetaBinomial
	} else {
		d, from = f.LogDose(r, percent), BaselineProfile
	}
	bounded := !math.IsInf(d.Lower, -1) && !math.IsInf(d.Upper, 1)
	around := d.Lower <= d.Estimate && d.Estimate <= d.Upper
	if r.Status == doseresp.AllDead || bounded && (r.Status == doseresp.Separated || around) {
		return d, from, nil
	}
	p := a.Limits.PosteriorLC[i]
	d.Lower, d.Upper = math.Log10(p.Lower), math.Log10(p.Upper)
	if r.Status == doseresp.Converged && !(d.Lower < d.Estimate && d.Estimate < d.Upper) {
		d.Estimate = math.Log10(p.Median)
		d.From, d.To = d.Estimate, d.Estimate
	}
	return d, BaselinePosterior, nil
}

// addBand fills in the band from limits of log10 LCp.
func (lc *BaselineLC) addBand(lower, upper float64) {
	lc.Band.Lower, lc.Band.Upper = antilog(lower), antilog(upper)
	lc.Band.LowerFold, lc.Band.UpperFold = antilog(lower-lc.Log.Estimate), antilog(upper-lc.Log.Estimate)
}
