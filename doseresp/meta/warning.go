package meta

import "fmt"

// WarningCode names a doubt about a summary that is usable all the same.
type WarningCode string

// The warnings.
const (
	WarnOneUnit      WarningCode = "one-unit"           // nothing is known of the variation between units
	WarnFewUnits     WarningCode = "few-units"          // no limits of the mean are shown
	WarnNoneSeen     WarningCode = "no-variation-seen"  // τ² is estimated as 0, its upper limit is not
	WarnTau2Exceeded WarningCode = "variation-exceeded" // the units vary more than the given τ² says
	WarnNoDegrees    WarningCode = "no-degrees-of-freedom"
)

// tau2Doubtful is the probability of so large a Q below which a given τ² is
// doubted.
const tau2Doubtful = 0.05

// Warning is a doubt, in words, with what would cure it.
type Warning struct {
	Code          WarningCode
	Message, Cure string
}

// warnings are those of any model.
func (b *Between) warnings() []Warning {
	var out []Warning
	if b.Method == Given && b.TauP < tau2Doubtful {
		out = append(out, Warning{
			Code:    WarnTau2Exceeded,
			Message: fmt.Sprintf("the units vary more than the given standard deviation between units of %.3g allows (P = %.2g)", b.SD(), b.TauP),
			Cure:    "estimate the variation from the units, or look for the unit that stands out",
		})
	}
	if b.Method != Given && b.Tau2 == 0 && b.Tau2Limits.Upper > 0 {
		out = append(out, Warning{
			Code:    WarnNoneSeen,
			Message: fmt.Sprintf("the units vary no more than chance, which does not show that they are alike: a standard deviation between units of up to %.3g agrees with them", b.SDLimits().Upper),
			Cure:    "add units, or larger ones",
		})
	}
	return out
}

func (r *Regression) warnings() []Warning {
	out := r.Between.warnings()
	if r.Between.DF == 0 && r.Method != Given {
		out = append(out, Warning{
			Code:    WarnNoDegrees,
			Message: fmt.Sprintf("%d units determine %d coefficients and leave nothing to judge them by, so there are no limits", r.Units, len(r.at.beta)),
			Cure:    "add units, or use fewer covariates",
		})
	}
	return out
}

func (s *Summary) warnings() []Warning {
	out := s.Between.warnings()
	switch {
	case s.Method == Given:
	case s.Units == 1:
		out = append(out, Warning{
			Code:    WarnOneUnit,
			Message: "one unit tells nothing of how units differ; its limits are its own",
			Cure:    fmt.Sprintf("add units, at least %d in all", FewestForLimits),
		})
	case s.Units < FewestForLimits:
		out = append(out, Warning{
			Code:    WarnFewUnits,
			Message: fmt.Sprintf("%d units are too few for limits of their mean", s.Units),
			Cure:    fmt.Sprintf("add units, at least %d in all, or give the standard deviation between units if it is known", FewestForLimits),
		})
	}
	return out
}
