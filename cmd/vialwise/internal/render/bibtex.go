package render

import (
	"fmt"
	"io"
	"strconv"
	"strings"
)

// MethodsFormats lists the formats of a method paragraph.
func MethodsFormats() []string { return []string{"text", "markdown", "latex", "bibtex"} }

// WriteMethods writes the method paragraphs with their references in a format of
// MethodsFormats. LaTeX cites by the keys that BibTeX defines.
func WriteMethods(w io.Writer, m *Methods, format string) error {
	var s string
	switch format {
	case "text":
		s = m.text()
	case "markdown":
		s = m.markdown()
	case "latex":
		s = m.latex()
	case "bibtex":
		s = m.bibtex()
	default:
		return fmt.Errorf("unknown format %q; use one of %s", format, strings.Join(MethodsFormats(), ", "))
	}
	_, err := io.WriteString(w, s)
	return err
}

func (m *Methods) text() string {
	var b strings.Builder
	for _, p := range m.Paragraphs() {
		b.WriteString(wrap(p, textWidth, "") + "\n")
	}
	b.WriteString("References\n\n")
	for _, r := range m.References() {
		b.WriteString(wrap(r.String(), textWidth, "  "))
	}
	return b.String()
}

func (m *Methods) markdown() string {
	var b strings.Builder
	b.WriteString("## Methods\n\n")
	for _, p := range m.Paragraphs() {
		b.WriteString(markdownEscaper.Replace(p) + "\n\n")
	}
	b.WriteString("## References\n\n")
	for _, r := range m.References() {
		b.WriteString("- " + markdownEscaper.Replace(r.String()) + "\n")
	}
	return b.String()
}

func (m *Methods) latex() string {
	var b strings.Builder
	for i, p := range m.paragraphs {
		if i > 0 {
			b.WriteString("\n")
		}
		last := 0
		for _, at := range citation.FindAllStringIndex(p, -1) {
			var keys []string
			for _, r := range behind(p[at[0]:at[1]]) {
				keys = append(keys, r.Key)
			}
			b.WriteString(latexEscaper.Replace(p[last:at[0]]) + `\cite{` + strings.Join(keys, ",") + "}")
			last = at[1]
		}
		b.WriteString(latexEscaper.Replace(p[last:]) + "\n")
	}
	return b.String()
}

func (m *Methods) bibtex() string {
	var b strings.Builder
	for i, r := range m.References() {
		if i > 0 {
			b.WriteString("\n")
		}
		r.bibtex(&b)
	}
	return b.String()
}

// bibtex writes an entry. Titles are braced, so that no style changes their case.
func (r Reference) bibtex(b *strings.Builder) {
	kind, where := r.Kind, "journal"
	switch r.Kind {
	case "book":
		where = "publisher"
	case "software":
		kind, where = "misc", "howpublished" // which every style knows
	}
	fmt.Fprintf(b, "@%s{%s,\n", kind, r.Key)
	field := func(name, value string) {
		if value != "" {
			fmt.Fprintf(b, "  %-9s = {%s},\n", name, value)
		}
	}
	field("author", strings.Join(r.Authors, " and "))
	field("title", "{"+r.Title+"}")
	field(where, r.Where)
	field("volume", r.Volume)
	field("pages", strings.ReplaceAll(r.Pages, "-", "--"))
	field("year", strconv.Itoa(r.Year))
	field("note", r.Note)
	b.WriteString("}\n")
}
