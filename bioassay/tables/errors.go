package tables

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Error is one thing wrong with a table, at its place.
type Error struct {
	File    string
	Line    int    // line of the file, from 1; 0 when the file as a whole is meant
	Column  int    // number of the cell in its row, from 1; 0 when a whole row is meant
	Name    string // name of that column in the header, where it has one
	Found   string // the cell as entered; blank when there is nothing to show
	Code    Code
	Message string // what is wrong
	Remedy  string // what to do about it
}

// Error returns one line: the place, what was found, what is wrong with it and
// the remedy. Nothing in it can steer a terminal: what cannot be printed is
// escaped.
func (e *Error) Error() string {
	var b strings.Builder
	b.WriteString(shownFile(e.File))
	if e.Line > 0 {
		fmt.Fprintf(&b, ":%d", e.Line)
	}
	b.WriteString(": ")
	if e.Column > 0 {
		fmt.Fprintf(&b, "column %d", e.Column)
		if e.Name != "" {
			fmt.Fprintf(&b, " (%s)", shownName(e.Name))
		}
		b.WriteString(": ")
	}
	if e.Found != "" {
		fmt.Fprintf(&b, "found %s: ", shownCell(e.Found))
	}
	b.WriteString(e.Message)
	if e.Remedy != "" {
		b.WriteString("; " + e.Remedy)
	}
	return b.String()
}

// Unwrap returns the code.
func (e *Error) Unwrap() error { return e.Code }

// Errors are all errors of a table, in the order of the file.
type Errors []*Error

// Error returns one line for each error.
func (es Errors) Error() string {
	lines := make([]string, len(es))
	for i, e := range es {
		lines[i] = e.Error()
	}
	return strings.Join(lines, "\n")
}

// Unwrap returns the errors one by one.
func (es Errors) Unwrap() []error {
	list := make([]error, len(es))
	for i, e := range es {
		list[i] = e
	}
	return list
}

// inOrder sorts the errors as they stand in the file. What could not be placed
// comes first, and the remark that there are more comes last.
func (es Errors) inOrder() Errors {
	slices.SortStableFunc(es, func(a, b *Error) int {
		last := func(e *Error) int { return map[bool]int{true: 1}[e.Code == TooManyErrors] }
		return cmp.Or(cmp.Compare(last(a), last(b)), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
	})
	return es
}
