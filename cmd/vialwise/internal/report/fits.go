package report

import (
	"fmt"
	"io"
	"strings"

	"vialwise/bioassay"
	"vialwise/cmd/vialwise/internal/figures"
	"vialwise/cmd/vialwise/internal/render"
	"vialwise/plots"
)

// WriteFits writes the fits as a page of HTML. The mark is a remark on all of it,
// such as "Invented data."; blank for none.
func WriteFits(w io.Writer, f *render.Fits, mark string) error {
	p := &page{
		title: "Dose-response report", mark: mark, group: "Assays", tables: f.Tables(), links: map[string]string{},
		methods: f.Methods(), reading: readingRemarks(f.Reading),
	}
	p.lead = leadOf(len(f.Analyses), anyMites, f.Inputs) + "."
	for i, a := range f.Analyses {
		one := fitPart(fmt.Sprintf("assay-%d", i+1), f.Label(a), a, mark)
		one.judge(f.Verdicts, a.Assay, f.Findings(a))
		p.add(one)
	}
	p.found = fitSummary(f, p.parts)
	return p.write(w)
}

// add appends a section and lets tables link to it.
func (p *page) add(one part) {
	if _, taken := p.links[one.title]; !taken {
		p.links[one.title] = one.id
	}
	p.parts = append(p.parts, one)
}

// fitPart is the section of one assay without its findings.
func fitPart(id, title string, a *bioassay.Analysis, mark string) part {
	counts := render.RawCounts(a.Assay)
	return part{
		id: id, title: title, sentence: render.Sentence(a),
		figures: []plots.Figure{figures.Curve(a, mark)},
		facts:   [][]render.Fact{render.Estimates(a), render.Origins(a.Assay)},
		counts:  &counts,
	}
}

// judge fills in what there is to say of the quality of an assay.
func (p *part) judge(verdicts render.Verdicts, a bioassay.Assay, findings []render.Finding) {
	p.judged, p.findings = true, findings
	if verdicts != nil {
		if v, ok := verdicts(a); ok {
			p.verdict = verdictWord(&v)
		}
	}
}

// The words for what became of an assay.
const (
	wordUsable     = "usable"
	wordDoubtful   = "doubtful"
	wordOverridden = "overridden"
	wordDiscarded  = "discarded"
)

func verdictWord(v *bioassay.Verdict) string {
	switch {
	case !v.Usable:
		return wordDiscarded
	case len(v.Lifted) > 0:
		return wordOverridden
	}
	for _, f := range v.Findings {
		if f.Severity == bioassay.Doubt {
			return wordDoubtful
		}
	}
	return wordUsable
}

// The mites that a lead speaks of.
const (
	anyMites         = "varroa mites"
	susceptibleMites = "susceptible varroa mites"
)

// leadOf begins a lead: how many assays of which mites, from where.
func leadOf(assays int, mites string, inputs []render.Input) string {
	var files []string
	for _, i := range inputs {
		files = append(files, i.File)
	}
	s := bioassay.Plural(assays, "bioassay") + " of " + mites
	if files != nil {
		s += " from " + strings.Join(files, ", ")
	}
	return s
}

func readingRemarks(warnings []bioassay.Warning) []string {
	var out []string
	for _, w := range warnings {
		out = append(out, w.String())
	}
	return out
}
