package bioassay

import (
	"errors"
	"fmt"
	"math"

	"vialwise/doseresp"
	"vialwise/doseresp/mixture"
)

// CompareOptions chooses how field assays are compared with a baseline.
type CompareOptions struct {
	Analysis  AnalysisOptions
	Bands     *RatioBands // nil for none
	LeastFold float64     // of a resistant part, see mixture.Options; 0 for its default
	Fractions *mixture.Priors
}

// Comparison is one field assay against a baseline. What does not apply is
// nil; what does not exist is NaN.
type Comparison struct {
	Field    *Analysis
	Baseline *Baseline

	Ratios   []RatioAt // in the order of the percents that were asked for
	Lines    doseresp.LineTests
	Crossing doseresp.Crossing

	Rules *RatioBands  // behind Bands
	Bands []BandChance // by falling ratio; none without a posterior

	Fraction  *mixture.Result
	Survivors *mixture.Survivors // of an assay of one concentration
	Single    *Single            // likewise
	// WholeShift: a shift of the whole population explains the counts no worse
	// than a resistant part, so that Fraction tells of no minority.
	WholeShift bool

	noFraction error // why there is no resistant fraction

	Adjusted Adjusted
	Verdict  *Verdict // on the quality of the assay, where it was judged
	Warnings []Warning
}

// Adjusted holds the probabilities of the tests after Holm's adjustment for
// all populations that were compared with one baseline, NaN without a test.
type Adjusted struct{ Parallelism, Equality, Fraction float64 }

// Comparer compares many field assays with one baseline. It may be used by
// several goroutines.
type Comparer struct {
	baseline *Baseline
	options  CompareOptions
	lc       []BaselineLC       // by percent
	doses    []doseresp.LogDose // of a baseline of several assays, likewise
	spread   []*doseresp.DoseDistribution
	banded   *doseresp.DoseDistribution // of the LCp that the bands are about, nil without any
	mixture  *mixture.Baseline          // nil where there is none
	about    *doseresp.Dispersion       // of the baseline about its own line, as tests of lines take it; nil where they fail
	noQ      error                      // why
}

// NewComparer prepares a baseline for comparisons.
func NewComparer(b *Baseline, o CompareOptions) (*Comparer, error) {
	c := &Comparer{baseline: b, options: o}
	for _, p := range o.percents() {
		lc, ok := b.At(p)
		if !ok {
			return nil, fmt.Errorf("baseline %q was built without LC%g, of which a ratio is wanted", b.Name, p)
		}
		c.lc = append(c.lc, lc)
		c.doses = append(c.doses, b.ratioDose(lc))
		c.spread = append(c.spread, b.distribution(lc))
	}
	if rules := o.Bands; rules != nil {
		lc, ok := b.At(rules.Percent)
		if !ok {
			return nil, fmt.Errorf("baseline %q was built without LC%g, which the bands of the ratio are about", b.Name, rules.Percent)
		}
		c.banded = b.distribution(lc)
	}
	c.mixture, c.noQ = mixture.NewBaseline(b.ContainerSets(), c.mixtureOptions())
	if own, err := doseresp.CompareLines([][][]doseresp.Container{b.ContainerSets()}, o.Analysis.Fit); err == nil {
		c.about = &own.Pooled
	}
	if c.noQ != nil && !errors.Is(c.noQ, mixture.ErrBaseline) && !errors.Is(c.noQ, doseresp.ErrOptions) {
		return nil, fmt.Errorf("baseline %q: %w", b.Name, c.noQ)
	}
	return c, nil
}

// tooFewToJudge says that two assays speak for susceptible populations, of
// which nobody knows how much they differ. One degree of freedom gives limits
// that hide resistance of any size.
func (b *Baseline) tooFewToJudge() bool { return len(b.Assays) == 2 && !b.BetweenSD.Known }

// ratioDose is log10 LCp of a baseline of several assays as a ratio takes it,
// without limits where two assays cannot give any.
func (b *Baseline) ratioDose(lc BaselineLC) doseresp.LogDose {
	d := lc.Log
	if b.tooFewToJudge() {
		d.Lower, d.Upper, d.SE = math.Inf(-1), math.Inf(1), math.NaN()
	}
	return d
}

// distribution is that of log10 LCp: the posterior of a single assay, moved by
// nothing, or Student's t about the mean of several. nil where there is none.
func (b *Baseline) distribution(lc BaselineLC) *doseresp.DoseDistribution {
	if len(b.Assays) == 1 && !b.BetweenSD.Known {
		if p := b.Assays[0].Limits.Posterior; p != nil {
			return p.Distribution(lc.Percent)
		}
		return nil
	}
	if b.tooFewToJudge() || !(lc.Log.SE > 0) || math.IsInf(lc.Log.SE, 1) || math.IsNaN(lc.Log.Estimate) {
		return nil
	}
	return doseresp.StudentDistribution(lc.Log.Estimate, lc.Log.SE, lc.Log.DF)
}

func (o *CompareOptions) percents() []float64 {
	if p := o.Analysis.Fit.Percents; p != nil {
		return p
	}
	return doseresp.DefaultPercents()
}

// Level is that of all limits.
func (o *CompareOptions) Level() float64 {
	if l := o.Analysis.Fit.Level; l > 0 {
		return l
	}
	return doseresp.DefaultLevel
}

func (c *Comparer) mixtureOptions() mixture.Options {
	fit := c.options.Analysis.Fit
	tau := 0.0
	if lc, ok := c.baseline.At(50); ok && !math.IsNaN(lc.BetweenSD) {
		tau = lc.BetweenSD
	}
	return mixture.Options{
		Link: fit.Link, Natural: fit.Natural, Heterogeneity: fit.Heterogeneity, Level: fit.Level,
		LeastFold: c.options.LeastFold, Tau: tau, Priors: c.options.Fractions,
	}
}

// Compare compares a field assay with the baseline. An assay of another
// acaricide, protocol, unit, exposure or reading is refused with a
// *NotComparableError.
func (c *Comparer) Compare(a Assay) (*Comparison, error) {
	unstated, err := comparableWith(a, c.baseline)
	if err != nil {
		return nil, err
	}
	o := c.options.Analysis
	o.Limits.Posterior = true
	o.Fit.Percents = c.options.percents()
	field, err := Analyse(a, o)
	if err != nil {
		return nil, err
	}
	nan := math.NaN()
	out := &Comparison{Field: field, Baseline: c.baseline, Rules: c.options.Bands, Adjusted: Adjusted{nan, nan, nan}}
	counts := a.Counts(o.Moribund)
	if err := c.ratios(out, counts); err != nil {
		return nil, err
	}
	if err := c.lines(out, counts); err != nil {
		return nil, err
	}
	if err := c.resistantPart(out, counts, (*mixture.Baseline).Fit); err != nil {
		return nil, fmt.Errorf("assay %q: %w", a.Name, err)
	}
	out.WholeShift = out.wholeShift()
	out.Warnings = append(unstated, out.warnings()...)
	return out, nil
}

// Baseline is the baseline that is compared with.
func (c *Comparer) Baseline() *Baseline { return c.baseline }

// lines tests the line of the field assay against that of the baseline.
func (c *Comparer) lines(out *Comparison, counts []doseresp.Container) (err error) {
	o := c.options.Analysis.Fit
	out.Lines, err = doseresp.CompareLines([][][]doseresp.Container{c.baseline.ContainerSets(), {counts}}, o)
	if err != nil {
		return fmt.Errorf("assay %q: %w", out.Field.Assay.Name, err)
	}
	base, own := out.Lines.Populations[0], out.Lines.Populations[1]
	link := out.Field.Fit.Link
	out.Crossing = doseresp.Cross(
		&doseresp.Result{Link: link, Intercept: own.Intercept, Slope: own.Slope},
		&doseresp.Result{Link: link, Intercept: base.Intercept, Slope: base.Slope},
	)
	return nil
}

// resistantPart estimates the resistant fraction, to the depth of fit, or, from one
// concentration, judges its survivors.
func (c *Comparer) resistantPart(out *Comparison, counts []doseresp.Container, fit func(*mixture.Baseline, []doseresp.Container) (*mixture.Result, error)) error {
	if out.Field.Fit.TreatedExposed == 0 {
		return nil
	}
	out.noFraction = c.noQ
	s, single := NewSingle(out.Field.Assay, out.Field.Moribund, RuleSet{}, c.options.Level())
	if single {
		out.Single = s
	}
	if c.mixture == nil {
		return nil
	}
	if single {
		survivors, err := c.mixture.Survivors(counts)
		out.Survivors = survivors
		return err
	}
	fraction, err := fit(c.mixture, counts)
	if errors.Is(err, mixture.ErrAscent) {
		return nil // a warning says so
	}
	out.Fraction = fraction
	return err
}

// Adjust fills in the Adjusted of comparisons that were made with one
// baseline.
func Adjust(all []*Comparison) {
	adjust(all, func(c *Comparison) (float64, *float64) { return c.Lines.Parallelism.Verdict, &c.Adjusted.Parallelism })
	adjust(all, func(c *Comparison) (float64, *float64) { return c.Lines.Equality.Verdict, &c.Adjusted.Equality })
	adjust(all, func(c *Comparison) (float64, *float64) { return c.fractionP(), &c.Adjusted.Fraction })
}

// fractionP is the probability of the test for a resistant part.
func (c *Comparison) fractionP() float64 {
	switch {
	case c.Survivors != nil:
		return c.Survivors.P
	case c.Fraction != nil:
		return c.Fraction.Test.P
	}
	return math.NaN()
}

func adjust(all []*Comparison, field func(*Comparison) (p float64, adjusted *float64)) {
	var p []float64
	var targets []*float64
	for _, c := range all {
		if x, target := field(c); !math.IsNaN(x) {
			p, targets = append(p, x), append(targets, target)
		}
	}
	for i, x := range doseresp.Holm(p) {
		*targets[i] = x
	}
}
