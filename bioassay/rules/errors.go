package rules

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"vialwise/bioassay"
)

// Error is one thing wrong with a programme file, at its place.
type Error struct {
	File    string
	Line    int    // from 1; 0 when the file as a whole is meant
	Key     string // such as rule_set[2].controls.discard_above, counted from 1
	Found   string // the value as entered; blank when there is nothing to show
	Message string // what is wrong
	Remedy  string // what to do about it
	Err     error  // the cause, where another package found it
}

// Error returns one line: the place, the key, what was found, what is wrong
// with it and the remedy. Nothing in it can steer a terminal: what cannot be
// printed is escaped.
func (e *Error) Error() string {
	var b strings.Builder
	b.WriteString(e.File)
	if e.Line > 0 {
		fmt.Fprintf(&b, ":%d", e.Line)
	}
	b.WriteString(": ")
	if e.Key != "" {
		b.WriteString(e.Key + ": ")
	}
	if e.Found != "" {
		fmt.Fprintf(&b, "found %s: ", e.Found)
	}
	b.WriteString(e.Message)
	if e.Remedy != "" {
		b.WriteString("; " + e.Remedy)
	}
	return printable(b.String())
}

// printable escapes what is no visible sign or space.
func printable(s string) string {
	if !strings.ContainsFunc(s, unprintable) {
		return s
	}
	var b strings.Builder
	for _, r := range s {
		if unprintable(r) {
			fmt.Fprintf(&b, `\u%04x`, r)
			continue
		}
		b.WriteRune(r)
	}
	return b.String()
}

// unprintable reports control characters and marks that turn the direction of
// writing, which no text here needs.
func unprintable(r rune) bool { return !unicode.IsGraphic(r) }

// Unwrap returns the cause, if any.
func (e *Error) Unwrap() error { return e.Err }

// Errors are all errors of a programme file, by rising line.
type Errors []*Error

// Error returns one line for each error.
func (es Errors) Error() string { return bioassay.ErrorLines(es) }

// Unwrap returns the errors one by one.
func (es Errors) Unwrap() []error { return bioassay.ErrorList(es) }

func (es Errors) inOrder() Errors {
	slices.SortStableFunc(es, func(a, b *Error) int { return a.Line - b.Line })
	return es
}
