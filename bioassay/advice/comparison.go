package advice

import (
	"errors"
	"math"

	"vialwise/bioassay"
	"vialwise/doseresp"
)

// Judging is what findings are read with beside the counts.
type Judging struct {
	Programme *bioassay.Programme
	Bands     *bioassay.RatioBands // whose last band is the susceptible one; nil for none
	Level     float64              // of limits
}

// resistantClasses are the classes of mortality at one concentration that mean
// resistance, in the built-in rule sets.
var resistantClasses = []string{"resistant", "moderately resistant", "highly resistant"}

// FindingOf takes over a comparison. The variation that susceptible mites may show
// is the upper end of the baseline's own, where it is known, else the lowest bound
// of the bands, which names its rule set. An RR90 tells of a resistant part only
// beyond both: LC90 varies more than LC50, and a shift of the whole raises it too.
// The comparison must hold LC50; LC90 is used where it is there.
func FindingOf(c *bioassay.Comparison, j Judging, trend Trend) Finding {
	f := plain(c.Field.Assay)
	f.Reference, f.Trend = c.Baseline.Protocol, trend
	f.Mites = c.Field.Fit.TreatedExposed + c.Field.Fit.ControlExposed
	for _, r := range c.Ratios {
		switch r.Percent {
		case 50:
			f.RR50 = ratioRange(r)
		case 90:
			f.RR90 = ratioRange(r)
		}
	}
	f.Variation = variationOf(c.Baseline, j.Bands)
	f.Fold90 = max(ownFold(c.Baseline, 90), susceptibleBound(j.Bands))
	if j.Bands != nil && len(c.Bands) > 0 {
		f.Bands.Basis = j.Bands.Basis
		for i, b := range c.Bands {
			f.Bands.List = append(f.Bands.List, Band{b.Name, i == len(c.Bands)-1, b.Probability})
		}
	}
	if q := c.Fraction; q != nil && q.Identified && !c.WholeShift && !math.IsNaN(q.Fraction.Lower) {
		f.Minority = Minority{KnownRange(q.Fraction.Estimate, q.Fraction.Lower, q.Fraction.Upper), c.Adjusted.Fraction}
		if math.IsNaN(f.Minority.P) {
			f.Minority.P = q.Test.P
		}
	}
	f.judgeSingle(c.Field.Assay, c.Field.Moribund, j)
	if s, ok := c.SurvivalAtReference(j.Level); ok && c.Single == nil {
		f.Survivors = KnownRange(100*s.Estimate, 100*s.Lower, 100*s.Upper)
	}
	return f
}

// plain is a finding without figures.
func plain(a bioassay.Assay) Finding {
	day := a.TestedOn
	if day.IsZero() {
		day = a.CollectedOn
	}
	return Finding{Acaricide: a.Acaricide, Protocol: a.Protocol, TestedOn: day, Mites: a.Exposed()}
}

// judgeSingle judges an assay of one concentration by the classes of its
// protocol.
func (f *Finding) judgeSingle(a bioassay.Assay, moribund bioassay.Moribund, j Judging) {
	rules := j.Programme.Standard(a).Rules
	s, single := bioassay.NewSingle(a, moribund, rules, j.Level)
	if !single || rules.Classes == nil {
		return
	}
	f.Single = SingleOf(s, *rules.Classes, resistantClasses...)
	if f.Single.known() {
		x := f.Single.Survival
		f.Survivors = KnownRange(100*x.Estimate, 100*x.Lower, 100*x.Upper)
	}
}

// ratioRange takes over the limits by which a ratio is told to differ: the
// combined ones, or those of the posterior where these have no bound.
func ratioRange(r bioassay.RatioAt) Range {
	lower, upper := r.Mover.Lower, r.Mover.Upper
	if r.Mover.Kind == doseresp.Unbounded {
		if math.IsNaN(r.Posterior.Median) {
			return Range{}
		}
		lower, upper = r.Posterior.Lower, r.Posterior.Upper
	}
	return KnownRange(r.Estimate, lower, upper)
}

// variationOf is the largest ratio of susceptible mites.
func variationOf(b *bioassay.Baseline, bands *bioassay.RatioBands) Variation {
	if fold := ownFold(b, 50); fold > 0 {
		return Variation{Fold: fold, Own: true, Basis: bioassay.Basis{Name: b.Name, Source: "variation between the assays of the baseline"}}
	}
	if bound := susceptibleBound(bands); bound > 0 {
		return Variation{Fold: bound, Basis: bands.Basis}
	}
	return Variation{}
}

// ownFold is the largest ratio at LCp that the assays of the baseline let expect of
// susceptible mites, at least 1; 0 where they do not tell.
func ownFold(b *bioassay.Baseline, percent float64) float64 {
	lc, ok := b.At(percent)
	if fold := lc.Band.UpperFold; ok && lc.Band.From != bioassay.BandNone && fold > 0 && !math.IsInf(fold, 1) {
		return max(fold, 1)
	}
	return 0
}

// susceptibleBound is the ratio of LC50 from which bands no longer say susceptible,
// 0 without one.
func susceptibleBound(bands *bioassay.RatioBands) float64 {
	if bands == nil || len(bands.Bands) < 2 || bands.Percent != 50 {
		return 0
	}
	return bands.Bands[len(bands.Bands)-2].From
}

// FindingOfRefused takes over an assay that was not compared: one that a quality
// rule discards, or one of another protocol. It reports false where the reason is
// neither, so that nothing can be said of the mites.
func FindingOfRefused(a bioassay.Assay, v bioassay.Verdict, err error) (Finding, bool) {
	f := plain(a)
	if !v.Usable && len(v.Reasons) > 0 {
		f.Quality = Quality{Discarded: true, Reason: v.Reasons[0].Code}
		return f, true
	}
	var m *bioassay.NotComparableError
	if !errors.As(err, &m) || m.Field == "acaricide" {
		return f, false
	}
	f.Reference = m.B
	if m.Field != "protocol" {
		f.Reference = f.Protocol + " with another " + m.Field
	}
	return f, true
}
