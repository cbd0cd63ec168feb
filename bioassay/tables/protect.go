package tables

import (
	"strings"
	"unicode/utf8"
)

// Texts that a spreadsheet would take for a formula when it opens the table
// carry a protective apostrophe in what is written, which is taken off again
// when it is read. A text that begins with an apostrophe itself gets another,
// so that nothing is lost.

// startsFormula reports whether a spreadsheet may take a text for a formula.
// The wide forms of the four signs count too.
func startsFormula(s string) bool {
	r, _ := utf8.DecodeRuneInString(s)
	return strings.ContainsRune("=+-@\t\r＝＋－＠", r) && s != ""
}

// protected is a text as it is written.
func protected(s string) string {
	if startsFormula(s) || strings.HasPrefix(s, "'") {
		return "'" + s
	}
	return s
}

// unprotected is a text as it is meant.
func unprotected(s string) string {
	if rest, ok := strings.CutPrefix(s, "'"); ok && (startsFormula(rest) || strings.HasPrefix(rest, "'")) {
		return rest
	}
	return s
}

// isText reports whether a known column holds texts as they were entered.
func isText(column int) bool {
	switch column {
	case colAssay, colApiary, colPopulation, colAcaricide, colProtocol, colUnit, colContainer, colMiteSource, colNote:
		return true
	}
	return false
}

func protectedIf(text bool, s string) string {
	if text {
		return protected(s)
	}
	return s
}
