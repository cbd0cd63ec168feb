package report

import (
	"errors"
	"fmt"
	"io"

	"vialwise/bioassay"
	"vialwise/cmd/vialwise/internal/figures"
	"vialwise/cmd/vialwise/internal/render"
	"vialwise/plots"
)

// WriteComparisons writes the comparisons as a page of HTML.
func WriteComparisons(w io.Writer, c *render.Comparisons, mark string) error {
	p := &page{
		title: "Resistance report", mark: mark, group: "Populations and baselines", tables: c.Tables(), links: map[string]string{},
		methods: c.Methods(), reading: readingRemarks(c.Reading),
	}
	p.lead = leadOf(len(c.Compared)+assaysOf(c.Baselines)+len(c.Refused), anyMites, c.Inputs) + unusedWords(c.Refused) + "."
	for _, f := range figures.Forests(c, mark) {
		p.figures = append(p.figures, f)
	}
	for i, r := range c.Compared {
		p.add(comparedPart(fmt.Sprintf("population-%d", i+1), c, r, mark))
	}
	p.found = compareSummary(c, p.parts)
	for i, b := range c.Baselines {
		p.add(baselinePart(fmt.Sprintf("baseline-%d", i+1), b, mark))
		for k, a := range b.Assays {
			one := fitPart(fmt.Sprintf("baseline-%d-assay-%d", i+1, k+1), a.Assay.Name, a, mark)
			one.judge(c.Verdicts, a.Assay, c.BaselineFindings(a))
			p.add(one)
		}
	}
	return p.write(w)
}

// unusedWords says how many assays of a lead are not compared, so that its number is
// that of the files.
func unusedWords(refused []bioassay.Refusal) string {
	discarded := 0
	for _, r := range refused {
		if errors.Is(r.Err, bioassay.ErrDiscarded) {
			discarded++
		}
	}
	var words []string
	if discarded > 0 {
		words = append(words, fmt.Sprintf("%d %s discarded by the quality rules", discarded, isOrAre(discarded)))
	}
	if other := len(refused) - discarded; other > 0 {
		words = append(words, fmt.Sprintf("%d %s not comparable", other, isOrAre(other)))
	}
	if words == nil {
		return ""
	}
	return "; of these " + bioassay.Listed(words)
}

func isOrAre(n int) string {
	if n == 1 {
		return "is"
	}
	return "are"
}

// comparedPart is the section of a population against its baseline.
func comparedPart(id string, c *render.Comparisons, r *bioassay.Comparison, mark string) part {
	one := fitPart(id, r.Field.Assay.Name, r.Field, mark)
	one.sentence = render.RatioSentence(r)
	one.figures = []plots.Figure{figures.Against(r, mark)}
	if m, ok := figures.Mixture(r, mark); ok {
		one.figures = append(one.figures, m)
	}
	one.judged, one.findings = true, c.Findings(r)
	if r.Verdict != nil {
		one.verdict = verdictWord(r.Verdict)
	}
	return one
}

// baselinePart is the section of a baseline: its assays side by side.
func baselinePart(id string, b *bioassay.Baseline, mark string) part {
	one := part{
		id: id, title: "Baseline: " + b.Name, sentence: "The susceptible mites that populations are compared with.",
		facts: [][]render.Fact{render.BaselineFacts(b)}, findings: render.FindingsOf(nil, b.Warnings), judged: true,
	}
	for _, f := range figures.Baseline(b, mark) {
		one.figures = append(one.figures, f)
	}
	return one
}

func assaysOf(baselines []*bioassay.Baseline) int {
	n := 0
	for _, b := range baselines {
		n += len(b.Assays)
	}
	return n
}

// WriteBaselines writes baselines as a page of HTML.
func WriteBaselines(w io.Writer, b *render.Baselines, mark string) error {
	p := &page{
		title: "Baseline report", mark: mark, group: "Baselines and their assays", tables: b.Tables(), links: map[string]string{},
		methods: b.Methods(), reading: readingRemarks(b.Reading), lead: leadOf(assaysOf(b.Baselines), susceptibleMites, b.Inputs) + ".",
	}
	for i, x := range b.Baselines {
		p.add(baselinePart(fmt.Sprintf("baseline-%d", i+1), x, mark))
		for k, a := range x.Assays {
			one := fitPart(fmt.Sprintf("baseline-%d-assay-%d", i+1, k+1), a.Assay.Name, a, mark)
			one.judge(b.Verdicts, a.Assay, b.Findings(a))
			p.add(one)
		}
	}
	p.found = compact(fmt.Sprintf("Described: %s of susceptible mites, from %s.", bioassay.Plural(len(b.Baselines), "baseline"), bioassay.Plural(assaysOf(b.Baselines), "assay")), qualityWords(p.parts))
	return p.write(w)
}
