package plots

import (
	"fmt"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/bidi"
	"golang.org/x/text/unicode/norm"
)

// printable returns s as a file can print it that carries every glyph: composed
// letters, and for what the font lacks the letter without its rare accent or else
// its Unicode number in brackets.
func printable(s string) string {
	var b strings.Builder
	var numbers []string // of characters that share a pair of brackets
	end := func() {
		if len(numbers) > 0 {
			b.WriteString("[" + strings.Join(numbers, " ") + "]")
			numbers = nil
		}
	}
	for _, r := range norm.NFC.String(clean(s)) {
		switch plain := inFont(r); {
		case unicode.Is(unicode.Cf, r), unicode.Is(unicode.Variation_Selector, r):
		case plain != "":
			end()
			b.WriteString(plain)
		default:
			numbers = append(numbers, fmt.Sprintf("%04X", r))
		}
	}
	end()
	return b.String()
}

// inFont returns what the font shows for r: r itself, its base letters, or nothing.
func inFont(r rune) string {
	if r == unicode.ReplacementChar {
		return "?"
	}
	f := face(bodySize, false)
	if s := string(r); covered(f, s) {
		return s
	}
	var b strings.Builder
	for _, part := range norm.NFKD.String(string(r)) {
		if unicode.Is(unicode.Mn, part) {
			continue
		}
		if !covered(f, string(part)) {
			return ""
		}
		b.WriteRune(part)
	}
	return b.String()
}

// visual puts a line of text into the order in which it is seen from the left.
func visual(s string) string {
	var p bidi.Paragraph
	if _, err := p.SetString(s); err != nil {
		return s
	}
	order, err := p.Order()
	if err != nil {
		return s
	}
	var b strings.Builder
	for i := range order.NumRuns() {
		run := order.Run(i)
		if run.Direction() == bidi.RightToLeft {
			b.WriteString(bidi.ReverseString(run.String()))
			continue
		}
		b.WriteString(run.String())
	}
	return b.String()
}
