package render

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"vialwise/bioassay"
	"vialwise/doseresp"
)

// Input is a file that results stem from.
type Input struct {
	File   string `json:"file"`
	SHA256 string `json:"sha256"`
}

// Fits is everything that a run of fit found.
type Fits struct {
	Version  string // of this program
	Options  bioassay.AnalysisOptions
	Inputs   []Input
	Analyses []*bioassay.Analysis
	Reading  []bioassay.Warning // about the files rather than an assay
	sameName map[string]int     // how many assays have a name, counted on first use
	Shown    []string           // sets of limits in tables, of LimitNames; none for the default answer
}

// DefaultPercents are the LCp of a format unless others are asked for: tables
// for people show the two that the trade prints.
func DefaultPercents(format string) []float64 {
	if format == "csv" || format == "json" {
		return doseresp.DefaultPercents()
	}
	return []float64{50, 90}
}

// Formats lists the names of the formats that WriteFits knows.
func Formats() []string { return []string{"text", "markdown", "latex", "csv", "json"} }

// WriteFits writes the results in a format of Formats.
func WriteFits(w io.Writer, f *Fits, format string) error {
	switch format {
	case "text":
		return writeText(w, fitTable(f))
	case "markdown":
		return writeMarkdown(w, fitTable(f))
	case "latex":
		return writeLatex(w, fitTable(f))
	case "csv":
		return writeCSV(w, f)
	case "json":
		return writeJSON(w, f)
	}
	return fmt.Errorf("unknown format %q; use one of %s", format, strings.Join(Formats(), ", "))
}

// settings says in one sentence how every line was fitted.
func settings(f *Fits) string {
	o := f.Options.Fit
	natural := map[doseresp.NaturalMode]string{
		doseresp.Estimated:        "estimated jointly wherever there are controls",
		doseresp.None:             "taken as 0, controls left out",
		doseresp.Fixed:            "fixed at " + percent(o.Natural.Value),
		doseresp.AbbottCorrection: "removed by Abbott's formula before the fit",
	}[o.Natural.Mode]
	rule := map[doseresp.HeterogeneityRule]string{
		doseresp.WhenAboveOne:    "where h = χ²/df > 1, variances of the limits times h and Student's t",
		doseresp.WhenSignificant: "where P(χ²) < 0.15, variances of the limits times h and Student's t",
		doseresp.Never:           "no heterogeneity factor",
	}[o.Heterogeneity]
	return fmt.Sprintf("Maximum likelihood, %s link on log10 dose, %s information; natural mortality %s; %s fiducial limits (Fieller); %s (rule %s); %s.",
		o.Link, o.Information, natural, percent(level(o)), rule, o.Heterogeneity, f.Options.Moribund)
}

func level(o doseresp.Options) float64 {
	if o.Level == 0 {
		return doseresp.DefaultLevel
	}
	return o.Level
}

// remark is one kind of doubt, with every assay that it is about.
type remark struct {
	code, cure string
	about      []string // "assay: message", or all assays of one message
}

// remarks gathers the warnings about assays by code and cure.
func remarks(f *Fits) []remark {
	type key struct{ code, cure, message string }
	var order []key
	assays := map[key][]string{}
	for _, a := range f.Analyses {
		for _, w := range a.Warnings {
			if w.Code == bioassay.WarnPosteriorUsed && !f.onlyFiducial() {
				continue // each set stands in a row of its own
			}
			k := key{string(w.Code), w.Cure, w.Message}
			if _, seen := assays[k]; !seen {
				order = append(order, k)
			}
			assays[k] = append(assays[k], f.label(a))
		}
	}
	var out []remark
	for _, k := range order {
		i := slices.IndexFunc(out, func(r remark) bool { return r.code == k.code && r.cure == k.cure })
		if i < 0 {
			i = len(out)
			out = append(out, remark{code: k.code, cure: k.cure})
		}
		out[i].about = append(out[i].about, strings.Join(assays[k], "; ")+": "+k.message)
	}
	slices.SortStableFunc(out, func(a, b remark) int { return gravity(a.code) - gravity(b.code) })
	return out
}

// gravest orders the codes of warnings about assays from those that spoil one
// to those that only qualify it. Codes not listed stand between.
var (
	gravest  = []string{"no-finite-fit", "high-control-mortality", "fixed-contradicted", "wrong-link", "unbounded-limits", "posterior-limits", "large-g", "wide-limits"}
	lightest = []string{"outside-doses", "diluted-heterogeneity", "small-expected", "no-controls", "totals-only", "missing-mites"}
)

func gravity(code string) int {
	if i := slices.Index(gravest, code); i >= 0 {
		return i
	}
	return len(gravest) + 1 + slices.Index(lightest, code)
}
