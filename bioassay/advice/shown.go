package advice

import (
	"strings"
	"unicode"
)

// shown returns a text from outside on one line, cut after most characters,
// with a question mark for everything that cannot be printed: control
// characters, marks that turn the direction of writing, invalid bytes. Escaping
// for HTML is up to whoever draws the page.
func shown(s string, most int) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return ' '
		case !unicode.IsPrint(r) || r == unicode.ReplacementChar:
			return '?'
		}
		return r
	}, s)
	r := []rune(strings.Join(strings.Fields(s), " "))
	if len(r) > most {
		return strings.TrimSpace(string(r[:most-1])) + "…"
	}
	return string(r)
}

// The most characters of texts from outside.
const (
	mostName    = 30
	mostContact = 120
	mostRule    = 60 // of a condition of the list
	mostBasis   = 110
	mostBecause = 1000
)
