package report

import (
	"bytes"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"

	"vialwise/bioassay"
	"vialwise/bioassay/demo"
	"vialwise/bioassay/rules"
	"vialwise/bioassay/tables"
	"vialwise/cmd/vialwise/internal/render"
	"vialwise/doseresp"
)

func demoAssays(t testing.TB) []bioassay.Assay {
	t.Helper()
	table, err := tables.Read("counts.csv", bytes.NewReader(demo.Counts()))
	if err != nil {
		t.Fatal(err)
	}
	return table.Assays
}

// verdictsOf judges assays by the built-in rules, on demand.
func verdictsOf(a bioassay.Assay) (bioassay.Verdict, bool) {
	return rules.Builtin().Judge(a, nil), true
}

func fitsOf(t testing.TB, assays []bioassay.Assay) *render.Fits {
	t.Helper()
	o := bioassay.AnalysisOptions{Fit: doseresp.Options{Percents: []float64{50, 90}}}
	f := &render.Fits{Version: "test", Options: o, Inputs: []render.Input{{File: "counts.csv", SHA256: strings.Repeat("0a", 32)}}, Verdicts: verdictsOf}
	for _, assay := range assays {
		a, err := bioassay.Analyse(assay, o)
		if err != nil {
			t.Fatal(err)
		}
		f.Analyses = append(f.Analyses, a)
	}
	return f
}

func comparisonsOf(t testing.TB, assays []bioassay.Assay) *render.Comparisons {
	t.Helper()
	set, _ := rules.Builtin().RuleSet("fold-bands")
	o := bioassay.CompareOptions{Analysis: bioassay.AnalysisOptions{Fit: doseresp.Options{Percents: []float64{50, 90}}}, Bands: set.Ratios}
	susceptible, fields, err := bioassay.SelectBaseline(assays, "")
	if err != nil {
		t.Fatal(err)
	}
	c := &render.Comparisons{Version: "test", Options: o, Inputs: []render.Input{{File: "counts.csv", SHA256: strings.Repeat("0a", 32)}}, Verdicts: verdictsOf}
	var comparers []*bioassay.Comparer
	groups := bioassay.GroupBaselines(susceptible)
	for i, name := range bioassay.GroupNames(groups) {
		b, err := bioassay.BuildBaseline(name, groups[i], bioassay.BaselineOptions{Analysis: o.Analysis})
		if err != nil {
			t.Fatal(err)
		}
		k, err := bioassay.NewComparer(b, o)
		if err != nil {
			t.Fatal(err)
		}
		c.Baselines, comparers = append(c.Baselines, b), append(comparers, k)
	}
	c.Compared, c.Refused = bioassay.CompareAll(fields, comparers, nil)
	for _, r := range c.Compared {
		v, _ := verdictsOf(r.Field.Assay)
		r.Verdict = &v
	}
	return c
}

func pageOf(t testing.TB, write func(*bytes.Buffer) error) string {
	t.Helper()
	var b bytes.Buffer
	if err := write(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func fitPage(t testing.TB, f *render.Fits) string {
	return pageOf(t, func(b *bytes.Buffer) error { return WriteFits(b, f, "Invented data.") })
}

func comparePage(t testing.TB, c *render.Comparisons) string {
	return pageOf(t, func(b *bytes.Buffer) error { return WriteComparisons(b, c, "Invented data.") })
}

func baselinePage(t testing.TB, c *render.Comparisons) string {
	b := &render.Baselines{Version: "test", Options: c.Options.Analysis, Inputs: c.Inputs, Baselines: c.Baselines, Verdicts: verdictsOf}
	return pageOf(t, func(w *bytes.Buffer) error { return WriteBaselines(w, b, "Invented data.") })
}

// element is a start tag of a page.
type element struct {
	name       string
	attributes map[string]string
	depth      int
}

var (
	tagShape       = regexp.MustCompile(`<(/?)([a-zA-Z][a-zA-Z0-9]*)((?:\s+[a-zA-Z:-]+(?:="[^"<]*")?)*)\s*(/?)>`)
	attributeShape = regexp.MustCompile(`([a-zA-Z:-]+)(?:="([^"]*)")?`)
	void           = []string{"meta", "br"}
)

// elements reads the tags of a page and demands that they nest and that no other
// character opens one.
func elements(t *testing.T, page string) []element {
	t.Helper()
	from, to := strings.Index(page, "<style>"), strings.Index(page, "</style>")
	if from < 0 || to < from {
		t.Fatal("the page has no style sheet")
	}
	page = strings.TrimPrefix(page[:from]+page[to+len("</style>"):], "<!DOCTYPE html>")
	tags := tagShape.FindAllStringSubmatch(page, -1)
	if n := strings.Count(page, "<"); n != len(tags) {
		rest := tagShape.ReplaceAllString(page, "")
		at := strings.Index(rest, "<")
		t.Errorf("%d of %d signs < open no tag that can be read, the first in %q", n-len(tags), n, rest[at:min(at+120, len(rest))])
	}
	var out []element
	var open []string
	for _, tag := range tags {
		name := tag[2]
		if tag[1] == "/" {
			if len(open) == 0 || open[len(open)-1] != name {
				t.Fatalf("</%s> closes none of %v", name, open)
			}
			open = open[:len(open)-1]
			continue
		}
		e := element{name, map[string]string{}, len(open)}
		for _, a := range attributeShape.FindAllStringSubmatch(tag[3], -1) {
			e.attributes[a[1]] = a[2]
		}
		out = append(out, e)
		if tag[4] == "" && !slices.Contains(void, name) {
			open = append(open, name)
		}
	}
	if len(open) > 0 {
		t.Errorf("%v stay open", open)
	}
	return out
}

// manyAssays repeats the demo's assays under names of their own.
func manyAssays(t testing.TB, n int) []bioassay.Assay {
	t.Helper()
	base := demoAssays(t)
	var out []bioassay.Assay
	for i := range n {
		a := base[i%len(base)]
		a.Name = fmt.Sprintf("%s, copy %d", a.Name, i/len(base)+1)
		out = append(out, a)
	}
	return out
}
