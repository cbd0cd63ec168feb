package render

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"
	"unicode"
	"unicode/utf8"
)

// textWidth is where paragraphs wrap.
const textWidth = 100

// writeText writes aligned columns for a terminal, the tables one below the
// other.
func writeText(w io.Writer, tables ...*table) error {
	var b strings.Builder
	for i, t := range tables {
		if i > 0 {
			b.WriteString("\n")
		}
		if t.title != "" {
			b.WriteString(wrap(t.title, textWidth, "") + "\n")
		}
		if err := t.text(&b); err != nil {
			return err
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// text writes one table with what stands below it.
func (t *table) text(b *strings.Builder) error {
	var rows strings.Builder
	columns := tabwriter.NewWriter(&rows, 0, 0, 2, ' ', 0)
	for _, row := range append([][]string{t.header}, t.rows...) {
		cells := make([]string, len(row))
		for i, cell := range row {
			cells[i] = oneLine(cell)
		}
		fmt.Fprintln(columns, strings.Join(cells, "\t"))
	}
	if err := columns.Flush(); err != nil {
		return err
	}
	for line := range strings.Lines(rows.String()) {
		b.WriteString(strings.TrimRight(line, " \n") + "\n")
	}
	for _, note := range t.notes {
		b.WriteString("\n" + wrap(note, textWidth, ""))
	}
	for _, r := range t.remarks {
		b.WriteString("\n" + wrap("Remark "+r.code+". Cure: "+r.cure+".", textWidth, ""))
		for _, about := range r.about {
			b.WriteString(wrap("- "+oneLine(about), textWidth, "  "))
		}
	}
	return nil
}

// oneLine keeps a name that holds a line break or a tab from breaking a row,
// and one with control characters from commanding a terminal.
func oneLine(s string) string {
	return strings.Join(strings.FieldsFunc(s, func(r rune) bool { return unicode.IsSpace(r) || unicode.IsControl(r) }), " ")
}

// wrap breaks a paragraph at spaces; lines after the first are indented.
func wrap(s string, width int, indent string) string {
	var b strings.Builder
	column := 0
	for i, word := range strings.Fields(s) {
		n := utf8.RuneCountInString(word)
		switch {
		case i == 0:
		case column+1+n > width:
			b.WriteString("\n" + indent)
			column = len(indent)
		default:
			b.WriteString(" ")
			column++
		}
		b.WriteString(word)
		column += n
	}
	return b.String() + "\n"
}
