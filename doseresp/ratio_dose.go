package doseresp

import "math"

// LogDose is log10 of one LCp as a ratio takes it from a population, or from
// several populations pooled. Its unit is that of the doses, so that a ratio
// means something only between two of one unit.
type LogDose struct {
	Estimate float64 // NaN where the counts have no finite line
	SE       float64 // by the delta method, heterogeneity included; NaN without an estimate
	DF       int     // degrees of freedom of SE where heterogeneity is in it, else 0

	// Lower and Upper are its own confidence limits, -Inf and +Inf where it
	// has none.
	Lower, Upper float64

	// From and To are the values that the counts allow when read as they stand:
	// both Estimate, or log10 of the Bracket of counts without a line.
	From, To float64

	Extrapolated bool // the estimate lies outside the tested doses

	shared bool // DF belongs to a factor that the other side of a ratio shares
}

// NewLogDose returns the LogDose of an estimate that was made elsewhere, such
// as the mean of several assays. df is 0 where se needs no Student's t.
func NewLogDose(estimate, se float64, df int, lower, upper float64) LogDose {
	return LogDose{Estimate: estimate, SE: se, DF: df, Lower: lower, Upper: upper, From: estimate, To: estimate}
}

// LogDose returns log10 LCp with its profile likelihood limits. It is valid
// only directly after f.Fit(containers, options, r), whose level and
// heterogeneity rule it uses, and panics unless 0 < percent < 100.
//
// Counts of status Separated, AllDead or NoneDead have no estimate, but limits
// and the bracket in which they place the dose; those of the other statuses
// have neither limit, and a bracket only where a single dose allows one.
func (f *Fitter) LogDose(r *Result, percent float64) LogDose {
	return f.logDose(r, percent, f.Profile(r, percent))
}

// RobustLogDose is LogDose with the limits of BetaBinomialProfile, in which
// the correlation within containers takes the place of the factor h. Where
// there is no beta-binomial line it is LogDose.
func (f *Fitter) RobustLogDose(r *Result, percent float64) LogDose {
	if r.Status != Converged {
		return f.LogDose(r, percent)
	}
	return f.logDose(r, percent, f.BetaBinomialProfile(r, percent))
}

func (f *Fitter) logDose(r *Result, percent float64, limits Limits) LogDose {
	nan := math.NaN()
	d := LogDose{Estimate: nan, SE: nan, Lower: math.Log10(limits.Lower), Upper: math.Log10(limits.Upper)}
	if r.Status != Converged {
		b := f.bracketOf(r, percent)
		d.From, d.To = math.Log10(b.Lower), math.Log10(b.Upper)
		return d
	}
	d.Estimate, d.SE = r.logLC(percent)
	d.From, d.To = d.Estimate, d.Estimate
	if r.Heterogeneity.Applied {
		d.DF = r.PearsonContainer.DF
	}
	d.Extrapolated = d.Estimate < math.Log10(r.LowestDose)-1e-9 || d.Estimate > math.Log10(r.HighestDose)+1e-9
	return d
}

// logLC is log10 LCp and its standard error by the delta method, h included.
func (r *Result) logLC(percent float64) (estimate, se float64) {
	h := r.Heterogeneity.Factor()
	l := line{r.Intercept, r.Slope, h * r.Cov[0][0], h * r.Cov[0][1], h * r.Cov[1][1]}
	estimate, se = l.solve(r.Link.Quantile(percent / 100))
	if !(h < hopelessH) {
		se = math.Inf(1)
	}
	return estimate, se
}

// bracketOf is the bracket of LCp in counts without a finite line. It is that
// of LC50 unless some dose killed a part: how large a part then matters.
func (f *Fitter) bracketOf(r *Result, percent float64) Bracket {
	if r.Status != Separated || percent == 50 {
		return r.Bracket
	}
	m := &f.model
	s := m.stepLimit()
	b := noBracket
	lower := s.top
	if m.treated[s.top].rate() > s.c {
		lower--
	}
	if lower >= 0 {
		b.Lower = m.treated[lower].dose
	}
	if s.top+1 < len(m.treated) {
		b.Upper = m.treated[s.top+1].dose
	}
	return b
}
