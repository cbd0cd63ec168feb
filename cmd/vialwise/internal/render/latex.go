package render

import (
	"io"
	"strings"
)

// writeLatex writes a tabular that needs no package beyond LaTeX itself, with
// the notes and remarks as paragraphs below it. A title becomes a paragraph.
func writeLatex(w io.Writer, tables ...*table) error {
	var b strings.Builder
	for i, t := range tables {
		if i > 0 {
			b.WriteString("\n")
		}
		if t.title != "" {
			b.WriteString(`\paragraph{` + latexEscaper.Replace(oneLine(t.title)) + "}\n\n")
		}
		t.latex(&b)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func (t *table) latex(b *strings.Builder) {
	columns := ""
	for _, numeric := range t.numeric {
		if numeric {
			columns += "r"
		} else {
			columns += "l"
		}
	}
	line := func(row []string) {
		cells := make([]string, len(row))
		for i, cell := range row {
			cells[i] = latexEscaper.Replace(oneLine(cell))
		}
		b.WriteString(strings.Join(cells, " & ") + ` \\` + "\n")
	}
	b.WriteString(`\begin{tabular}{` + columns + "}\n\\hline\n")
	line(t.header)
	b.WriteString("\\hline\n")
	for _, row := range t.rows {
		line(row)
	}
	b.WriteString("\\hline\n\\end{tabular}\n")
	for _, note := range t.notes {
		b.WriteString("\n" + latexEscaper.Replace(note) + "\n")
	}
	for _, r := range t.remarks {
		b.WriteString("\n" + latexEscaper.Replace("Remark "+r.code+". Cure: "+r.cure+".") + "\n")
		for _, about := range r.about {
			b.WriteString("\n" + latexEscaper.Replace(oneLine(about)) + "\n")
		}
	}
}

var latexEscaper = strings.NewReplacer(
	`\`, `\textbackslash{}`, "{", `\{`, "}", `\}`, "&", `\&`, "%", `\%`, "$", `\$`, "#", `\#`, "_", `\_`,
	"|", `\textbar{}`, "[", `{[}`, "*", `{*}`, // the last two would be read as arguments of \\
	"~", `\textasciitilde{}`, "^", `\textasciicircum{}`, "<", "$<$", ">", "$>$",
	"±", `$\pm$`, dagger, `\dag{}`, doubleDagger, `\ddag{}`, "×", `$\times$`, "≥", `$\ge$`, "≤", `$\le$`, "χ²", `$\chi^2$`, "∞", `$\infty$`, "−", "$-$", "–", "--", "µ", `$\mu$`, "μ", `$\mu$`, "²", `\textsuperscript{2}`,
)
