package mixture

import (
	"fmt"
	"math"

	"vialwise/doseresp"
)

// The warnings of a resistant fraction.
const (
	WarnOneDose       doseresp.WarningCode = "fraction-not-identified"
	WarnLowerBound    doseresp.WarningCode = "plateau-is-lower-bound"
	WarnLeastShift    doseresp.WarningCode = "shift-at-least-allowed"
	WarnNoShift       doseresp.WarningCode = "shift-unbounded"
	WarnWide          doseresp.WarningCode = "fraction-hardly-bounded"
	WarnBaselineTail  doseresp.WarningCode = "baseline-tail-uncertain"
	WarnBeyond        doseresp.WarningCode = "dose-beyond-baseline"
	WarnNoHighDose    doseresp.WarningCode = "no-discriminating-dose"
	WarnVariation     doseresp.WarningCode = "heterogeneity-carried"
	WarnNoControls    doseresp.WarningCode = "no-controls"
	WarnTestsDisagree doseresp.WarningCode = "tests-disagree"
)

// Thresholds of the warnings.
const (
	wideFraction = 0.5  // width of the profile limits of q beyond which they say little
	targetTail   = 0.01 // what should survive an LC99
	notableTail  = 1.5  // times as much as that
)

// Warnings lists what a reader of the result must know, gravest first.
func (r *Result) Warnings() []doseresp.Warning { return r.warnings }

func (r *Result) add(code doseresp.WarningCode, cure, format string, args ...any) {
	r.warnings = append(r.warnings, doseresp.Warning{Code: code, Message: fmt.Sprintf(format, args...), Cure: cure})
}

func (r *Result) warn(j *joint) {
	r.warnAboutIdentity()
	r.warnAboutShift()
	r.warnAboutBaseline(j)
	if r.Heterogeneity.Applied {
		r.add(WarnVariation, "record more containers; look for the ones that differ",
			"containers vary more than binomial counts (h = %.3g, df %d): tests, limits and posterior are widened by h", r.Heterogeneity.H, r.DF)
	}
	if r.FieldControls == 0 || !r.baselineControls {
		r.add(WarnNoControls, "include two or more untreated containers in every assay",
			"an assay without untreated mites: its natural mortality is taken as 0 in the fit, and as its prior in the posterior")
	}
}

func (r *Result) warnAboutIdentity() {
	if !r.Identified {
		r.add(WarnOneDose, fmt.Sprintf("test a second dose, at or above the baseline's LC99, %.3g", r.BaselineLC99),
			"one dose does not identify a resistant fraction: %d of %d mites survived there, and that is all it tells", r.Exposed-r.Dead, r.Exposed)
	}
	if r.Plateau.Fraction > 0 {
		r.add(WarnLowerBound, "report the estimate and the interval of the free shift",
			"the plateau's fraction, %.3g, is a lower bound: it is too low unless no tested dose kills the resistant part", r.Plateau.Fraction)
	}
	if r.Identified && r.Fraction.Upper-r.Fraction.Lower > wideFraction {
		r.add(WarnWide, "test mites at the baseline's LC99 and at twice that dose",
			"the counts leave q anywhere from %.3g to %.3g: a small part with a large shift and a large part with a small one look alike in them",
			r.Fraction.Lower, r.Fraction.Upper)
	}
}

func (r *Result) warnAboutShift() {
	q, fold := r.Shifted.Fraction, r.Shifted.Fold
	switch {
	case !r.Identified || q == 0:
		return
	case math.IsInf(fold, 1):
		r.add(WarnNoShift, "test a dose several times the baseline's LC99",
			"no tested dose kills the resistant part that was fitted: its shift has no upper bound")
	case fold <= r.LeastFold*(1+1e-6):
		r.add(WarnLeastShift, "compare the LC50, and the variation among susceptible populations",
			"the shift is the smallest that was allowed, %g-fold: the population may be a little hardier as a whole rather than hold a resistant part", r.LeastFold)
	}
	if r.Test.Rejects() != r.ShiftedTest.Rejects() {
		r.add(WarnTestsDisagree, "test more mites at the baseline's LC99 and above",
			"the test of the plateau form (P = %.2g) and that of the free shift (P = %.2g) disagree", r.Test.P, r.ShiftedTest.P)
	}
}

func (r *Result) warnAboutBaseline(j *joint) {
	lc99 := r.BaselineLC99
	if r.HighestField < 0.8*lc99 {
		r.add(WarnNoHighDose, fmt.Sprintf("put half of the mites at %.3g", lc99),
			"no field dose reaches the baseline's LC99, %.3g: a small resistant part can hide in this design", lc99)
	}
	if r.HighestField > r.HighestBaseline*(1+1e-9) {
		r.add(WarnBeyond, fmt.Sprintf("test baseline mites at %.3g as well", r.HighestField),
			"the highest field dose, %.3g, lies above the baseline's, %.3g: what should survive there is extrapolated and depends on the link", r.HighestField, r.HighestBaseline)
	}
	p := j.base.predict(j.base.ownGrid(), lc99, []node{{0, 1}})
	if mean := p.mean(); mean > notableTail*targetTail {
		r.add(WarnBaselineTail, "test more baseline mites at doses that kill 90 to 99 %",
			"with this baseline's %d mites the survival at its estimated LC99 is %.2g %% on average and may be %.2g %%, not 1 %%: survivors there are judged against that",
			r.BaselineExposed, 100*mean, 100*p.quantile(0.975))
	}
}
