package bioassay

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"vialwise/doseresp"
	"vialwise/doseresp/meta"
)

// Baseline is what is known of susceptible mites under one protocol, from one
// assay or several: what field populations are compared with.
//
// The log10 LCp of several assays are summarised with random effects, each p
// by itself, so that the variation between susceptible populations is part of
// every limit. One assay speaks for its own population alone.
type Baseline struct {
	Name                        string
	Acaricide, Protocol, Unit   string // blank where no assay records it
	ExposureHours, ReadingHours Optional
	Assays                      []*Analysis
	Populations                 int // different ones among the assays
	Level                       float64
	BetweenSD                   Optional // as given, with its source
	BetweenSource               string
	LC                          []BaselineLC
	Slope                       BaselineSlope
	Discriminating              []Discriminating
	LowestDose, HighestDose     float64 // tested in any of the assays
	Warnings                    []Warning

	options BaselineOptions
	lines   *baselineLines // under the link of the baseline
}

// BaselineOptions chooses how assays become a baseline.
type BaselineOptions struct {
	Analysis AnalysisOptions
	Method   meta.Method // of the variance between assays; not meta.Given
	// BetweenSD is the standard deviation of log10 LCp between susceptible
	// populations where a programme knows it from elsewhere; it takes the place
	// of the one that the assays would give. BetweenSource says from where.
	BetweenSD     Optional
	BetweenSource string
	// DiscriminatingPercent is the p of the dose that should kill nearly all
	// susceptible mites, 0 for DefaultDiscriminatingPercent.
	DiscriminatingPercent float64
}

// DefaultDiscriminatingPercent: LC99, as the WHO's discriminating
// concentrations are built on (common practice).
const DefaultDiscriminatingPercent = 99

// ErrBaseline is wrapped by errors that no baseline can be made.
var ErrBaseline = errors.New("no baseline can be made")

// BaselineError says why an assay is no part of a baseline. It wraps
// ErrBaseline.
type BaselineError struct {
	Baseline, Assay string
	Origin          Origin
	Message, Cure   string
}

// Error names baseline and assay, the matter and the cure.
func (e *BaselineError) Error() string {
	s := fmt.Sprintf("baseline %q", e.Baseline)
	if e.Assay != "" {
		s += ": assay " + located(e.Assay, e.Origin)
	}
	return s + ": " + e.Message + "; " + e.Cure
}

// Unwrap makes errors.Is(err, ErrBaseline) true.
func (e *BaselineError) Unwrap() error { return ErrBaseline }

// BuildBaseline makes a baseline from assays, whatever their Role. It fails
// with a *NotComparableError where they disagree in acaricide, protocol, unit,
// exposure or reading time; with a *BaselineError where there is no assay, one
// is given twice, or one has no line that a baseline could stand on; and as
// Analyse does.
//
// Of a single assay that killed every mite the baseline carries the
// inequality: its LC50 lies below the lowest dose.
func BuildBaseline(name string, assays []Assay, o BaselineOptions) (*Baseline, error) {
	if err := o.complete(); err != nil {
		return nil, err
	}
	b := &Baseline{Name: name, options: o, BetweenSD: o.BetweenSD, BetweenSource: o.BetweenSource, Level: o.Analysis.Fit.Level}
	if len(assays) == 0 {
		return nil, b.refuse(Assay{}, "it has no assay", "mark the assays of susceptible mites with the role baseline, or name them")
	}
	if err := b.gather(assays); err != nil {
		return nil, err
	}
	var err error
	if b.lines, err = newBaselineLines(assays, o.Analysis, o.Analysis.Fit.Link); err != nil {
		return nil, err
	}
	b.Assays = b.lines.analyses
	for _, a := range b.Assays {
		if err := b.judge(a); err != nil {
			return nil, err
		}
		b.LowestDose = min(b.LowestDose, a.Fit.LowestDose)
		b.HighestDose = max(b.HighestDose, a.Fit.HighestDose)
	}
	if err := b.summarise(); err != nil {
		return nil, err
	}
	b.Warnings = append(b.Warnings, b.furtherWarnings()...)
	return b, nil
}

func (b *Baseline) summarise() (err error) {
	for i, p := range b.options.Analysis.Fit.Percents {
		lc, err := b.lines.lc(i, p, b.options)
		if err != nil {
			return err
		}
		b.LC = append(b.LC, lc)
	}
	if b.Slope, err = b.lines.slope(b.options); err != nil {
		return err
	}
	b.Discriminating, err = b.discriminate()
	return err
}

func (o *BaselineOptions) complete() error {
	fit := &o.Analysis.Fit
	if fit.Percents == nil {
		fit.Percents = doseresp.DefaultPercents()
	}
	if fit.Level == 0 {
		fit.Level = doseresp.DefaultLevel
	}
	if o.DiscriminatingPercent == 0 {
		o.DiscriminatingPercent = DefaultDiscriminatingPercent
	}
	switch sd := o.BetweenSD; {
	case o.Method == meta.Given:
		return fmt.Errorf("%w: the variation between populations is given by its standard deviation, not as a method", ErrBaseline)
	case sd.Known && !(sd.Value > 0 && sd.Value < largestBetweenSD):
		return fmt.Errorf("%w: a standard deviation of %g between populations; give that of log10 LC50, above 0 and below %d", ErrBaseline, sd.Value, largestBetweenSD)
	case sd.Known && strings.TrimSpace(o.BetweenSource) == "":
		return fmt.Errorf("%w: the standard deviation of %g between populations has no source; say where it is known from", ErrBaseline, sd.Value)
	case !(o.DiscriminatingPercent > 50 && o.DiscriminatingPercent < 100):
		return fmt.Errorf("%w: a discriminating concentration that kills %g %%; use a percent above 50 and below 100", ErrBaseline, o.DiscriminatingPercent)
	}
	return nil
}

// largestBetweenSD is a standard deviation of log10 LC50 that no set of
// populations called susceptible can have: a factor of ten thousand between
// most of them.
const largestBetweenSD = 2

// method is the estimator of the variance between assays of log10 LCp.
func (o *BaselineOptions) method() meta.Options {
	m := meta.Options{Method: o.Method, Level: o.Analysis.Fit.Level}
	if o.BetweenSD.Known {
		m.Method, m.Tau2 = meta.Given, o.BetweenSD.Value*o.BetweenSD.Value
	}
	return m
}

// gather checks that the assays belong together and notes what they agree in.
func (b *Baseline) gather(assays []Assay) error {
	b.LowestDose = math.Inf(1)
	populations := map[Population]bool{}
	for i, a := range assays {
		for _, other := range assays[:i] {
			if a.Name == other.Name {
				return b.refuse(a, "it is given twice", "name each assay once; it would count as two populations")
			}
			if _, err := Comparable(other, a); err != nil {
				return fmt.Errorf("baseline %q: %w", b.Name, err)
			}
		}
		populations[a.Tested()] = true
		b.note(a)
	}
	b.Populations = len(populations)
	b.Warnings = append(unrecorded(assays), fieldRoles(assays)...)
	return nil
}

// note takes over the fields that the assays agree in, where not yet known.
func (b *Baseline) note(a Assay) {
	for _, f := range []struct {
		mine  *string
		value string
	}{{&b.Acaricide, a.Acaricide}, {&b.Protocol, a.Protocol}, {&b.Unit, a.Unit}} {
		if *f.mine == "" {
			*f.mine = f.value
		}
	}
	if !b.ExposureHours.Known {
		b.ExposureHours = a.ExposureHours
	}
	if !b.ReadingHours.Known {
		b.ReadingHours = a.ReadingHours
	}
}

func (b *Baseline) refuse(a Assay, message, cure string) error {
	return &BaselineError{Baseline: b.Name, Assay: a.Name, Origin: a.origin(), Message: message, Cure: cure}
}

// Example is an assay with the fields that all assays of the baseline agree
// in and without containers, to be compared with others by Comparable.
func (b *Baseline) Example() Assay {
	return Assay{
		Name: b.Name, Role: RoleBaseline, Acaricide: b.Acaricide, Protocol: b.Protocol, Unit: b.Unit,
		ExposureHours: b.ExposureHours, ReadingHours: b.ReadingHours,
	}
}

// ContainerSets are the counts of the assays, as the tests of lines and the
// mixture model take them: one set for each, moribund mites as the options say.
func (b *Baseline) ContainerSets() [][]doseresp.Container {
	var sets [][]doseresp.Container
	for _, a := range b.Assays {
		sets = append(sets, a.Assay.Counts(a.Moribund))
	}
	return sets
}

// At returns the LCp of a percent, and false where it was not asked for.
func (b *Baseline) At(percent float64) (BaselineLC, bool) {
	for _, lc := range b.LC {
		if lc.Percent == percent {
			return lc, true
		}
	}
	return BaselineLC{}, false
}
