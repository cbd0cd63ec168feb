package render

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"vialwise/bioassay"
	"vialwise/doseresp"
)

// Fact is one line of what there is to say about an assay.
type Fact struct{ Name, Value string }

// Origins are the facts of the record: where the mites came from and how they
// were tested. What was not recorded is left out.
func Origins(a bioassay.Assay) []Fact {
	var facts []Fact
	add := func(name, value string) {
		if value != "" {
			facts = append(facts, Fact{name, value})
		}
	}
	add("Apiary", a.Apiary)
	add("Population", a.Population)
	add("Role", a.Role.String())
	add("Collected on", a.CollectedOn.String())
	add("Tested on", a.TestedOn.String())
	add("Acaricide", a.Acaricide)
	add("Protocol", a.Protocol)
	add("Unit", a.Unit)
	add("Exposure", hours(a.ExposureHours))
	add("Reading", hours(a.ReadingHours))
	add("File", a.File())
	return facts
}

func hours(h bioassay.Optional) string {
	if !h.Known {
		return ""
	}
	return fmt.Sprintf("%g h", h.Value)
}

// Estimates are the facts of the fit.
func Estimates(a *bioassay.Analysis) []Fact {
	r := a.Fit
	facts := []Fact{
		{"Treated mites", fmt.Sprintf("%d in %d containers", r.TreatedExposed, r.Containers)},
		{"Control, dead of exposed", controlCell(r)},
		{"Natural mortality", perCent(naturalCell(r))},
		{"Slope ± SE, " + r.Link.String(), slopeCell(r)},
	}
	for i, lc := range r.LC {
		facts = append(facts, Fact{lcName(lc.Percent) + " (" + percent(r.Level) + " limits)", reportedCell(a, i)})
		if i < len(a.Limits.Robust) {
			facts = append(facts, Fact{lcName(lc.Percent) + ", robust limits", robustCell(a.Limits.Robust[i])})
		}
	}
	fit := absent
	if x := r.PearsonContainer; !math.IsNaN(x.X2) {
		fit = fmt.Sprintf("%s (%d), P %s", fixed(x.X2, 2), x.DF, chanceOrAbsent(x.P))
	}
	return append(facts, Fact{"χ² (df)", fit}, Fact{"Heterogeneity h", fixed(r.Heterogeneity.H, 2)}, Fact{"g", fixed(r.G, 3)})
}

func perCent(cell string) string {
	if cell == absent {
		return cell
	}
	return cell + " %"
}

// Sentence states the result of an assay in a sentence.
func Sentence(a *bioassay.Analysis) string {
	r := a.Fit
	mites := fmt.Sprintf("%d treated mites", r.TreatedExposed)
	i := slices.IndexFunc(r.LC, func(lc doseresp.LC) bool { return lc.Percent == 50 })
	if i < 0 {
		return "A line fitted to " + mites + "; LC50 was not asked for."
	}
	answer := a.Report(i)
	if math.IsNaN(answer.Estimate) {
		return "No LC50: there is no treated mite."
	}
	s := fmt.Sprintf("LC50 %s%s, %s limits %s to %s%s, from %s.", dose(answer.Estimate), spaced(a.Assay.Unit),
		percent(r.Level), dose(answer.Lower), dose(answer.Upper), spaced(a.Assay.Unit), mites)
	switch {
	case r.Status != doseresp.Converged:
		s += " There is no finite line (" + strings.ReplaceAll(r.Status.String(), "-", " ") + "): median and limits are those of the posterior"
		if b := bracketCell(r.Bracket); b != absent {
			s += "; by the doses alone LC50 lies " + bracketWords(r.Bracket)
		}
		s += "."
	case answer.Posterior:
		s += " The limits are those of the posterior: bounded fiducial ones do not exist."
	}
	return s
}

func spaced(unit string) string {
	if unit == "" {
		return ""
	}
	return " " + unit
}

func bracketWords(b doseresp.Bracket) string {
	switch {
	case b.Lower == 0:
		return fmt.Sprintf("below %.4g", b.Upper)
	case math.IsInf(b.Upper, 1):
		return fmt.Sprintf("above %.4g", b.Lower)
	}
	return fmt.Sprintf("between %.4g and %.4g", b.Lower, b.Upper)
}

// RatioAtLC50 is the ratio at LC50 as tables show it.
func RatioAtLC50(r *bioassay.Comparison) string {
	i := slices.IndexFunc(r.Ratios, func(x bioassay.RatioAt) bool { return x.Percent == 50 })
	if i < 0 {
		return absent
	}
	return ratioCell(r.Ratios[i])
}

// RatioSentence states the result of a comparison in a sentence.
func RatioSentence(r *bioassay.Comparison) string {
	i := slices.IndexFunc(r.Ratios, func(x bioassay.RatioAt) bool { return x.Percent == 50 })
	if i < 0 {
		return "No ratio at LC50 was asked for."
	}
	ratio := r.Ratios[i]
	differs := map[doseresp.Difference]string{
		doseresp.NotDifferent: "not told apart from the baseline", doseresp.Greater: "above the baseline",
		doseresp.Smaller: "below the baseline", doseresp.Undecided: "which does not tell whether it differs from the baseline",
	}[ratio.Difference]
	s := "Resistance ratio at LC50 " + ratioCell(ratio) + ", " + differs
	if among := map[bioassay.Natural]string{
		bioassay.NaturalWithin: "; it may still be one more susceptible population",
		bioassay.NaturalBeyond: "; beyond the variation among susceptible populations",
		bioassay.NaturalBelow:  "; below the variation among susceptible populations",
	}[ratio.Natural]; ratio.Difference == doseresp.Greater || ratio.Difference == doseresp.Smaller {
		s += among
	}
	s += "."
	s += fractionSentence(r)
	if v := r.Survivors; v != nil {
		s += fmt.Sprintf(" At the only dose, %.4g, %d of %d mites survived (P %s among susceptible mites).", v.Dose, v.Survived, v.Exposed, chanceOrAbsent(v.P))
	}
	return s
}

// decisive is the probability below which a sentence speaks of a resistant part.
const decisive = 0.05

// fractionSentence tells of a resistant part where the test finds one, and whether
// it does so after allowing for the number of populations compared.
func fractionSentence(r *bioassay.Comparison) string {
	f := r.Fraction
	if f == nil || !f.Identified || r.WholeShift || !f.Test.Rejects() {
		return ""
	}
	s := " A resistant part of " + hundred(f.Fraction.Estimate) + " % (" + hundred(f.Fraction.Lower) + " to " + hundred(f.Fraction.Upper) + " %) explains the counts better than none (P " + chance(f.Test.P)
	if r.Adjusted.Fraction < decisive {
		return s + ")."
	}
	return s + "), but not after allowing for the number of populations compared (P " + chanceOrAbsent(r.Adjusted.Fraction) + ")."
}

// BaselineFacts are the facts of a baseline.
func BaselineFacts(b *bioassay.Baseline) []Fact {
	row := baselineTable([]*bioassay.Baseline{b})
	var facts []Fact
	for i, name := range row.header {
		facts = append(facts, Fact{name, row.rows[0][i]})
	}
	return facts
}
