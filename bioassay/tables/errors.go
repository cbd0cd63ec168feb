package tables

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"vialwise/bioassay"
	"vialwise/bioassay/tables/workbook"
)

// Error is one thing wrong with a table, at its place.
type Error struct {
	File    string
	Sheet   string // sheet of a workbook; blank in a text, or when the file as a whole is meant
	Line    int    // line of the file, or row of the sheet, from 1; 0 when the whole of it is meant
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
	if e.Sheet == "" && e.Line > 0 {
		fmt.Fprintf(&b, ":%d", e.Line)
	}
	b.WriteString(": ")
	if place := e.place(); place != "" {
		b.WriteString(place + ": ")
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

// place is the place within the line of a text, or within a workbook; blank
// when there is none.
func (e *Error) place() string {
	name := ""
	if e.Name != "" {
		name = " (" + shownName(e.Name) + ")"
	}
	switch {
	case e.Sheet == "" && e.Column > 0:
		return fmt.Sprintf("column %d%s", e.Column, name)
	case e.Sheet == "":
		return ""
	case e.Column > 0 && e.Line > 0:
		return fmt.Sprintf("sheet %s, cell %s%s", quoted(e.Sheet), workbook.CellName(e.Column, e.Line), name)
	case e.Line > 0:
		return fmt.Sprintf("sheet %s, row %d", quoted(e.Sheet), e.Line)
	}
	return "sheet " + quoted(e.Sheet)
}

// where is the place for a message about another place of the same file.
func (e *Error) where() string {
	if e.Sheet != "" {
		return e.place()
	}
	return fmt.Sprintf("line %d", e.Line)
}

// Unwrap returns the code.
func (e *Error) Unwrap() error { return e.Code }

// Errors are all errors of a table, in the order of the file.
type Errors []*Error

// Error returns one line for each error.
func (es Errors) Error() string { return bioassay.ErrorLines(es) }

// Unwrap returns the errors one by one.
func (es Errors) Unwrap() []error { return bioassay.ErrorList(es) }

// inOrder sorts the errors as they stand in the file, sheet by sheet. What
// could not be placed comes first, and the remark that there are more last.
func (es Errors) inOrder(sheets []string) Errors {
	slices.SortStableFunc(es, func(a, b *Error) int {
		last := func(e *Error) int { return map[bool]int{true: 1}[e.Code == TooManyErrors] }
		return cmp.Or(cmp.Compare(last(a), last(b)), cmp.Compare(slices.Index(sheets, a.Sheet), slices.Index(sheets, b.Sheet)), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
	})
	return es
}
