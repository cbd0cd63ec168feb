package render

import (
	"errors"
	"io"
	"math"

	"vialwise/bioassay"
	"vialwise/doseresp"
)

type comparisonsJSON struct {
	Software    softwareJSON     `json:"software"`
	Inputs      []Input          `json:"inputs"`
	Moribund    string           `json:"moribund"`
	Level       number           `json:"level"`
	Bands       *bandRulesJSON   `json:"bands"`
	Warnings    []warningJSON    `json:"warnings"`
	Baselines   []baselineJSON   `json:"baselines"`
	Populations []populationJSON `json:"populations"`
	Refused     []refusalJSON    `json:"refused"`
}

type bandRulesJSON struct {
	RuleSet  string         `json:"rule_set"`
	Source   string         `json:"source"`
	Borrowed string         `json:"borrowed_from"`
	Percent  number         `json:"percent"`
	Bands    []ruleBandJSON `json:"bands"`
}

type ruleBandJSON struct {
	Name  string `json:"name"`
	From  number `json:"from"`
	Above bool   `json:"above"`
}

type refusalJSON struct {
	Assay  string `json:"assay"`
	File   string `json:"file"`
	Field  string `json:"field"`
	Reason string `json:"reason"`
}

type populationJSON struct {
	Assay       string           `json:"assay"`
	Apiary      string           `json:"apiary"`
	Population  string           `json:"population"`
	Acaricide   string           `json:"acaricide"`
	Baseline    string           `json:"baseline"`
	Exposed     int              `json:"exposed"`
	Status      string           `json:"status"`
	Ratio       []ratioJSON      `json:"ratio"`
	Bands       []bandChanceJSON `json:"bands"`
	Pooled      pooledJSON       `json:"pooled_heterogeneity"`
	Parallelism lineTestJSON     `json:"parallelism"`
	Equality    lineTestJSON     `json:"equality"`
	CommonSlope *commonSlopeJSON `json:"common_slope"`
	Crossing    *crossingJSON    `json:"crossing"`
	Fraction    *fractionJSON    `json:"fraction"`
	Survivors   *survivorsJSON   `json:"survivors"`
	Overrides   []overrideJSON   `json:"overrides"`
	Quality     []findingJSON    `json:"quality"`
	Warnings    []warningJSON    `json:"warnings"`
	Fit         assayJSON        `json:"fit"`
}

type ratioJSON struct {
	P            number               `json:"p"`
	Estimate     number               `json:"estimate"`
	Lower        number               `json:"lower"`
	Upper        number               `json:"upper"`
	Kind         string               `json:"kind"`
	Different    bool                 `json:"different"`
	Difference   string               `json:"difference"`
	Basis        string               `json:"basis"`
	Log10SE      number               `json:"log10_se"`
	Censored     string               `json:"censored"`
	Bracket      boundsJSON           `json:"bracket"`
	Extrapolated bool                 `json:"extrapolated"`
	Delta        limitsJSON           `json:"delta"`
	Posterior    *ratioPosteriorJSON  `json:"posterior"`
	Natural      ratioSusceptibleJSON `json:"susceptible"`
}

type ratioPosteriorJSON struct {
	Median number `json:"median"`
	Lower  number `json:"lower"`
	Upper  number `json:"upper"`
}

type ratioSusceptibleJSON struct {
	Place string `json:"place"`
	Lower number `json:"lower"`
	Upper number `json:"upper"`
}

type bandChanceJSON struct {
	Name        string `json:"name"`
	Probability number `json:"probability"`
}

type pooledJSON struct {
	X2 number `json:"x2"`
	DF int    `json:"df"`
	H  number `json:"h"`
}

type lineTestJSON struct {
	X2      number `json:"x2"`
	DF      int    `json:"df"`
	P       number `json:"p"`
	F       fJSON  `json:"f"`
	Verdict number `json:"verdict_p"`
	Holm    number `json:"holm_p"`
	Reason  string `json:"reason"`
	AtBound bool   `json:"at_bound"`
}

type fJSON struct {
	F   number `json:"f"`
	DF1 int    `json:"df1"`
	DF2 int    `json:"df2"`
	P   number `json:"p"`
}

type commonSlopeJSON struct {
	Slope   number     `json:"slope"`
	SlopeSE number     `json:"slope_se"`
	Ratio   number     `json:"ratio"`
	Log10SE number     `json:"log10_se"`
	Delta   limitsJSON `json:"delta"`
	Fieller limitsJSON `json:"fieller"`
	Profile limitsJSON `json:"profile"`
}

type crossingJSON struct {
	Dose     number `json:"dose"`
	Response number `json:"response"`
	Central  bool   `json:"central"`
}

func writeComparisonsJSON(w io.Writer, c *Comparisons) error {
	out := comparisonsJSON{
		Software: softwareJSON{"vialwise", c.Version},
		Inputs:   append([]Input{}, c.Inputs...), Moribund: moribundWord(c.Options.Analysis.Moribund),
		Level: number(level(c.Options.Analysis.Fit)), Bands: newBandRulesJSON(c.Options.Bands),
		Warnings:  warningsJSON(c.Reading),
		Baselines: []baselineJSON{}, Populations: []populationJSON{}, Refused: []refusalJSON{},
	}
	for _, b := range c.Baselines {
		out.Baselines = append(out.Baselines, newBaselineJSON(b))
	}
	for _, r := range c.Compared {
		out.Populations = append(out.Populations, newPopulationJSON(r, c.Options.Analysis))
	}
	for _, r := range c.Refused {
		var m *bioassay.NotComparableError
		j := refusalJSON{Assay: r.Assay.Name, File: r.Assay.File(), Reason: r.Err.Error()}
		if errors.As(r.Err, &m) {
			j.Field = m.Field
		}
		out.Refused = append(out.Refused, j)
	}
	return encodeJSON(w, out)
}

func newBandRulesJSON(b *bioassay.RatioBands) *bandRulesJSON {
	if b == nil {
		return nil
	}
	j := &bandRulesJSON{RuleSet: b.Name, Source: b.Source, Borrowed: b.Borrowed, Percent: number(b.Percent)}
	for _, band := range b.Bands {
		j.Bands = append(j.Bands, ruleBandJSON{band.Name, number(band.From), band.Above})
	}
	return j
}

func newPopulationJSON(r *bioassay.Comparison, o bioassay.AnalysisOptions) populationJSON {
	a := r.Field.Assay
	j := populationJSON{
		Assay: a.Name, Apiary: a.Apiary, Population: a.Population, Acaricide: a.Acaricide, Baseline: r.Baseline.Name,
		Exposed: r.Field.Fit.TreatedExposed, Status: r.Field.Fit.Status.String(),
		Ratio: []ratioJSON{}, Bands: []bandChanceJSON{},
		Pooled:      pooledJSON{number(r.Lines.Pooled.X2), r.Lines.Pooled.DF, number(r.Lines.H)},
		Parallelism: newLineTestJSON(r.Lines.Parallelism, r.Adjusted.Parallelism),
		Equality:    newLineTestJSON(r.Lines.Equality, r.Adjusted.Equality),
		CommonSlope: newCommonSlopeJSON(r.Lines.Parallel),
		Fraction:    newFractionJSON(r, level(o.Fit)), Survivors: newSurvivorsJSON(r),
		Overrides: []overrideJSON{}, Quality: []findingJSON{},
		Warnings: warningsJSON(r.Warnings), Fit: newAssayJSON(r.Field, o.Seed),
	}
	for _, ratio := range r.Ratios {
		j.Ratio = append(j.Ratio, newRatioJSON(ratio))
	}
	for _, b := range r.Bands {
		j.Bands = append(j.Bands, bandChanceJSON{b.Name, number(b.Probability)})
	}
	if x := r.Crossing; !math.IsNaN(x.Dose) {
		j.Crossing = &crossingJSON{positive(x.Dose), number(x.Response), x.Central}
	}
	if r.Verdict != nil {
		j.Overrides, j.Quality = overridesJSON(r.Verdict.Lifted), findingsJSON(r.Verdict.Findings)
	}
	return j
}

func newRatioJSON(r bioassay.RatioAt) ratioJSON {
	ends := newBoundsJSON(doseresp.Bracket{Lower: r.Mover.Lower, Upper: r.Mover.Upper})
	beyond := newBoundsJSON(doseresp.Bracket{Lower: r.Beyond.Lower, Upper: r.Beyond.Upper})
	j := ratioJSON{
		P: number(r.Percent), Estimate: positive(r.Estimate), Lower: ends.Lower, Upper: ends.Upper, Kind: r.Mover.Kind.String(),
		Different:  r.Difference == doseresp.Greater || r.Difference == doseresp.Smaller,
		Difference: r.Difference.String(), Basis: r.Basis.String(), Log10SE: number(r.Log10SE),
		Censored: r.Censored.String(), Bracket: newBoundsJSON(r.Bracket), Extrapolated: r.Extrapolated,
		Delta: newLimitsJSON(r.Delta), Natural: ratioSusceptibleJSON{r.Natural.String(), beyond.Lower, beyond.Upper},
	}
	if p := r.Posterior; !math.IsNaN(p.Median) {
		j.Posterior = &ratioPosteriorJSON{positive(p.Median), positive(p.Lower), positive(p.Upper)}
	}
	return j
}

func newLineTestJSON(t doseresp.LineTest, holm float64) lineTestJSON {
	return lineTestJSON{
		X2: number(t.X2), DF: t.DF, P: number(t.P), F: fJSON{number(t.F), t.DF, t.DF2, number(t.PF)},
		Verdict: number(t.Verdict), Holm: number(holm), Reason: t.Reason.String(), AtBound: t.AtBound,
	}
}

func newCommonSlopeJSON(p doseresp.ParallelLines) *commonSlopeJSON {
	if math.IsNaN(p.Slope) || len(p.Ratios) < 2 {
		return nil
	}
	r := p.Ratios[1]
	return &commonSlopeJSON{
		number(p.Slope), number(p.SlopeStdErr), positive(r.Estimate), number(r.Log10SE),
		newLimitsJSON(r.Delta), newLimitsJSON(r.Fieller), newLimitsJSON(r.Profile),
	}
}
