package render

import (
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"
)

// hostile are names that mean something to one of the formats.
var hostile = []string{
	`a,b`, `"quoted"`, `O'Hara`, "tab\there", "two\nlines", "form\ffeed", `pipe|pipe`, `back\slash`,
	`100% & more`, `$x_1^2$`, `#5`, `{braces}`, `~tilde~`, `\input{secret}`, `<b>bold</b>`, `&amp;`,
	`**bold**`, `_it_`, "`code`", `[link](http://localhost)`, `![image](x)`, `- item`, `[2em]`, `*`, `* * *`, `---`,
	`=1+1`, `+1`, `-1`, `@now`, `Μέλισσα`, `µg/vial`, "red\x1b[31m", "bell\a", "\u0085next", ` `,
}

// columns of the standard table with LC50 and LC90, without Acaricide and Unit.
const columns = 12

// unescaped splits a line at a mark that no backslash precedes.
func unescaped(line string, mark byte) []string {
	var cells []string
	start := 0
	for i := 0; i < len(line); i++ {
		switch line[i] {
		case '\\':
			i++
		case mark:
			cells = append(cells, line[start:i])
			start = i + 1
		}
	}
	return append(cells, line[start:])
}

// TestMarkdownCells shows that no name adds a column, a row or markup.
func TestMarkdownCells(t *testing.T) {
	for _, name := range hostile {
		text := rendered(t, analysed(t, named(name), defaults("markdown")), "markdown")
		lines := strings.Split(text, "\n")
		if cells := unescaped(lines[2], '|'); len(cells) != columns+2 || lines[3] != "" {
			t.Errorf("%q: the row has %d cells: %q", name, len(cells)-2, lines[2])
			continue
		}
		cell := strings.TrimSpace(unescaped(lines[2], '|')[1])
		for i := 0; i < len(cell); i++ {
			switch cell[i] {
			case '\\':
				i++
			case '*', '_', '`', '[', ']', '<', '>', '#', '~':
				t.Errorf("%q: unescaped %q in %q", name, cell[i], cell)
			}
		}
	}
}

func TestMarkdownEscapes(t *testing.T) {
	for in, want := range map[string]string{
		`a|b`: `a\|b`, `a\b`: `a\\b`, `<b>`: `&lt;b&gt;`, `&lt;`: `&amp;lt;`, `*_`: `\*\_`, "`": "\\`",
		`[a](b)`: `\[a\](b)`, `#1`: `\#1`, `~~`: `\~\~`, `Μέλισσα 5 %`: `Μέλισσα 5 %`,
	} {
		if got := markdownEscaper.Replace(in); got != want {
			t.Errorf("%q became %q, want %q", in, got, want)
		}
	}
}

// TestLatexCells shows that no name adds a column, a row or a command.
func TestLatexCells(t *testing.T) {
	for _, name := range hostile {
		text := rendered(t, analysed(t, named(name), defaults("latex")), "latex")
		row := strings.Split(text, "\n")[4]
		if cells := unescaped(row, '&'); len(cells) != columns || !strings.HasSuffix(row, ` \\`) {
			t.Errorf("%q: the row has %d cells: %q", name, len(cells), row)
		}
		// LaTeX reads [ or * after \\ as an argument of it, even on the next line.
		if strings.HasPrefix(row, "[") || strings.HasPrefix(row, "*") {
			t.Errorf("%q: the row begins with an argument: %q", name, row)
		}
		if got := strings.Count(text, `\input`); got != 0 {
			t.Errorf("%q: a command got through", name)
		}
	}
}

func TestLatexEscapes(t *testing.T) {
	for in, want := range map[string]string{
		`5 %`: `5 \%`, `a&b`: `a\&b`, `$1`: `\$1`, `#1`: `\#1`, `a_b`: `a\_b`, `{a}`: `\{a\}`,
		`a\b`: `a\textbackslash{}b`, `~`: `\textasciitilde{}`, `^`: `\textasciicircum{}`,
		`a|b`: `a\textbar{}b`, `[2em]`: `{[}2em]`, `*`: `{*}`, `<>`: `$<$$>$`, `µg`: `$\mu$g`,
		`χ² ± 1`: `$\chi^2$ $\pm$ 1`, `cm²`: `cm\textsuperscript{2}`, `5†`: `5\dag{}`, `1–∞`: `1--$\infty$`, `Μέλισσα`: `Μέλισσα`,
	} {
		if got := latexEscaper.Replace(in); got != want {
			t.Errorf("%q became %q, want %q", in, got, want)
		}
	}
}

// TestNamesStayOnTheirLine shows that no name breaks a row of any table for
// people, nor sends a control character to a terminal.
func TestNamesStayOnTheirLine(t *testing.T) {
	for _, format := range []string{"text", "markdown", "latex"} {
		o := defaults(format)
		o.Exceeds = []float64{2} // for the note that names the assay
		ordinary := rendered(t, analysed(t, named("x"), o), format)
		plain := tableLines(ordinary)
		for _, name := range hostile {
			text := rendered(t, analysed(t, named(name), o), format)
			if got := tableLines(text); got != plain {
				t.Errorf("%s, %q: %d lines, an ordinary name gives %d", format, name, got, plain)
			}
			if got, want := strings.Count(text, "\n"), strings.Count(ordinary, "\n"); format != "text" && got != want {
				t.Errorf("%s, %q: %d lines with the notes, an ordinary name gives %d", format, name, got, want)
			}
			if i := strings.IndexFunc(text, func(r rune) bool { return unicode.IsControl(r) && r != '\n' }); i >= 0 {
				t.Errorf("%s, %q: control character %q", format, name, text[i])
			}
			if !utf8.ValidString(text) {
				t.Errorf("%s, %q: not UTF-8", format, name)
			}
		}
	}
}

// tableLines counts the lines above the notes.
func tableLines(text string) int {
	table, _, _ := strings.Cut(text, "\n\n")
	return strings.Count(table, "\n") + 1
}

// TestNameStandsInTableAndRemarks counts an ordinary name.
func TestNameStandsInTableAndRemarks(t *testing.T) {
	for _, format := range []string{"text", "markdown", "latex"} {
		f := analysed(t, named("Melissa"), defaults(format))
		got, want := strings.Count(rendered(t, f, format), "Melissa"), 1+len(f.Analyses[0].Warnings)
		if got != want || want < 2 {
			t.Errorf("%s: the name stands %d times, want %d", format, got, want)
		}
	}
}
