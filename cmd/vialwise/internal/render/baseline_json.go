package render

import (
	"math"

	"vialwise/bioassay"
	"vialwise/doseresp"
	"vialwise/doseresp/meta"
)

type baselineJSON struct {
	Baseline       string               `json:"baseline"`
	Acaricide      string               `json:"acaricide"`
	Protocol       string               `json:"protocol"`
	Unit           string               `json:"unit"`
	Moribund       string               `json:"moribund"`
	Assays         []string             `json:"assays"`
	Populations    int                  `json:"populations"`
	Exposed        int                  `json:"exposed"`
	Level          number               `json:"level"`
	Slope          intervalJSON         `json:"slope"`
	LowestDose     number               `json:"lowest_dose"`
	HighestDose    number               `json:"highest_dose"`
	Given          *givenSDJSON         `json:"given_between_sd"`
	LC             []baselineLCJSON     `json:"lc"`
	Discriminating []discriminatingJSON `json:"discriminating"`
	Warnings       []warningJSON        `json:"warnings"`
}

type givenSDJSON struct {
	SD     number `json:"sd"`
	Source string `json:"source"`
}

type baselineLCJSON struct {
	P         number       `json:"p"`
	Estimate  number       `json:"estimate"`
	Log10SE   number       `json:"log10_se"`
	Lower     number       `json:"lower"`
	Upper     number       `json:"upper"`
	From      string       `json:"from"`
	BetweenSD number       `json:"between_sd"`
	Between   *betweenJSON `json:"between"`
	Band      bandJSON     `json:"susceptible_band"`
}

type betweenJSON struct {
	Method  string `json:"method"`
	SDLower number `json:"sd_lower"`
	SDUpper number `json:"sd_upper"`
	Q       number `json:"q"`
	DF      int    `json:"df"`
	P       number `json:"p"`
	I2      number `json:"i2"`
}

type bandJSON struct {
	From      string `json:"from"`
	Lower     number `json:"lower"`
	Upper     number `json:"upper"`
	LowerFold number `json:"lower_fold"`
	UpperFold number `json:"upper_fold"`
}

type discriminatingJSON struct {
	Link         string       `json:"link"`
	P            number       `json:"p"`
	Times        number       `json:"times"`
	Dose         number       `json:"dose"`
	Lower        number       `json:"lower"`
	Upper        number       `json:"upper"`
	Extrapolated bool         `json:"extrapolated"`
	LogLik       number       `json:"loglik"`
	Survival     survivalJSON `json:"susceptible_survival"`
}

type survivalJSON struct {
	Estimate number `json:"estimate"`
	Mean     number `json:"mean"`
	Lower    number `json:"lower"`
	Upper    number `json:"upper"`
	From     string `json:"from"`
}

func newBaselineJSON(b *bioassay.Baseline) baselineJSON {
	j := baselineJSON{
		Baseline: b.Name, Acaricide: b.Acaricide, Protocol: b.Protocol, Unit: b.Unit, Moribund: moribundWord(b.Assays[0].Moribund),
		Assays: []string{}, Populations: b.Populations, Level: number(b.Level),
		Slope:      intervalJSON{number(b.Slope.Estimate), positive(b.Slope.Lower), number(b.Slope.Upper)},
		LowestDose: number(b.LowestDose), HighestDose: number(b.HighestDose),
		LC: []baselineLCJSON{}, Discriminating: []discriminatingJSON{}, Warnings: warningsJSON(b.Warnings),
	}
	for _, a := range b.Assays {
		j.Assays = append(j.Assays, a.Assay.Name)
		j.Exposed += a.Fit.TreatedExposed
	}
	if b.BetweenSD.Known {
		j.Given = &givenSDJSON{number(b.BetweenSD.Value), b.BetweenSource}
	}
	for i := range b.LC {
		j.LC = append(j.LC, newBaselineLCJSON(&b.LC[i]))
	}
	for _, d := range b.Discriminating {
		j.Discriminating = append(j.Discriminating, newDiscriminatingJSON(d))
	}
	return j
}

func newBaselineLCJSON(lc *bioassay.BaselineLC) baselineLCJSON {
	ends := newBoundsJSON(doseresp.Bracket{Lower: lc.Lower, Upper: lc.Upper})
	band := newBoundsJSON(doseresp.Bracket{Lower: lc.Band.Lower, Upper: lc.Band.Upper})
	j := baselineLCJSON{
		P: number(lc.Percent), Estimate: positive(lc.Estimate()), Log10SE: number(lc.Log.SE), Lower: ends.Lower, Upper: ends.Upper,
		From: lc.From.String(), BetweenSD: number(lc.BetweenSD),
		Band: bandJSON{lc.Band.From.String(), band.Lower, band.Upper, positive(lc.Band.LowerFold), number(lc.Band.UpperFold)},
	}
	if s := lc.Pooled; s != nil {
		j.Between = newBetweenJSON(&s.Between)
	}
	return j
}

func newBetweenJSON(s *meta.Between) *betweenJSON {
	limits := s.SDLimits()
	return &betweenJSON{s.Method.String(), number(limits.Lower), number(limits.Upper), number(s.Q), s.DF, number(s.P), number(s.I2)}
}

func newDiscriminatingJSON(d bioassay.Discriminating) discriminatingJSON {
	ends := newBoundsJSON(doseresp.Bracket{Lower: d.Lower, Upper: d.Upper})
	s := d.Survival
	share := func(x float64) number {
		if s.From == bioassay.SurvivalNone {
			return number(math.NaN())
		}
		return number(x)
	}
	return discriminatingJSON{
		d.Link.String(), number(d.Percent), number(d.Times), positive(d.Dose), ends.Lower, ends.Upper, d.Extrapolated, number(d.LogLik),
		survivalJSON{number(s.Estimate), share(s.Mean), share(s.Lower), share(s.Upper), s.From.String()},
	}
}
