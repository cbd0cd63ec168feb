package geo

import (
	"bytes"
	"fmt"
	"strings"

	"vialwise/bioassay"
)

// Error is one thing wrong with a GeoJSON file, at its place.
type Error struct {
	File    string
	Line    int    // from 1; 0 when the file as a whole is meant
	Column  int    // byte of the line, from 1
	Path    string // where in the structure, such as features[3].geometry.coordinates[0][2]
	Found   string // what stands there, shortened; blank when there is nothing to show
	Message string // what is wrong
	Remedy  string // what to do about it
}

// Error returns one line: the place, what was found, what is wrong with it and
// the remedy. Nothing in it can steer a terminal.
func (e *Error) Error() string {
	var b strings.Builder
	b.WriteString(printable(e.File))
	if e.Line > 0 {
		fmt.Fprintf(&b, ":%d:%d", e.Line, e.Column)
	}
	b.WriteString(": ")
	if e.Path != "" {
		b.WriteString(e.Path + ": ")
	}
	if e.Found != "" {
		b.WriteString("found " + e.Found + ": ")
	}
	return b.String() + e.Message + "; " + e.Remedy
}

// Errors are what is wrong with a file, in its order, the first MostErrors.
type Errors []*Error

// MostErrors is how many errors of a file are kept. A file in the wrong
// coordinates is wrong at every point.
const MostErrors = 20

// Error returns one line for each error.
func (es Errors) Error() string { return bioassay.ErrorLines(es) }

// Unwrap returns the errors one by one.
func (es Errors) Unwrap() []error { return bioassay.ErrorList(es) }

// The warnings of a file that is usable but doubtful.
const (
	UnclosedRing bioassay.WarningCode = "ring-not-closed"
	OldReference bioassay.WarningCode = "old-reference-system"
	Exchanged    bioassay.WarningCode = "coordinates-exchanged"
	FarAway      bioassay.WarningCode = "far-from-the-apiaries"
	Polar        bioassay.WarningCode = "place-near-a-pole"
)

// shownMost is how much of a file an error shows, in bytes.
const shownMost = 90

// shown shortens a part of a file for an error.
func shown(text []byte) string {
	s := strings.Join(strings.Fields(strings.ToValidUTF8(string(text[:min(len(text), 4*shownMost)]), "?")), " ")
	if len(s) > shownMost || len(text) > 4*shownMost {
		s = strings.ToValidUTF8(s[:min(len(s), shownMost)], "") + "..."
	}
	return printable(s)
}

// printable puts a question mark for each sign that could steer a terminal.
func printable(s string) string {
	clean := func(r rune) rune {
		if r < ' ' || r >= 0x7f && r < 0xa0 || r == 0x2028 || r == 0x2029 || r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069 {
			return '?'
		}
		return r
	}
	return strings.Map(clean, s)
}

// lineOf returns line and column of a byte, both from 1.
func lineOf(text []byte, at int) (line, column int) {
	at = min(at, len(text))
	before := text[:at]
	return 1 + bytes.Count(before, []byte{'\n'}), at - bytes.LastIndexByte(before, '\n')
}
