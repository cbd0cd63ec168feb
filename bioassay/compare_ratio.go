package bioassay

import (
	"fmt"
	"slices"

	"vialwise/doseresp"
)

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
	r := RatioAt{Percent: c.options.percents()[i], Ratio: doseresp.NewRatio(own, other, posterior, c.options.Level())}
	r.Beyond, r.Natural = c.lc[i].place(own, c.options.Level())
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
