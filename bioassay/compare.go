package bioassay

import (
	"errors"
	"fmt"
	"math"
	"slices"

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

// RatioAt is the resistance ratio at one LCp.
type RatioAt struct {
	Percent float64
	doseresp.Ratio
	// Beyond holds the limits of the ratio to a further susceptible population
	// rather than to the mean of those in the baseline, and Natural says where
	// they lie. They exist where the baseline tells how much such populations
	// differ.
	Beyond  doseresp.Limits
	Natural Natural
}

// Natural says whether a population differs from the baseline by more than
// susceptible populations differ among themselves.
type Natural uint8

// The places. The limits of a field population and the band of the baseline
// are combined as those of a ratio are, so that a place outside the band is as
// sure as a difference from 1.
const (
	NaturalUnknown Natural = iota // the baseline tells of no variation
	NaturalWithin                 // it may be one of them
	NaturalBeyond                 // it lies above them
	NaturalBelow                  // it lies below them
)

var naturalPlaces = [...]string{NaturalUnknown: "unknown", NaturalWithin: "within", NaturalBeyond: "beyond", NaturalBelow: "below"}

// String returns the place as results spell it.
func (n Natural) String() string { return naturalPlaces[n] }

// BandChance is a band of the resistance ratio with the posterior probability
// that the ratio lies in it.
type BandChance struct {
	RuleBand
	Probability float64
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

// fitted is the only assay of a baseline, fitted.
type fitted struct {
	fitter doseresp.Fitter
	result doseresp.Result
}

// single fits the only assay of the baseline, whose ratios share the factor of
// heterogeneity with the field assay: of the ways tried in simulation the one
// that kept its level (doseresp/sim/ratios.md). It returns nil where the
// baseline has several assays, or stands for more than its own population.
func (c *Comparer) single() (*fitted, error) {
	b := c.baseline
	if len(b.Assays) > 1 || b.BetweenSD.Known {
		return nil, nil
	}
	a, out := b.Assays[0], new(fitted)
	o := c.options.Analysis.Fit
	o.Percents = []float64{}
	if err := out.fitter.Fit(a.Assay.Counts(a.Moribund), o, &out.result); err != nil {
		return nil, fmt.Errorf("baseline %q: %w", b.Name, err)
	}
	return out, nil
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

func (o *CompareOptions) level() float64 {
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
	if err := c.resistantPart(out, counts); err != nil {
		return nil, fmt.Errorf("assay %q: %w", a.Name, err)
	}
	out.WholeShift = out.wholeShift()
	out.Warnings = append(unstated, out.warnings()...)
	return out, nil
}

// ratios fills in the ratio at every percent, and the bands.
func (c *Comparer) ratios(out *Comparison, counts []doseresp.Container) error {
	shared, err := c.sharedDoses(out.Field, counts)
	if err != nil {
		return err
	}
	posterior := tellingPosterior(out.Field)
	for i, p := range c.options.percents() {
		var spread *doseresp.RatioPosterior
		if posterior != nil && c.spread[i] != nil {
			spread = doseresp.NewRatioPosterior(posterior.Distribution(p), c.spread[i])
		}
		out.Ratios = append(out.Ratios, c.ratioAt(i, shared, spread))
	}
	c.bands(out, posterior)
	return nil
}

// sharedDoses gives log10 LCp of a population and of its baseline, with the
// factor of heterogeneity that both share.
type sharedDoses struct {
	field  doseresp.Fitter
	result doseresp.Result
	base   *fitted // nil where the baseline is no single assay
	factor doseresp.Dispersion
}

func (c *Comparer) sharedDoses(field *Analysis, counts []doseresp.Container) (*sharedDoses, error) {
	s := new(sharedDoses)
	o := c.options.Analysis.Fit
	o.Percents = []float64{}
	if err := s.field.Fit(counts, o, &s.result); err != nil {
		return nil, fmt.Errorf("assay %q: %w", field.Assay.Name, err)
	}
	s.factor = s.field.Dispersion(&s.result)
	base, err := c.single()
	if base != nil {
		s.base, s.factor = base, s.factor.Plus(base.fitter.Dispersion(&base.result))
	}
	return s, err
}

// ratioAt is the ratio at the i-th percent. The posterior may be nil.
func (c *Comparer) ratioAt(i int, s *sharedDoses, posterior *doseresp.RatioPosterior) RatioAt {
	p := c.options.percents()[i]
	own, other := s.field.SharedLogDose(&s.result, p, s.factor), c.doses[i]
	if s.base != nil {
		other = s.base.fitter.SharedLogDose(&s.base.result, p, s.factor)
	}
	return c.ratioOf(i, own, other, posterior)
}

// ratioOf is the ratio at the i-th percent of one LCp to another, that of the
// baseline. The posterior may be nil.
func (c *Comparer) ratioOf(i int, own, other doseresp.LogDose, posterior *doseresp.RatioPosterior) RatioAt {
	r := RatioAt{Percent: c.options.percents()[i], Ratio: doseresp.NewRatio(own, other, posterior, c.options.level())}
	r.Beyond, r.Natural = c.lc[i].place(own, c.options.level())
	return r
}

// lc50 is the position of LC50 among the percents. It panics where it is not
// among them.
func (c *Comparer) lc50() int {
	i := slices.Index(c.options.percents(), 50)
	if i < 0 {
		panic("bioassay: a comparer without LC50")
	}
	return i
}

// tellingPosterior is the posterior of a population, nil where it would hand back
// its prior.
func tellingPosterior(a *Analysis) *doseresp.Posterior {
	if tellsNoDose(a.Fit.Status) {
		return nil
	}
	return a.Limits.Posterior
}

// tellsNoDose says that counts set no bound to the LC50.
func tellsNoDose(s doseresp.Status) bool {
	return s == doseresp.TooFewDoses || s == doseresp.NoSlope || s == doseresp.NegativeSlope
}

// bands turns the posterior of the ratio into a probability for each band.
func (c *Comparer) bands(out *Comparison, posterior *doseresp.Posterior) {
	if c.banded != nil && posterior != nil {
		out.Bands = c.BandsOf(posterior.Distribution(c.options.Bands.Percent))
	}
}

// BandsOf returns the probability of each band for an LCp, that which the bands
// are about, with a distribution of log10 LCp. There are none without bands, or
// where the baseline tells of no distribution.
func (c *Comparer) BandsOf(own *doseresp.DoseDistribution) (out []BandChance) {
	if c.banded == nil {
		return nil
	}
	ratio := doseresp.NewRatioPosterior(own, c.banded)
	above := 0.0
	for _, band := range c.options.Bands.Bands {
		p := max(above, ratio.ProbabilityAbove(band.From)) // which rounding may let fall
		out = append(out, BandChance{band, p - above})
		above = p
	}
	return out
}

// RatioOf is the ratio at LC50 of an LC50 that was made elsewhere, such as the
// mean of several assays. It panics unless LC50 is among the percents.
func (c *Comparer) RatioOf(own doseresp.LogDose) RatioAt {
	i := c.lc50()
	return c.ratioOf(i, own, c.doses[i], nil)
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

// resistantPart estimates the resistant fraction or, from one concentration,
// judges its survivors.
func (c *Comparer) resistantPart(out *Comparison, counts []doseresp.Container) error {
	if out.Field.Fit.TreatedExposed == 0 {
		return nil
	}
	out.noFraction = c.noQ
	s, single := NewSingle(out.Field.Assay, out.Field.Moribund, RuleSet{}, c.options.level())
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
	fraction, err := c.mixture.Fit(counts)
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
