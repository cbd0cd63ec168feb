package tables

import (
	"encoding/csv"
	"errors"
	"fmt"

	"vialwise/bioassay"
)

// fault is what is wrong with a value, before it is known where.
type fault struct {
	code            Code
	message, remedy string
}

// at is the place of a cell of the current row.
func (s *sheet) at(cell int) *Error {
	if width := len(s.header.names); s.layout.wide != nil && cell >= width { // see wide
		if cell = s.layout.wide.virtual[cell-width]; cell < 0 {
			return &Error{Sheet: s.sheetName(), Line: s.line}
		}
	}
	where := &Error{Sheet: s.sheetName(), Line: s.line, Column: cell + 1, Name: s.header.name(cell)}
	if cell < len(s.cells) {
		where.Line, where.Found = s.grid.line(cell), s.cells[cell]
	}
	return where
}

// fail records a fault of a cell of the current row.
func (s *sheet) fail(cell int, f *fault) { s.add(s.at(cell), f) }

// add records a fault at a place and stops the reading when there are enough.
func (s *sheet) add(where *Error, f *fault) {
	if s.stopped {
		return
	}
	s.record(where, f)
	if len(s.errs) >= s.limits.errors {
		s.stop(&Error{}, &fault{TooManyErrors, fmt.Sprintf("stopped after %d errors", len(s.errs)),
			"correct these and read the table again"})
	}
}

func (s *sheet) record(where *Error, f *fault) {
	if where.Line > 0 && where.Sheet == "" {
		where.Sheet = s.sheetName()
	}
	where.File, where.Code, where.Message, where.Remedy = s.file, f.code, f.message, f.remedy
	s.errs = append(s.errs, where)
}

// stop records a fault after which reading makes no sense.
func (s *sheet) stop(where *Error, f *fault) {
	s.record(where, f)
	s.stopped = true
}

// warn records a warning, the first of each kind in full.
func (s *sheet) warn(code bioassay.WarningCode, line int, message, cure string) {
	if s.warned[code]++; s.warned[code] > maxWarningsEach {
		return
	}
	if sheet := s.sheetName(); sheet != "" && line > 0 {
		message = "sheet " + quoted(sheet) + ": " + message
	}
	s.warnings = append(s.warnings, bioassay.Warning{Code: code, Message: message, Cure: cure,
		Origin: bioassay.Origin{File: s.file, Line: line}})
}

// close ends the reading: it returns the errors, or nil, after adding the
// remarks that only the whole table allows.
func (s *sheet) close(filled int) error {
	if s.failed != nil {
		return s.failed
	}
	for _, mark := range []int{pointMark, commaMark} {
		s.dropPending(mark, groupFault(nil))
	}
	if len(s.errs) == 0 && s.headerRow == 0 {
		s.stop(&Error{}, emptyFault())
	}
	if len(s.errs) == 0 && filled == 0 {
		s.stop(&Error{}, &fault{NoData, "the table has a header and no filled row", "add one row for each container, or export the table again"})
	}
	if len(s.errs) > 0 {
		return s.errs.inOrder(s.sheetNames())
	}
	if s.blanks > 0 {
		s.warn(BlankRow, s.blankAt, fmt.Sprintf("%s of empty cells skipped, the first is here", bioassay.Plural(s.blanks, "row")),
			"delete the empty rows at the end or between the containers")
	}
	s.reportTallies()
	return nil
}

// sheetNames are the sheets in their order, after the blank name of a text.
func (s *sheet) sheetNames() []string {
	names := []string{""}
	if s.book != nil {
		for _, sheet := range s.book.sheets {
			names = append(names, sheet.Name)
		}
	}
	return names
}

// allWarnings returns the warnings, and says how many of a kind were cut.
func (s *sheet) allWarnings() []bioassay.Warning {
	for i, n := 0, len(s.warnings); i < n; i++ {
		code := s.warnings[i].Code
		if rest := s.warned[code] - maxWarningsEach; rest > 0 {
			s.warn(MoreWarnings, 0, fmt.Sprintf("%s of the kind %s not shown", bioassay.Plural(rest, "further warning"), code),
				"look for a common cause of those shown")
			s.warned[code] = 0
		}
	}
	return s.warnings
}

// quoteError translates the complaint of the CSV reader. A quotation mark
// inside a bare cell spoils its row only; after one that is never closed
// nothing can be told apart any more.
func (s *sheet) quoteError(err error) {
	var p *csv.ParseError
	switch {
	case errors.Is(err, errLongRow):
		s.stop(&Error{Line: s.line + 1}, &fault{RowTooLong, fmt.Sprintf("a row from this line on is longer than %d KiB; perhaps a quotation mark is not closed", MaxRowBytes>>10),
			"close the quotation mark, or shorten the text"})
		return
	case !errors.As(err, &p):
		s.failed, s.stopped = s.unreadable(err), true
		return
	}
	column := s.text.cellAt(p)
	where := &Error{Line: p.Line, Column: column, Name: s.header.name(column - 1)}
	if errors.Is(p.Err, csv.ErrBareQuote) {
		s.add(where, &fault{QuoteError, "a quotation mark stands inside a cell that does not begin with one",
			`remove it, or quote the whole cell and double the mark: "5"" vial"`})
		return
	}
	where.Line = p.StartLine
	s.stop(where, &fault{QuoteError, fmt.Sprintf("a quoted cell of the row that begins here is not closed properly (noticed on line %d)", p.Line),
		"close it with a quotation mark before the " + s.delimiterName() + "; reading stopped here"})
}

// checkMerged refuses merged cells in the table of a sheet that has been read:
// the spreadsheet shows one value for all of them and stores it for the first.
func (s *sheet) checkMerged() bool {
	if s.book == nil {
		return false
	}
	block, ok := s.book.mergedAt(s.headerRow, 1<<30, max(1, len(s.header.names)))
	if !ok {
		return false
	}
	what, remedy := "cells are merged", "split them and fill in every one of them"
	if block.FirstRow <= s.headerRow {
		what, remedy = "cells of the first filled row are merged", "split them and give every column its name; delete a title above the header"
	}
	where := &Error{Sheet: s.sheetName(), Line: block.FirstRow, Column: block.FirstColumn, Name: s.header.name(block.FirstColumn - 1)}
	s.record(where, &fault{MergedCells, fmt.Sprintf("the %s: %v", what, block), remedy})
	return true
}
