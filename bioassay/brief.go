package bioassay

import (
	"errors"
	"fmt"
	"math"

	"vialwise/doseresp"
	"vialwise/doseresp/mixture"
)

// Brief is a comparison of one field assay with a baseline at LC50, in the few
// numbers that a series over seasons is made of: a programme holds a hundred
// thousand of them. What does not exist is NaN, a limit that does not exist is
// 0 or +Inf.
type Brief struct {
	Status         doseresp.Status
	Mites          int // exposed, treated and untreated, without the missing
	Controls       int // of these, untreated
	Concentrations int // different ones above 0

	LC50 Interval // in the unit of the assay; fiducial limits, or those of the posterior as Posterior says
	// Posterior says that the limits of LC50, and without a finite line its
	// estimate, are those of the posterior.
	Posterior bool
	// Censored says that LC50 is only known to lie above or below its
	// estimate, which then is a bound.
	Censored doseresp.Censoring

	// Log is log10 LC50 with LogSE, by the delta method, heterogeneity included.
	// DF are the degrees of freedom of LogSE where heterogeneity is in it, else 0.
	// Of separated counts, which bracket LC50, they are the median of the posterior
	// and half the width of its middle 68 %. NaN where there is neither.
	Log, LogSE float64
	DF         int

	// Ratio is the resistance ratio at LC50 with the limits of a Comparison, those of
	// the posterior where the others have no bound at all.
	Ratio         Interval
	RatioCensored doseresp.Censoring
	Difference    doseresp.Difference // of the ratio from 1
	Natural       Natural

	Bands []float64 // posterior probability of each band, in the order of the rules; nil without a posterior

	Fraction   Interval // q with its profile limits; of one concentration the share that survived, with exact ones
	FractionP  float64  // of the one-sided test against there being no resistant part
	WholeShift bool     // the counts do not tell a part from a shift of the whole
	Single     bool     // the assay has one concentration, and Fraction is about survivors
}

// Interval is an estimate with limits.
type Interval struct{ Estimate, Lower, Upper float64 }

// NoInterval is an estimate that does not exist.
func NoInterval() Interval { return Interval{math.NaN(), math.NaN(), math.NaN()} }

// Brief compares a field assay with the baseline in brief: the numbers are those
// of Compare, without the limits, tests and warnings that a Brief does not hold,
// at a tenth of the time, of which bands of the ratio take two thirds. The
// probabilities of bands come from a coarser lattice (LC50Distribution) and are
// within 0.005 of Compare's. It refuses what Compare refuses, and panics unless
// LC50 is among the percents. Several goroutines may call it at once.
func (c *Comparer) Brief(a Assay) (*Brief, error) {
	if _, err := comparableWith(a, c.baseline); err != nil {
		return nil, err
	}
	i := c.lc50()
	out, counts, err := c.sparse(a)
	if err != nil {
		return nil, err
	}
	shared, err := c.sharedDoses(out.Field, counts)
	if err != nil {
		return nil, err
	}
	b := &Brief{
		Status: out.Field.Fit.Status, Mites: out.Field.Fit.TreatedExposed + out.Field.Fit.ControlExposed, Controls: out.Field.Fit.ControlExposed,
		Concentrations: out.Field.Fit.Doses, Fraction: NoInterval(), FractionP: math.NaN(),
	}
	ratio := c.ratioAt(i, shared, nil)
	if ratio, err = c.withPosterior(b, out.Field, counts, i, shared, ratio); err != nil {
		return nil, fmt.Errorf("assay %q: %w", a.Name, err)
	}
	out.Ratios = append(out.Ratios, ratio)
	b.setLC50(out.Field)
	b.setRatio(ratio)
	if err := c.briefFraction(b, out, counts, shared); err != nil {
		return nil, fmt.Errorf("assay %q: %w", a.Name, err)
	}
	return b, nil
}

// sparse fits a field assay with no more limits than a Brief needs.
func (c *Comparer) sparse(a Assay) (*Comparison, []doseresp.Container, error) {
	var f doseresp.Fitter
	o := c.options.Analysis
	o.Fit.Percents = []float64{50}
	field := &Analysis{Assay: a, Moribund: o.Moribund, Fit: new(doseresp.Result)}
	counts := a.Counts(o.Moribund)
	if err := f.Fit(counts, o.Fit, field.Fit); err != nil {
		return nil, nil, fmt.Errorf("assay %q: %w", a.Name, err)
	}
	field.Limits.Robust = make([]Robust, 1)
	field.Limits.Fallback = needsPosterior(field.Fit) && field.Fit.TreatedExposed > 0
	if field.Limits.Fallback {
		if err := field.Limits.addPosterior(field.Fit, counts, o); err != nil {
			return nil, nil, fmt.Errorf("assay %q: %w", a.Name, err)
		}
	}
	return &Comparison{Field: field, Baseline: c.baseline, Rules: c.options.Bands}, counts, nil
}

// withPosterior fills in the bands by the posterior, and the ratio where its
// limits lack a bound.
func (c *Comparer) withPosterior(b *Brief, field *Analysis, counts []doseresp.Container, i int, shared *sharedDoses, ratio RatioAt) (RatioAt, error) {
	bounded := ratio.Mover.Kind == doseresp.Bounded
	if bounded && field.Limits.Posterior == nil && c.banded != nil && c.options.Bands.Percent == 50 && field.Fit.Status == doseresp.Converged {
		o := c.options.Analysis
		own, err := shared.field.LC50Distribution(&shared.result, o.Fit, o.priors())
		if err == nil {
			b.setBands(c.BandsOf(own))
		}
		return ratio, err
	}
	if c.banded == nil && bounded {
		return ratio, nil
	}
	if field.Limits.Posterior == nil && field.Fit.TreatedExposed > 0 {
		if err := field.Limits.addPosterior(field.Fit, counts, c.options.Analysis); err != nil {
			return ratio, err
		}
	}
	p := tellingPosterior(field)
	if p == nil {
		return ratio, nil
	}
	if c.banded != nil {
		b.setBands(c.BandsOf(p.Distribution(c.options.Bands.Percent)))
	}
	if bounded || c.spread[i] == nil {
		return ratio, nil
	}
	return c.ratioAt(i, shared, doseresp.NewRatioPosterior(p.Distribution(50), c.spread[i])), nil
}

func (b *Brief) setBands(bands []BandChance) {
	for _, band := range bands {
		b.Bands = append(b.Bands, band.Probability)
	}
}

// setLC50 takes over the trade's answer, or the bound that counts without a
// line set.
func (b *Brief) setLC50(a *Analysis) {
	lc := a.Fit.LC[0]
	r := a.Report(0)
	b.LC50, b.Posterior = Interval{r.Estimate, r.Lower, r.Upper}, r.Posterior
	b.Log, b.LogSE = math.Log10(lc.Estimate), lc.Log10SE
	if h := a.Fit.Heterogeneity; h.Applied {
		b.DF = a.Fit.PearsonContainer.DF
	}
	if !math.IsNaN(lc.Estimate) {
		return
	}
	b.Log, b.LogSE, b.DF = math.NaN(), math.NaN(), 0
	below, above := a.Fit.Bracket.Lower > 0, !math.IsInf(a.Fit.Bracket.Upper, 1)
	switch {
	case below && above:
		b.Censored = doseresp.Interval
		if p := tellingPosterior(a); p != nil {
			low, high := p.LC(50, middle).Lower, p.LC(50, middle).Upper
			b.Log, b.LogSE = math.Log10(p.LC(50, middle).Median), math.Log10(high/low)/2
		}
	case below:
		b.Censored, b.LC50.Estimate = doseresp.CensoredLow, a.Fit.Bracket.Lower
	case above:
		b.Censored, b.LC50.Estimate = doseresp.CensoredHigh, a.Fit.Bracket.Upper
	default:
		b.Censored = doseresp.Unplaced
	}
}

// middle is the share of a normal distribution within one standard deviation.
const middle = 0.6827

func (b *Brief) setRatio(r RatioAt) {
	b.Ratio = Interval{r.Estimate, r.Mover.Lower, r.Mover.Upper}
	if r.Mover.Kind == doseresp.Unbounded && !math.IsNaN(r.Posterior.Median) {
		b.Ratio.Lower, b.Ratio.Upper = r.Posterior.Lower, r.Posterior.Upper
	}
	b.RatioCensored = r.Censored
	switch r.Censored {
	case doseresp.CensoredLow:
		b.Ratio.Estimate = r.Bracket.Lower
	case doseresp.CensoredHigh:
		b.Ratio.Estimate = r.Bracket.Upper
	case doseresp.Interval:
		b.Ratio.Estimate = r.Posterior.Median
	}
	b.Difference, b.Natural = r.Difference, r.Natural
}

// briefFraction estimates the resistant fraction or, of one concentration,
// counts its survivors.
func (c *Comparer) briefFraction(b *Brief, out *Comparison, counts []doseresp.Container, shared *sharedDoses) error {
	if out.Field.Fit.TreatedExposed == 0 {
		return nil
	}
	if s, single := NewSingle(out.Field.Assay, out.Field.Moribund, RuleSet{}, c.options.Level()); single {
		b.Single = true
		b.Fraction = Interval{s.Survival.Estimate, s.Survival.Lower, s.Survival.Upper}
		if c.mixture == nil {
			return nil
		}
		survivors, err := c.mixture.Survivors(counts)
		if err == nil {
			b.FractionP = survivors.P
		}
		return err
	}
	if c.mixture == nil {
		return nil
	}
	f, err := c.mixture.Estimate(counts)
	if errors.Is(err, mixture.ErrAscent) {
		return nil
	}
	if err != nil {
		return err
	}
	out.Fraction = f
	b.Fraction = Interval{f.Fraction.Estimate, f.Fraction.Lower, f.Fraction.Upper}
	b.FractionP = f.Test.P
	b.WholeShift, err = c.shiftsWhole(out, counts, shared)
	return err
}

// shiftsWhole is wholeShift that compares the lines only where they decide.
func (c *Comparer) shiftsWhole(out *Comparison, counts []doseresp.Container, shared *sharedDoses) (bool, error) {
	if f := out.Fraction; f == nil || !(f.Shifted.Fraction > 0) || !out.above() {
		return false, nil
	}
	if whole, known := c.wholeShiftAtOnce(out, shared); known {
		return whole, nil
	}
	err := c.lines(out, counts)
	return err == nil && out.wholeShift(), err
}

// wholeShiftAtOnce is wholeShift where it follows without the tests of the lines,
// of which it takes the factor of heterogeneity alone: where the variation among
// susceptible populations is known, or limits of q reach 1.
func (c *Comparer) wholeShiftAtOnce(out *Comparison, shared *sharedDoses) (whole, known bool) {
	f := out.Fraction
	switch {
	case f.Fraction.Upper >= wholeFraction:
		return true, true
	case !(f.Tau > 0) || c.about == nil || out.Field.Fit.Status != doseresp.Converged:
		return false, false
	case !(f.Null.Delta > 0):
		return false, true
	}
	pooled := c.about.Plus(shared.field.Dispersion(&shared.result))
	h := 1.0 // as tests of lines take it, also where there is no degree of freedom
	if x := pooled.Heterogeneity(c.options.Analysis.Fit.Heterogeneity).H; x > 1 {
		h = x
	}
	return 2*(f.Shifted.LogLik-f.Null.LogLik)/h < 2*aicParameter, true
}
