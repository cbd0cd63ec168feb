package render

import (
	"encoding/json"
	"io"
	"math"

	"vialwise/bioassay"
	"vialwise/doseresp"
)

// number is a float64 that JSON holds as null where it does not exist.
type number float64

// MarshalJSON writes full precision, or null.
func (n number) MarshalJSON() ([]byte, error) {
	x := float64(n)
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return []byte("null"), nil
	}
	return json.Marshal(x)
}

type fitsJSON struct {
	Software softwareJSON  `json:"software"`
	Inputs   []Input       `json:"inputs"`
	Moribund string        `json:"moribund"`
	Warnings []warningJSON `json:"warnings"`
	Assays   []assayJSON   `json:"assays"`
}

type softwareJSON struct {
	Name    string `json:"name"`
	Version string `json:"version"`
}

type assayJSON struct {
	File        string       `json:"file"`
	Assay       string       `json:"assay"`
	Apiary      string       `json:"apiary"`
	Population  string       `json:"population"`
	Role        string       `json:"role"`
	CollectedOn string       `json:"collected_on"`
	TestedOn    string       `json:"tested_on"`
	Acaricide   string       `json:"acaricide"`
	Protocol    string       `json:"protocol"`
	Unit        string       `json:"unit"`
	Containers  int          `json:"containers"`
	Exposed     int          `json:"exposed"`
	Treated     countJSON    `json:"treated"`
	Controls    countJSON    `json:"controls"`
	Missing     int          `json:"missing"`
	Link        string       `json:"link"`
	Natural     naturalJSON  `json:"natural_mortality"`
	Intercept   number       `json:"intercept"`
	Slope       number       `json:"slope"`
	InterceptSE number       `json:"intercept_se"`
	SlopeSE     number       `json:"slope_se"`
	Cov         [2][2]number `json:"cov"`
	Information string       `json:"information"`
	LogLik      number       `json:"loglik"`
	AIC         number       `json:"aic"`
	Deviance    number       `json:"deviance"`
	Pearson     pearsonsJSON `json:"pearson"`
	Hetero      heteroJSON   `json:"heterogeneity"`
	Level       number       `json:"level"`
	G           number       `json:"g"`
	Status      string       `json:"status"`
	Bracket     boundsJSON   `json:"bracket"`
	Iterations  int          `json:"iterations"`
	LC          []lcJSON     `json:"lc"`

	BetaBinomial *betaBinomialJSON `json:"beta_binomial,omitempty"`
	Posterior    *posteriorJSON    `json:"posterior,omitempty"`
	Exceeds      []exceedsJSON     `json:"exceeds,omitempty"`
	Bootstrap    *bootstrapJSON    `json:"bootstrap,omitempty"`
	Diagnostics  []diagnosticJSON  `json:"diagnostics"`
	LackOfFit    *lackOfFitJSON    `json:"lack_of_fit,omitempty"`
	Warnings     []warningJSON     `json:"warnings"`
}

type countJSON struct {
	Containers int `json:"containers"`
	Exposed    int `json:"exposed"`
	Dead       int `json:"dead"`
}

type naturalJSON struct {
	Mode     string `json:"mode"`
	Estimate number `json:"estimate"`
	SE       number `json:"se"`
}

type pearsonsJSON struct {
	ByContainer pearsonJSON `json:"by_container"`
	ByDose      pearsonJSON `json:"by_dose"`
}

type pearsonJSON struct {
	X2 number `json:"x2"`
	DF int    `json:"df"`
	P  number `json:"p"`
}

type heteroJSON struct {
	Rule    string `json:"rule"`
	H       number `json:"h"`
	Applied bool   `json:"applied"`
}

type lcJSON struct {
	P        number       `json:"p"`
	Estimate number       `json:"estimate"`
	Log10SE  number       `json:"log10_se"`
	Fiducial limitsJSON   `json:"fiducial"`
	Reported reportedJSON `json:"reported"`
	Robust   robustJSON   `json:"robust"`

	Profile             *limitsJSON      `json:"profile,omitempty"`
	BetaBinomialProfile *limitsJSON      `json:"beta_binomial_profile,omitempty"`
	Posterior           *posteriorLCJSON `json:"posterior,omitempty"`
	Bootstrap           *bootstrapLCJSON `json:"bootstrap,omitempty"`
}

type limitsJSON struct {
	Lower    number      `json:"lower"`
	Upper    number      `json:"upper"`
	Kind     string      `json:"kind"`
	Excluded *boundsJSON `json:"excluded,omitempty"`
}

type boundsJSON struct {
	Lower number `json:"lower"`
	Upper number `json:"upper"`
}

type warningJSON struct {
	Code    string `json:"code"`
	Message string `json:"message"`
	Cure    string `json:"cure"`
	File    string `json:"file,omitempty"`
	Line    int    `json:"line,omitempty"`
}

func writeJSON(w io.Writer, f *Fits) error {
	out := fitsJSON{
		Software: softwareJSON{"vialwise", f.Version},
		Inputs:   append([]Input{}, f.Inputs...),
		Moribund: moribundWord(f.Options.Moribund),
		Warnings: warningsJSON(f.Reading),
		Assays:   []assayJSON{},
	}
	for _, a := range f.Analyses {
		out.Assays = append(out.Assays, newAssayJSON(a, f.Options.Seed))
	}
	return encodeJSON(w, out)
}

func moribundWord(m bioassay.Moribund) string {
	if m.AsDead() {
		return "dead"
	}
	return "alive"
}

func encodeJSON(w io.Writer, value any) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(value)
}

func newAssayJSON(a *bioassay.Analysis, seed uint64) assayJSON {
	s, r := a.Assay, a.Fit
	j := assayJSON{
		File: s.File(), Assay: s.Name, Apiary: s.Apiary, Population: s.Population, Role: s.Role.String(),
		CollectedOn: s.CollectedOn.String(), TestedOn: s.TestedOn.String(),
		Acaricide: s.Acaricide, Protocol: s.Protocol, Unit: s.Unit,
		Containers: r.Containers + r.Controls, Exposed: r.Exposed(),
		Treated:   countJSON{r.Containers, r.TreatedExposed, r.TreatedDead},
		Controls:  countJSON{r.Controls, r.ControlExposed, r.ControlDead},
		Missing:   s.Missing(),
		Link:      r.Link.String(),
		Natural:   naturalJSON{r.Natural.Mode.String(), number(r.Natural.Estimate), number(r.Natural.StdErr)},
		Intercept: number(r.Intercept), Slope: number(r.Slope),
		InterceptSE: number(r.InterceptStdErr), SlopeSE: number(r.SlopeStdErr),
		Information: r.Information.String(),
		LogLik:      number(r.LogLik), AIC: number(r.AIC()), Deviance: number(r.Deviance),
		Pearson:    pearsonsJSON{newPearsonJSON(r.PearsonContainer), newPearsonJSON(r.PearsonDose)},
		Hetero:     heteroJSON{r.Heterogeneity.Rule.String(), number(r.Heterogeneity.H), r.Heterogeneity.Applied},
		Level:      number(r.Level),
		G:          number(r.G),
		Status:     r.Status.String(),
		Bracket:    newBoundsJSON(r.Bracket),
		Iterations: r.Iterations,
		LC:         []lcJSON{},

		Diagnostics: []diagnosticJSON{},
		Warnings:    warningsJSON(a.Warnings),
	}
	for i, row := range r.Cov {
		for k, v := range row {
			j.Cov[i][k] = number(v)
		}
	}
	for i, lc := range r.LC {
		k := lcJSON{P: number(lc.Percent), Estimate: positive(lc.Estimate), Log10SE: number(lc.Log10SE), Fiducial: newLimitsJSON(lc.Fiducial)}
		k.addLimits(a, i)
		j.LC = append(j.LC, k)
	}
	j.addFurther(a, seed)
	return j
}

func newPearsonJSON(p doseresp.Pearson) pearsonJSON {
	return pearsonJSON{number(p.X2), p.DF, number(p.P)}
}

// positive is a dose. 0 stands for no bound, or for a dose below every double.
func positive(x float64) number {
	if x == 0 {
		return number(math.NaN())
	}
	return number(x)
}

// newBoundsJSON turns the open ends 0 and infinity into null.
func newBoundsJSON(b doseresp.Bracket) boundsJSON {
	return boundsJSON{positive(b.Lower), positive(b.Upper)}
}

func newLimitsJSON(l doseresp.Limits) limitsJSON {
	ends := newBoundsJSON(doseresp.Bracket{Lower: l.Lower, Upper: l.Upper})
	j := limitsJSON{Lower: ends.Lower, Upper: ends.Upper, Kind: l.Kind.String()}
	if l.Kind == doseresp.ExcludedRegion {
		gap := newBoundsJSON(l.Excluded)
		j.Excluded = &gap
	}
	return j
}

func warningsJSON(warnings []bioassay.Warning) []warningJSON {
	out := []warningJSON{}
	for _, w := range warnings {
		out = append(out, warningJSON{string(w.Code), w.Message, w.Cure, w.File, w.Line})
	}
	return out
}
