package render

import (
	"math"

	"vialwise/bioassay"
	"vialwise/doseresp/mixture"
)

// The parts of the JSON of compare about the resistant fraction and quality.

type intervalJSON struct {
	Estimate number `json:"estimate"`
	Lower    number `json:"lower"`
	Upper    number `json:"upper"`
}

type fractionJSON struct {
	Identified bool               `json:"identified"`
	Fraction   intervalJSON       `json:"q"`
	Fold       number             `json:"shift_fold"`
	Unbounded  bool               `json:"shift_unbounded"`
	LeastFold  number             `json:"least_fold"`
	Plateau    number             `json:"plateau_lower_bound"`
	Posterior  *fractionPostJSON  `json:"posterior"`
	Test       fractionTestJSON   `json:"test"`
	Shifted    fractionTestJSON   `json:"free_shift_test"`
	H          number             `json:"h"`
	DF         int                `json:"df"`
	Tau        number             `json:"between_sd"`
	Doses      []fractionDoseJSON `json:"doses"`
	Advice     *adviceJSON        `json:"further_dose"`
}

type fractionPostJSON struct {
	intervalJSON
	Plateau number `json:"plateau_probability"`
}

type fractionTestJSON struct {
	LR      number `json:"lr"`
	Cut     number `json:"cut"`
	P       number `json:"p"`
	Holm    number `json:"holm_p"`
	Rejects bool   `json:"rejects"`
}

type fractionDoseJSON struct {
	Dose     number `json:"dose"`
	Exposed  int    `json:"exposed"`
	Survived int    `json:"survived"`
	Share    number `json:"information_share"`
}

type adviceJSON struct {
	Dose     number `json:"dose"`
	Mites    int    `json:"mites"`
	Fraction number `json:"fraction"`
	Fold     number `json:"fold"`
	Planned  bool   `json:"planned"`
}

type survivorsJSON struct {
	Dose           number       `json:"dose"`
	Exposed        int          `json:"exposed"`
	Survived       int          `json:"survived"`
	Share          intervalJSON `json:"share"`
	Predicted      number       `json:"predicted"`
	PredictedUpper number       `json:"predicted_upper"`
	P              number       `json:"p"`
	Holm           number       `json:"holm_p"`
	Critical       int          `json:"critical"`
	Extrapolated   bool         `json:"extrapolated"`
}

func newFractionJSON(r *bioassay.Comparison, level float64) *fractionJSON {
	f := r.Fraction
	if f == nil {
		return nil
	}
	j := &fractionJSON{
		Identified: f.Identified, Fraction: newIntervalJSON(f.Fraction),
		Fold: number(f.Shifted.Fold), Unbounded: f.Unbounded(), LeastFold: number(f.LeastFold), Plateau: number(f.Plateau.Fraction),
		Test: newFractionTestJSON(f.Test, r.Adjusted.Fraction), Shifted: newFractionTestJSON(f.ShiftedTest, math.NaN()),
		H: number(f.Heterogeneity.Factor()), DF: f.DF, Tau: number(f.Tau), Doses: []fractionDoseJSON{},
	}
	if p := f.Posterior; p != nil {
		j.Posterior = &fractionPostJSON{newIntervalJSON(p.Limits(level)), number(p.Plateau)}
	}
	for _, d := range f.Doses {
		j.Doses = append(j.Doses, fractionDoseJSON{number(d.Dose), d.Exposed, d.Survived, number(d.Share)})
	}
	if a := f.Advice; a != nil && a.Mites > 0 {
		j.Advice = &adviceJSON{number(a.Dose), a.Mites, number(a.Fraction), number(a.Fold), a.Planned}
	}
	return j
}

func newIntervalJSON(i mixture.Interval) intervalJSON {
	return intervalJSON{number(i.Estimate), number(i.Lower), number(i.Upper)}
}

func newFractionTestJSON(t mixture.Test, holm float64) fractionTestJSON {
	return fractionTestJSON{number(t.LR), number(t.Cut), number(t.P), number(holm), t.Rejects()}
}

func newSurvivorsJSON(r *bioassay.Comparison) *survivorsJSON {
	s := r.Survivors
	if s == nil {
		return nil
	}
	return &survivorsJSON{
		number(s.Dose), s.Exposed, s.Survived, intervalJSON{number(s.Share), number(s.Lower), number(s.Upper)},
		number(s.Predicted), number(s.PredictedUpper), number(s.P), number(r.Adjusted.Fraction), s.Critical, s.Extrapolated,
	}
}

type findingJSON struct {
	Severity string `json:"severity"`
	Rule     string `json:"rule"`
	warningJSON
}

type overrideJSON struct {
	Code string `json:"code"`
	By   string `json:"by"`
	On   string `json:"on"`
	Why  string `json:"because"`
}

func findingsJSON(findings []bioassay.Finding) []findingJSON {
	out := []findingJSON{}
	for _, f := range findings {
		rule := ""
		if f.Rule.Name != "" {
			rule = f.Rule.String()
		}
		w := f.Warning
		out = append(out, findingJSON{f.Severity.String(), rule, warningJSON{string(w.Code), w.Message, w.Cure, w.File, w.Line}})
	}
	return out
}

func overridesJSON(lifted []bioassay.Override) []overrideJSON {
	out := []overrideJSON{}
	for _, o := range lifted {
		out = append(out, overrideJSON{string(o.Code), o.By, o.On.String(), o.Why})
	}
	return out
}
