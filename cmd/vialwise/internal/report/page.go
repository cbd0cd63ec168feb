package report

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"strings"
	"unicode/utf8"

	"vialwise/cmd/vialwise/internal/render"
	"vialwise/plots"
)

// Format is the name of the format of this package.
const Format = "html"

//go:embed page.tmpl
var pageText string

//go:embed style.css
var styleText string

var pageTemplate = template.Must(template.New("page").Parse(pageText))

// page is a report before it is written.
type page struct {
	title   string
	lead    string   // one sentence on what this is
	found   []string // the summary in plain words, a paragraph each
	further []Link   // files beside the page
	mark    string   // a remark on everything, such as "Invented data."
	figures []plots.Figure
	tables  []render.Table
	links   map[string]string // anchors of sections by the names in tables
	group   string            // heading over the sections
	parts   []part
	methods *render.Methods
	reading []string // remarks on the files
}

// Link leads to a file beside a page.
type Link struct{ File, Name string }

// part is the section of one assay or baseline.
type part struct {
	id, title string
	sentence  string
	verdict   string // a word on its quality, blank where it was not judged
	figures   []plots.Figure
	facts     [][]render.Fact // groups, a table each
	findings  []render.Finding
	judged    bool
	counts    *render.Table
}

// view is what the template shows.
type view struct {
	Title, Lead, Mark, Group string
	Version                  string
	Style                    template.CSS
	Found                    []string
	Further                  []Link
	Figures                  []figureView
	Tables                   []tableView
	Parts                    []partView
	Contents                 bool
	Paragraphs, Reading      []string
	References               []string
	Inputs                   []render.Input
}

type figureView struct {
	SVG  template.HTML
	Wide bool
	Name string
}

type tableView struct {
	Caption string
	Columns []columnView
	Rows    [][]cellView
	Notes   []string
	Remarks []render.Remark
}

type columnView struct {
	Name    string
	Numeric bool
}

type cellView struct {
	Text, Link    string
	Head, Numeric bool
	Long          bool // a sentence, which wraps
}

type partView struct {
	ID, Title, Sentence, Verdict string
	Figures                      []figureView
	Facts                        [][]render.Fact
	Findings                     []render.Finding
	Judged, Wide                 bool
	Counts                       *tableView
}

// write renders the page whole before any of it is written.
func (p *page) write(w io.Writer) error {
	fonts := &fontTexts{}
	v, err := p.view(fonts)
	if err != nil {
		return err
	}
	v.Style = template.CSS(plots.FontFaces(fonts.regular.String(), fonts.bold.String()) + styleText)
	var b bytes.Buffer
	if err := pageTemplate.Execute(&b, v); err != nil {
		return fmt.Errorf("the report: %w", err)
	}
	_, err = io.WriteString(w, strings.TrimRight(withoutOverrides(b.String()), "\n")+"\n")
	return err
}

// withoutOverrides drops the characters that turn the direction of what follows
// them around, by which a name could disguise the text after it. Letters of
// scripts that run from right to left need none of them.
func withoutOverrides(s string) string {
	return strings.Map(func(r rune) rune {
		if r >= '\u202A' && r <= '\u202E' || r >= '\u2066' && r <= '\u2069' {
			return -1
		}
		return r
	}, s)
}

func (p *page) view(fonts *fontTexts) (*view, error) {
	v := &view{
		Title: p.title, Lead: p.lead, Mark: p.mark, Group: p.group, Version: p.methods.Version(), Found: p.found, Further: p.further,
		Contents: len(p.parts) > 1, Paragraphs: p.methods.Paragraphs(), Reading: p.reading, Inputs: p.methods.Inputs(),
	}
	for _, r := range p.methods.References() {
		v.References = append(v.References, r.String())
	}
	var err error
	if v.Figures, err = figureViews(p.figures, fonts); err != nil {
		return nil, err
	}
	for _, t := range p.tables {
		v.Tables = append(v.Tables, tableViewOf(t, p.links))
	}
	for _, one := range p.parts {
		k := partView{
			ID: one.id, Title: one.title, Sentence: one.sentence, Verdict: one.verdict,
			Facts: one.facts, Findings: one.findings, Judged: one.judged,
		}
		if k.Figures, err = figureViews(one.figures, fonts); err != nil {
			return nil, fmt.Errorf("the figure of %q: %w", one.title, err)
		}
		for _, f := range k.Figures {
			k.Wide = k.Wide || f.Wide
		}
		if one.counts != nil {
			t := tableViewOf(*one.counts, nil)
			k.Counts = &t
		}
		v.Parts = append(v.Parts, k)
	}
	return v, nil
}

// longName and longText are the numbers of characters from which a header cell and
// another cell wrap.
const longName, longText = 40, 80

// tableViewOf gives every row a header cell, its first one, unless that is blank
// or the table has none of words.
func tableViewOf(t render.Table, links map[string]string) tableView {
	v := tableView{Caption: t.Title, Notes: t.Notes, Remarks: t.Remarks}
	for i, name := range t.Header {
		v.Columns = append(v.Columns, columnView{name, t.Numeric[i]})
	}
	for _, row := range t.Rows {
		cells := make([]cellView, len(row))
		for i, text := range row {
			head, most := i == 0 && text != "", longText
			if head {
				most = longName
			}
			cells[i] = cellView{Text: text, Numeric: t.Numeric[i], Head: head, Long: utf8.RuneCountInString(text) > most}
		}
		cells[0].Link = links[row[0]]
		v.Rows = append(v.Rows, cells)
	}
	return v
}
