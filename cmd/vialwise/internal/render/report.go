package render

import (
	"fmt"
	"io"
	"regexp"
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
	names    nameCount          // filled on first use
	Shown    []string           // sets of limits in tables, of LimitNames; none for the default answer
	Verdicts Verdicts           // on the quality of the assays, for answers that tell it
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

// settings says in one sentence how every line was fitted, and its limits.
func settings(o bioassay.AnalysisOptions) string {
	return modelSettings(o, percent(level(o.Fit))+" fiducial limits (Fieller); ")
}

// modelSettings says how every line was fitted. The limits are words about
// them, for answers that show those of a line.
func modelSettings(options bioassay.AnalysisOptions, limits string) string {
	o := options.Fit
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
	return fmt.Sprintf("Maximum likelihood, %s link on log10 dose, %s information; natural mortality %s; %s%s (rule %s); %s.",
		o.Link, o.Information, natural, limits, rule, o.Heterogeneity, options.Moribund)
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
	var all []noted
	for _, a := range f.Analyses {
		n := noted{about: f.label(a)}
		for _, w := range a.Warnings {
			if w.Code == bioassay.WarnPosteriorUsed && !f.onlyFiducial() {
				continue // each set stands in a row of its own
			}
			n.warnings = append(n.warnings, w)
		}
		all = append(all, n)
	}
	return gather(all)
}

// noted is what there is to say about an assay.
type noted struct {
	about    string
	warnings []bioassay.Warning
}

// gather sorts warnings by code and cure, gravest first, with the names of all
// that one message is about.
func gather(all []noted) []remark {
	type key struct{ code, cure string }
	var order []key
	messages := map[key][]*said{}
	for _, n := range all {
		for _, w := range n.warnings {
			k := key{string(w.Code), w.Cure}
			if messages[k] == nil {
				order = append(order, k)
			}
			messages[k] = addTo(messages[k], n.about, w.Message)
		}
	}
	var out []remark
	for _, k := range order {
		r := remark{code: k.code, cure: k.cure}
		for _, m := range shorten(messages[k]) {
			r.about = append(r.about, strings.Join(m.names, "; ")+": "+m.message)
		}
		out = append(out, r)
	}
	slices.SortStableFunc(out, func(a, b remark) int { return gravity(a.code) - gravity(b.code) })
	return out
}

// said is one message with the names of all that it is about.
type said struct {
	message string
	names   []string
}

func addTo(list []*said, name, message string) []*said {
	i := slices.IndexFunc(list, func(m *said) bool { return m.message == message })
	if i < 0 {
		return append(list, &said{message, []string{name}})
	}
	if !slices.Contains(list[i].names, name) {
		list[i].names = append(list[i].names, name)
	}
	return list
}

// manyAlike is the number of messages that differ only in their numbers above
// which one stands for all; CSV and JSON hold every one.
const manyAlike = 8

var numbers = regexp.MustCompile(`[0-9]+(?:\.[0-9]+)?(?:e[-+]?[0-9]+)?`)

// shorten lets the first of many messages that differ only in numbers stand for
// all.
func shorten(list []*said) []*said {
	alike := map[string][]*said{}
	for _, m := range list {
		shape := numbers.ReplaceAllString(m.message, "#")
		alike[shape] = append(alike[shape], m)
	}
	var out []*said
	for _, m := range list {
		same := alike[numbers.ReplaceAllString(m.message, "#")]
		switch {
		case len(same) <= manyAlike:
			out = append(out, m)
		case same[0] == m:
			all := &said{message: "of the first: " + m.message}
			for _, s := range same {
				all.names = append(all.names, s.names...)
			}
			out = append(out, all)
		}
	}
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
