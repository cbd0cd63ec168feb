package bioassay

import (
	"fmt"
	"math"

	"vialwise/doseresp"
)

// The warnings of a comparison.
const (
	WarnCensoredRatio   WarningCode = "censored-ratio"
	WarnNotParallel     WarningCode = "not-parallel"
	WarnLinesCross      WarningCode = "lines-cross"
	WarnNoFraction      WarningCode = "no-fraction"
	WarnWithinVariation WarningCode = "within-natural-variation"
	WarnWholeShift      WarningCode = "whole-population-shifted"
)

// significance is the level at which words speak of a difference of lines.
const significance = 0.05

func (c *Comparison) warnings() []Warning {
	var w []Warning
	add := func(code WarningCode, cure, format string, args ...any) {
		w = append(w, Warning{Code: code, Message: fmt.Sprintf(format, args...), Cure: cure})
	}
	c.warnAboutRatios(add)
	c.warnAboutLines(add)
	c.warnAboutFraction(add)
	return w
}

// wordsPercent is the LCp whose ratio is put into words: LC50 where it was asked
// for, else the first.
func (c *Comparison) wordsPercent() float64 {
	for _, r := range c.Ratios {
		if r.Percent == 50 {
			return 50
		}
	}
	return c.Ratios[0].Percent
}

type adder func(code WarningCode, cure, format string, args ...any)

func (c *Comparison) warnAboutRatios(add adder) {
	for _, r := range c.Ratios {
		if r.Percent != c.wordsPercent() {
			continue
		}
		switch r.Censored {
		case doseresp.CensoredLow:
			add(WarnCensoredRatio, "test higher concentrations", "too few died for an LC%g; the ratio lies above %.3g by the doses tested", r.Percent, r.Bracket.Lower)
		case doseresp.CensoredHigh:
			add(WarnCensoredRatio, "test lower concentrations", "too many died for an LC%g; the ratio lies below %.3g by the doses tested", r.Percent, r.Bracket.Upper)
		case doseresp.Interval:
			add(WarnCensoredRatio, "test doses between those that killed none and all", "no finite line; the ratio lies between %.3g and %.3g by the doses tested", r.Bracket.Lower, r.Bracket.Upper)
		case doseresp.Unplaced:
			add(WarnCensoredRatio, "test more doses", "the counts set no bound to the ratio")
		}
		if r.Natural == NaturalWithin && r.Difference == doseresp.Greater {
			add(WarnWithinVariation, "retest, and add susceptible populations to the baseline",
				"LC%g is above that of the baseline, but its limits reach into the variation among susceptible populations: this does not by itself show resistance", r.Percent)
		}
	}
}

func (c *Comparison) warnAboutLines(add adder) {
	t := c.Lines.Parallelism
	if t.Reason != doseresp.Tested || !(t.Verdict < significance) {
		return
	}
	add(WarnNotParallel, "report the ratios at LC50 and LC90", "the slopes differ (P %s, not adjusted for the number of populations): one ratio does not describe the difference", probabilityWords(t.Verdict))
	if c.Crossing.Central {
		add(WarnLinesCross, "look at the figure; compare mortality at the doses that matter", "the lines cross at dose %.3g, where %.0f %% respond: no single ratio is meaningful", c.Crossing.Dose, 100*c.Crossing.Response)
	}
}

func (c *Comparison) warnAboutFraction(add adder) {
	switch {
	case c.Fraction != nil:
		for _, w := range c.Fraction.Warnings() {
			add(WarningCode(w.Code), w.Cure, "%s", w.Message)
		}
		if c.WholeShift {
			add(WarnWholeShift, "test mites at the baseline's LC99 and at twice that dose; read the ratio meanwhile",
				"the counts do not tell a resistant part from a shift of the whole population: q may be either")
		}
	case c.Survivors == nil && c.Single == nil && c.Field.Fit.TreatedExposed > 0:
		reason := "the likelihood was not maximised"
		if c.noFraction != nil {
			reason = c.noFraction.Error()
		}
		add(WarnNoFraction, "read the ratio and the survivors", "no resistant fraction: %s", reason)
	}
}

// probabilityWords writes P as a sentence wants it.
func probabilityWords(p float64) string {
	if p < 0.001 {
		return "below 0.001"
	}
	return fmt.Sprintf("%.3f", p)
}

// place compares a population with a further susceptible one, anywhere in the
// band.
func (lc *BaselineLC) place(own doseresp.LogDose, level float64) (doseresp.Limits, Natural) {
	if lc.Band.From == BandNone {
		return doseresp.Limits{Upper: math.Inf(1), Kind: doseresp.Unbounded}, NaturalUnknown
	}
	// A further population is never surer than the mean of those that were seen.
	lower, upper := min(math.Log10(lc.Band.Lower), lc.Log.Lower), max(math.Log10(lc.Band.Upper), lc.Log.Upper)
	further := doseresp.NewLogDose(lc.Log.Estimate, math.NaN(), 0, lower, upper)
	r := doseresp.NewRatio(own, further, nil, level)
	switch {
	case r.Mover.Lower > 1:
		return r.Mover, NaturalBeyond
	case r.Mover.Upper < 1:
		return r.Mover, NaturalBelow
	}
	return r.Mover, NaturalWithin
}

// aicParameter is the rise of twice the log-likelihood that a further parameter
// must earn (Akaike 1974, IEEE Transactions on Automatic Control 19:716-723).
const aicParameter = 2

// wholeShift says that the counts do not tell a resistant part from a shift of
// the whole population to higher doses, in which case the fraction tells of no
// minority. A fraction of 1 is such a shift, so that limits of q which reach 1
// say it by themselves. A shift smaller than any that a resistant part may have
// is judged by Akaike's criterion: moving the whole line, one parameter, explains
// the counts no worse than a resistant part, which has two, differences of
// log-likelihoods divided by h. Where the variation among susceptible populations
// is known, the form without a resistant part already holds that small shift, δ.
func (c *Comparison) wholeShift() bool {
	f, equal, parallel := c.Fraction, c.Lines.Equality, c.Lines.Parallelism
	switch {
	case f == nil || !(f.Shifted.Fraction > 0) || !c.above():
		return false
	case f.Fraction.Upper >= wholeFraction:
		return true
	case equal.Reason != doseresp.Tested || parallel.Reason != doseresp.Tested:
		return false
	}
	h := c.Lines.H
	part := 2 * (f.Shifted.LogLik - f.Null.LogLik) / h
	if f.Tau > 0 {
		return f.Null.Delta > 0 && part < 2*aicParameter
	}
	whole := (equal.X2 - parallel.X2) / h
	return whole > aicParameter && part-whole < aicParameter
}

// wholeFraction is an upper limit of q that has come to 1, rounding apart.
const wholeFraction = 1 - 1e-6

// above says that the counts place the ratio that is put into words above 1.
func (c *Comparison) above() bool {
	for _, r := range c.Ratios {
		if r.Percent == c.wordsPercent() {
			return r.Bracket.Lower > 1
		}
	}
	return false
}
