package doseresp

import (
	"fmt"
	"math"
	"strings"
)

// WarningCode names a doubt about a result that is usable all the same.
type WarningCode string

// The warnings of a fit.
const (
	WarnNoFiniteFit       WarningCode = "no-finite-fit"
	WarnNoControls        WarningCode = "no-controls"
	WarnControlMortality  WarningCode = "high-control-mortality"
	WarnControlsIgnored   WarningCode = "control-deaths-ignored"
	WarnFixedContradicted WarningCode = "fixed-contradicted"
	WarnDilutedH          WarningCode = "diluted-heterogeneity"
	WarnAbbott            WarningCode = "abbott-limits"
	WarnFewPartialKills   WarningCode = "few-partial-kills"
	WarnUnboundedLimits   WarningCode = "unbounded-limits"
	WarnLargeG            WarningCode = "large-g"
	WarnOutsideDoses      WarningCode = "outside-doses"
	WarnWideLimits        WarningCode = "wide-limits"
	WarnNoDegrees         WarningCode = "no-degrees-of-freedom"
	WarnTotalsOnly        WarningCode = "totals-only"
	WarnSmallExpected     WarningCode = "small-expected"
	WarnHeterogeneityLeft WarningCode = "heterogeneity-not-applied"
)

// Thresholds of the warnings.
const (
	largeG            = 0.25 // above, the delta-method error is misleading (common practice)
	wideLimits        = 10.0 // upper/lower
	highControls      = 0.20 // control mortality above spoils an assay (WHO tube test, from memory; protocols differ)
	notableDilution   = 1.25 // share by which idle controls hold h down
	enoughPartials    = 2    // doses at which some died and some lived (common practice)
	smallExpectedCell = 1.0  // expected counts below make X² too large (Cochran 1954, Biometrics 10:417-451)
)

// Warning is a doubt, in words, with what would cure it.
type Warning struct {
	Code          WarningCode
	Message, Cure string
}

// Warnings lists what a reader of the result must know, gravest first.
func (r *Result) Warnings() []Warning {
	var w []Warning
	add := func(code WarningCode, cure, format string, args ...any) {
		w = append(w, Warning{code, fmt.Sprintf(format, args...), cure})
	}
	if r.Status != Converged {
		message, cure := r.explainStatus()
		add(WarnNoFiniteFit, cure, "%s", message)
	}
	r.warnAboutControls(add)
	if r.Status != Converged {
		return w
	}
	r.warnAboutLimits(add)
	r.warnAboutFit(add)
	return w
}

type addWarning func(code WarningCode, cure, format string, args ...any)

// explainStatus says in words why there is no line, and the next step.
func (r *Result) explainStatus() (message, cure string) {
	lo, hi := r.LowestDose, r.HighestDose
	switch r.Status {
	case TooFewDoses:
		return r.explainOneDose()
	case AllDead:
		if math.IsInf(r.Bracket.Upper, 1) {
			return "every mite died, treated or not: the assay says nothing about the acaricide", "repeat the assay with fresh mites"
		}
		return fmt.Sprintf("every treated mite died: the counts place LC50 below the lowest dose, %.4g", lo),
			fmt.Sprintf("add doses below %.4g, by factors of 2, until some survive", lo)
	case NoneDead:
		return fmt.Sprintf("no treated mite died: the counts place LC50 above the highest dose, %.4g", hi),
			fmt.Sprintf("add doses above %.4g, by factors of 2, until some die", hi)
	case NoSlope:
		return "no rise of mortality with dose beyond natural mortality can be fitted", "check the doses, the dilution series and the labels of the containers; repeat the assay"
	case NegativeSlope:
		return "mortality falls as dose rises", "check that the doses are not in reverse order and that dead and alive are not exchanged; repeat the assay"
	}
	return r.explainStep()
}

// explainOneDose reports the proportion dead, all that one dose can tell.
func (r *Result) explainOneDose() (message, cure string) {
	if r.Doses == 0 {
		return "no treated container holds a mite: there is nothing to fit",
			"add the treated containers to the file, or check that concentrations above 0 were read"
	}
	lower, upper := ClopperPearson(r.TreatedDead, r.TreatedExposed, DefaultLevel)
	return fmt.Sprintf("only one dose above 0 was tested, %.4g, and no line can be fitted: %d of %d died, %.3g %% (exact 95 %% limits %.3g to %.3g %%)",
			r.LowestDose, r.TreatedDead, r.TreatedExposed, 100*float64(r.TreatedDead)/float64(r.TreatedExposed), 100*lower, 100*upper),
		"test five or more doses in geometric series"
}

// explainStep says where mortality steps from the background to the rest.
func (r *Result) explainStep() (message, cure string) {
	const noSlope = "so that no finite slope exists; "
	b := r.Bracket
	switch {
	case math.IsInf(b.Upper, 1), b.Upper == r.HighestDose && !r.topAllDead:
		return fmt.Sprintf("only the highest dose, %.4g, kills more than the background, ", r.HighestDose) + noSlope + b.words(),
			fmt.Sprintf("add doses around %.4g, closer together, and above it until all die", r.HighestDose)
	case b.Lower == 0:
		return fmt.Sprintf("all die from the dose %.4g on, and only one lower dose leaves some alive, ", b.Upper) + noSlope + b.words(),
			fmt.Sprintf("add doses below %.4g, by factors of 2, until none die", r.LowestDose)
	}
	return fmt.Sprintf("up to the dose %.4g no more die than by the background, and from %.4g on all die, ", b.Lower, b.Upper) + noSlope + b.words(),
		fmt.Sprintf("add two or three doses between %.4g and %.4g", b.Lower, b.Upper)
}

// words states the bracket as a sentence about LC50.
func (b Bracket) words() string {
	switch {
	case b.Lower == 0 && math.IsInf(b.Upper, 1):
		return "the counts do not bracket LC50"
	case b.Lower == 0:
		return fmt.Sprintf("the counts place LC50 below %.4g", b.Upper)
	case math.IsInf(b.Upper, 1):
		return fmt.Sprintf("the counts place LC50 above %.4g", b.Lower)
	}
	return fmt.Sprintf("the counts place LC50 between %.4g and %.4g", b.Lower, b.Upper)
}

func (r *Result) warnAboutControls(add addWarning) {
	const include = "include two or more untreated containers in every assay"
	switch {
	case r.Controls == 0:
		add(WarnNoControls, include, "no controls: natural mortality is taken as %.3g", max(r.Natural.Estimate, 0))
	case r.Natural.Mode == None && r.ControlDead > 0:
		add(WarnControlsIgnored, "use natural mortality \"estimated\"",
			"%d of %d control mites died and are left out of the model", r.ControlDead, r.ControlExposed)
	}
	if rate := float64(r.ControlDead) / float64(r.ControlExposed); rate > highControls {
		add(WarnControlMortality, "repeat the assay with fresh mites; check handling, humidity and solvent",
			"%d of %d untreated mites died (%.3g %%): the mites or the handling failed, and LC50 rests on the mites that natural mortality spares",
			r.ControlDead, r.ControlExposed, 100*rate)
	}
	r.warnAboutFixed(add)
	if r.Natural.Mode == AbbottCorrection {
		add(WarnAbbott, "use natural mortality \"estimated\"",
			"mortality was corrected by Abbott's formula before the fit: the limits ignore the uncertainty of the control mortality, %.3g from %d mites",
			r.Natural.Estimate, r.ControlExposed)
	}
}

// warnAboutFixed says when the controls contradict a fixed natural mortality,
// by exact limits at 99 %.
func (r *Result) warnAboutFixed(add addWarning) {
	if r.Natural.Mode != Fixed || r.ControlExposed == 0 {
		return
	}
	lower, upper := ClopperPearson(r.ControlDead, r.ControlExposed, 0.99)
	if c := r.Natural.Estimate; c < lower || c > upper {
		add(WarnFixedContradicted, "use natural mortality \"estimated\"",
			"%d of %d untreated mites died, which contradicts the fixed natural mortality %.3g (exact 99 %% limits %.3g to %.3g)",
			r.ControlDead, r.ControlExposed, c, lower, upper)
	}
}

func (r *Result) warnAboutLimits(add addWarning) {
	var unbounded, outside, wide []string
	for _, lc := range r.LC {
		name := fmt.Sprintf("LC%g", lc.Percent)
		switch {
		case lc.Fiducial.Kind != Bounded:
			unbounded = append(unbounded, name)
		case lc.Fiducial.Upper/lc.Fiducial.Lower > wideLimits:
			wide = append(wide, name)
		}
		if lc.Estimate < r.LowestDose*(1-1e-9) || lc.Estimate > r.HighestDose*(1+1e-9) {
			outside = append(outside, name)
		}
	}
	if unbounded != nil {
		add(WarnUnboundedLimits, "test more mites near the LC50; the slope is not clearly above 0 (g must fall below 1)",
			"no bounded fiducial limits for %s: g = %.3g", strings.Join(unbounded, ", "), r.G)
	} else if r.G > largeG {
		add(WarnLargeG, "test more mites at the same doses",
			"g = %.3g is above %g: the slope is poorly known and the limits are wide and lopsided; some %.0f mites in all would bring g to %g",
			r.G, largeG, math.Ceil(float64(r.TreatedExposed)*r.G/largeG), largeG)
	}
	if wide != nil {
		add(WarnWideLimits, fmt.Sprintf("test more mites, or doses nearer to %s", strings.Join(wide, ", ")),
			"upper limit more than %g times the lower for %s", wideLimits, strings.Join(wide, ", "))
	}
	if outside != nil {
		add(WarnOutsideDoses, fmt.Sprintf("extend the doses so that they enclose %s", strings.Join(outside, ", ")),
			"%s outside the tested doses, %.4g to %.4g: extrapolated, and dependent on the link", strings.Join(outside, ", "), r.LowestDose, r.HighestDose)
	}
}

func (r *Result) warnAboutFit(add addWarning) {
	if r.PartialKills < enoughPartials {
		add(WarnFewPartialKills, "space the doses so that at least two kill some but not all",
			"doses with some dead and some alive: %d; the slope rests on little", r.PartialKills)
	}
	x := r.PearsonContainer
	switch {
	case x.DF == 0:
		add(WarnNoDegrees, "test more doses or more containers per dose",
			"no degree of freedom is left: heterogeneity cannot be judged and the limits assume none")
	case r.Containers == r.Doses:
		add(WarnTotalsOnly, "record every container in a row of its own",
			"one container a dose: variation between containers cannot be told from a poor fit of the line")
	}
	r.warnAboutDilution(add)
	if r.Heterogeneity.Applied && r.SparseX2 > x.X2/2 {
		add(WarnSmallExpected, "look at the containers with unexpected deaths or survivors before trusting h",
			"%.3g of χ² = %.4g comes from containers that expect fewer than one dead or one alive: h = %.3g may be inflated",
			r.SparseX2, x.X2, r.Heterogeneity.H)
	}
	if !r.Heterogeneity.Applied && x.P < 0.05 {
		add(WarnHeterogeneityLeft, "use heterogeneity \"when-above-one\"",
			"containers vary more than binomial (χ² = %.4g, df %d, P = %.2g) and the limits ignore it", x.X2, x.DF, x.P)
	}
}

// warnAboutDilution says when controls without a death, which agree with C = 0
// whatever happens and yet count as degrees of freedom, hold h down.
func (r *Result) warnAboutDilution(add addWarning) {
	x := r.PearsonContainer
	idle := r.Controls - 1 // one pays for the parameter C
	if !r.Natural.Boundary || idle < 1 || x.DF <= idle || r.Heterogeneity.Rule == Never {
		return
	}
	h := x.X2 / float64(x.DF-idle)
	if h > 1 && h > notableDilution*r.Heterogeneity.H {
		add(WarnDilutedH, "compare with natural mortality \"none\", or use profile or posterior limits",
			"%d control containers without a death add degrees of freedom but no information: without them h would be %.3g, not %.3g",
			r.Controls, h, r.Heterogeneity.H)
	}
}
