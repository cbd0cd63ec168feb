package render

import (
	"io"
	"strings"
)

// writeMarkdown writes a table with pipes, as CommonMark's common extension
// reads it, its notes as paragraphs and the remarks as a list. A title becomes a
// heading.
func writeMarkdown(w io.Writer, tables ...*table) error {
	var b strings.Builder
	for i, t := range tables {
		if i > 0 {
			b.WriteString("\n")
		}
		if t.title != "" {
			b.WriteString("## " + markdownEscaper.Replace(oneLine(t.title)) + "\n\n")
		}
		t.markdown(&b)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func (t *table) markdown(b *strings.Builder) {
	line := func(cells []string) { b.WriteString("| " + strings.Join(cells, " | ") + " |\n") }
	escaped := func(row []string) []string {
		cells := make([]string, len(row))
		for i, cell := range row {
			cells[i] = markdownEscaper.Replace(oneLine(cell))
		}
		return cells
	}
	line(escaped(t.header))
	rule := make([]string, len(t.header))
	for i := range rule {
		rule[i] = "---"
		if t.numeric[i] {
			rule[i] = "---:"
		}
	}
	line(rule)
	for _, row := range t.rows {
		line(escaped(row))
	}
	for _, note := range t.notes {
		b.WriteString("\n" + markdownEscaper.Replace(note) + "\n")
	}
	for _, r := range t.remarks {
		b.WriteString("\n" + markdownEscaper.Replace("Remark "+r.code+". Cure: "+r.cure+".") + "\n\n")
		for _, about := range r.about {
			b.WriteString("- " + markdownEscaper.Replace(oneLine(about)) + "\n")
		}
	}
}

var markdownEscaper = strings.NewReplacer(
	`\`, `\\`, "|", `\|`, "*", `\*`, "_", `\_`, "`", "\\`", "<", "&lt;", ">", "&gt;", "[", `\[`, "]", `\]`, "&", "&amp;", "#", `\#`, "~", `\~`,
)
