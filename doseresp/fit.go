package doseresp

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Options chooses the model and the limits. The zero value is the default:
// probit, natural mortality estimated, heterogeneity when above one, observed
// information, LC10, LC50, LC90 and LC99 with 95 % limits.
type Options struct {
	Link          Link
	Natural       NaturalMortality
	Heterogeneity HeterogeneityRule
	Information   Information
	Percents      []float64 // the p of each LCp, in (0, 100)
	Level         float64   // of the limits, in (0, 1)
}

// Information names the information matrix whose inverse is the covariance.
type Information uint8

// The information matrices. They agree for the logit link without natural
// mortality. Published bioassay tables use the observed one.
const (
	Observed Information = iota
	Expected
)

var informationNames = [...]string{Observed: "observed", Expected: "expected"}

// String returns the matrix's name as flags and results spell it.
func (i Information) String() string { return nameOf(informationNames[:], i) }

// ParseInformation returns the information matrix of that name.
func ParseInformation(name string) (Information, error) {
	return parseName[Information](informationNames[:], name, "information")
}

// DefaultPercents are the LCp that are computed unless others are asked for.
func DefaultPercents() []float64 { return []float64{10, 50, 90, 99} }

// DefaultLevel is the level of limits unless another is asked for.
const DefaultLevel = 0.95

var defaultPercents = DefaultPercents()

// Errors of a fit.
var (
	ErrOptions        = errors.New("impossible option")
	ErrAbbott         = errors.New("correction by Abbott's formula is undefined: every control died")
	ErrNotConverged   = errors.New("the likelihood was not maximised")
	errPercent        = fmt.Errorf("%w: a percent must lie above 0 and below 100", ErrOptions)
	errLevel          = fmt.Errorf("%w: a level must lie above 0 and below 1", ErrOptions)
	errNaturalOutside = fmt.Errorf("%w: fixed natural mortality must be at least 0 and below 1", ErrOptions)
)

func (o *Options) complete() error {
	if o.Percents == nil {
		o.Percents = defaultPercents
	}
	if o.Level == 0 {
		o.Level = DefaultLevel
	}
	for _, p := range o.Percents {
		if !(p > 0 && p < 100) {
			return errPercent
		}
	}
	if !(o.Level > 0 && o.Level < 1) {
		return errLevel
	}
	if c := o.Natural.Value; o.Natural.Mode == Fixed && !(c >= 0 && c < 1) {
		return errNaturalOutside
	}
	return nil
}

// Fit fits one assay. Order of the containers does not matter. It fails with a
// *CountError, ErrOptions, ErrAbbott or ErrNotConverged; data
// without a finite maximum are no failure but a Status of the Result.
func Fit(containers []Container, options Options) (*Result, error) {
	var f Fitter
	r := new(Result)
	if err := f.Fit(containers, options, r); err != nil {
		return nil, err
	}
	return r, nil
}

// Fitter fits assay after assay in the same memory. It must not be used by
// two goroutines at once.
type Fitter struct {
	design design
	model  model
	summit summit
}

// Fit is the function Fit that writes into result, whose slices it reuses.
func (f *Fitter) Fit(containers []Container, options Options, result *Result) error {
	if err := options.complete(); err != nil {
		return err
	}
	if err := checkContainers(containers); err != nil {
		return err
	}
	d := &f.design
	d.summarise(containers)
	result.begin(d, &options)
	natural := d.naturalMode(options.Natural)
	if natural.Mode == AbbottCorrection && d.control.survivors() == 0 {
		return ErrAbbott
	}
	m, s := &f.model, &f.summit
	*m = model{design: d, link: options.Link}
	result.Natural = m.treatNatural(natural)
	finite, err := result.classify(m, s)
	if err != nil || !finite {
		return err
	}
	covariance := result.describe(m, s)
	if result.Status == Converged {
		result.addLimits(m, s, covariance)
	}
	return nil
}

// treatNatural prepares the design and the model for a mode of natural
// mortality and starts the report of it.
func (m *model) treatNatural(n NaturalMortality) NaturalResult {
	r := NaturalResult{Mode: n.Mode, StdErr: math.NaN()}
	switch n.Mode {
	case Estimated:
		m.freeC = true
		r.Estimate = math.NaN()
		return r
	case Fixed:
		m.fixedC = n.Value
		r.Estimate = n.Value
		return r
	case AbbottCorrection:
		r.Estimate = m.control.rate()
		m.correct(r.Estimate)
	}
	m.control = group{x: math.Inf(-1)} // the line alone is fitted
	return r
}

// quantile is the standard normal quantile, or Student's where the fit's
// heterogeneity was applied.
func (r *Result) quantile(level float64) float64 {
	p := 0.5 + level/2
	if r.Heterogeneity.Applied {
		return StudentQuantile(p, r.PearsonContainer.DF)
	}
	return distuv.UnitNormal.Quantile(p)
}
