package bioassay

import (
	"fmt"
	"math"

	"vialwise/doseresp"
	"vialwise/doseresp/meta"
)

// baselineLines are the assays of a baseline, analysed under one link.
type baselineLines struct {
	link     doseresp.Link
	options  doseresp.Options
	analyses []*Analysis
}

func newBaselineLines(assays []Assay, o AnalysisOptions, link doseresp.Link) (*baselineLines, error) {
	o.Fit.Link = link
	if len(assays) == 1 {
		o.Limits.Posterior = true // for the survival at a dose
	}
	l := &baselineLines{link: link, options: o.Fit}
	for _, a := range assays {
		analysis, err := Analyse(a, o)
		if err != nil {
			return nil, err
		}
		l.analyses = append(l.analyses, analysis)
	}
	return l, nil
}

// judge refuses an assay whose counts a baseline cannot stand on.
func (b *Baseline) judge(a *Analysis) error {
	refuse := func(message, cure string) error { return b.refuse(a.Assay, message, cure) }
	fit := a.Fit
	switch fit.Status {
	case doseresp.AllDead:
		if len(b.Assays) > 1 {
			return refuse(fmt.Sprintf("every treated mite died, so its LC50 is only known to lie below %g", fit.LowestDose),
				"leave the assay out and say so, or repeat it with lower doses")
		}
	case doseresp.NoneDead:
		return refuse("no treated mite died, so these are not known to be susceptible", "leave the assay out, or repeat it with higher doses")
	case doseresp.NoSlope, doseresp.NegativeSlope:
		return refuse("mortality does not rise with the dose, so there is no line to compare with", "check the concentrations as entered, or repeat the assay")
	case doseresp.TooFewDoses:
		return refuse("it has fewer than two doses above 0, and a line needs two", "repeat the assay with five or six doses")
	}
	return nil
}

// estimate is log10 LCp of one assay with the variance that a summary gives it:
// by the delta method where bounded fiducial limits exist, else those of the
// posterior, median and squared width of the limits over that of normal ones.
func (l *baselineLines) estimate(a *Analysis, i int) (y, v float64) {
	if lc := a.Fit.LC[i]; lc.Fiducial.Kind == doseresp.Bounded {
		return math.Log10(lc.Estimate), lc.Log10SE * lc.Log10SE
	}
	p := a.Limits.PosteriorLC[i]
	return math.Log10(p.Median), l.variance(math.Log10(p.Lower), math.Log10(p.Upper))
}

// variance is that of a normal distribution with these limits.
func (l *baselineLines) variance(lower, upper float64) float64 {
	sd := (upper - lower) / (2 * meta.Quantile(0.5+l.options.Level/2, math.Inf(1)))
	return sd * sd
}

// fromPosterior names the assays that enter a summary by their posterior.
func (l *baselineLines) fromPosterior() (names []string) {
	for _, a := range l.analyses {
		if a.Fit.Status != doseresp.Converged || needsPosterior(a.Fit) {
			names = append(names, a.Assay.Name)
		}
	}
	return names
}

// BaselineSlope is the slope of the baseline: of one assay its own, of several
// their random-effects mean. Limits are symmetric on a log scale, on which it
// is summarised, because steep lines are the less certain ones.
type BaselineSlope struct {
	Estimate, Lower, Upper float64       // NaN without a line; limits 0 and +Inf where there are none
	Assays                 int           // with a finite line, those that it rests on
	Pooled                 *meta.Summary // of log10 slope; nil of fewer than two assays
}

func (l *baselineLines) slope(o BaselineOptions) (BaselineSlope, error) {
	var y, v []float64
	df := math.Inf(1)
	for _, a := range l.analyses {
		fit := a.Fit
		if fit.Status != doseresp.Converged {
			continue
		}
		se := fit.SlopeStdErr * math.Sqrt(fit.Heterogeneity.Factor()) / (fit.Slope * math.Ln10)
		if variance := se * se; variance > 0 && !math.IsInf(variance, 1) {
			y, v = append(y, math.Log10(fit.Slope)), append(v, variance)
			df = degrees(fit)
		}
	}
	if len(y) == 0 {
		return BaselineSlope{math.NaN(), 0, math.Inf(1), 0, nil}, nil
	}
	s, err := meta.Summarise(y, v, meta.Options{Method: o.Method, Level: l.options.Level})
	if err != nil {
		return BaselineSlope{}, err
	}
	if len(y) == 1 {
		half := meta.Quantile(0.5+l.options.Level/2, df) * s.StdErr
		return BaselineSlope{antilog(s.Mean), antilog(s.Mean - half), antilog(s.Mean + half), 1, nil}, nil
	}
	return BaselineSlope{antilog(s.Mean), antilog(s.Limits.Lower), antilog(s.Limits.Upper), len(y), s}, nil
}

// degrees are those of Student's t where the fit's heterogeneity was applied,
// else infinite.
func degrees(fit *doseresp.Result) float64 {
	if fit.Heterogeneity.Applied {
		return float64(fit.PearsonContainer.DF)
	}
	return math.Inf(1)
}

func antilog(x float64) float64 { return math.Pow(10, x) }
