package tables

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"vialwise/bioassay/tables/workbook"
)

// header maps the columns of a file to the ones that are known.
type header struct {
	names   []string // as entered, trimmed
	place   []int    // of each known column, its cell, or -1
	unknown []int    // cells of the other columns, by rising name

	unread map[int]int // of unknown columns without a filled cell so far, the number of the warning

	unit     string // that stands in brackets behind a name, blank when none does
	unitCell int    // the cell of that name
}

// name returns the name of a cell, blank when it has none.
func (h header) name(cell int) string {
	if cell < 0 || cell >= len(h.names) {
		return ""
	}
	return h.names[cell]
}

// readHeader reads the first filled row as the header.
func (s *sheet) readHeader() {
	if s.text != nil && s.text.delimiter == '|' {
		s.stop(&Error{Line: s.text.headerLine()}, &fault{WrongDelimiter, "the cells are separated by vertical bars, not by commas, semicolons or tabs", saveAsText})
		return
	}
	for !s.stopped {
		cells, err := s.grid.read()
		if err == io.EOF {
			return
		}
		if err != nil {
			s.headerError(err)
			return
		}
		s.line = s.grid.line(0)
		if s.takeHeader(cells) {
			return
		}
	}
}

// takeHeader takes a row as the header, unless it is blank.
func (s *sheet) takeHeader(cells []string) bool {
	for i, cell := range cells {
		cells[i] = trim(cell)
	}
	// Delimiters after the last name are the mark of a spreadsheet.
	for len(cells) > 0 && cells[len(cells)-1] == "" && !s.unstored(len(cells)-1) {
		cells = cells[:len(cells)-1]
	}
	if len(cells) == 0 {
		return false
	}
	s.cells, s.headerRow = slices.Clone(cells), s.line
	s.header.names = slices.Clone(cells)
	if s.isDirty() && !s.clean() {
		s.stopped = true
		return true
	}
	before := len(s.errs)
	if len(cells) > MaxColumns {
		s.stop(&Error{Line: s.line}, &fault{TooManyColumns, fmt.Sprintf("the header has %d columns, at most %d are read", len(cells), MaxColumns), "delete what stands beside the table"})
		return true
	}
	s.mapColumns()
	if s.stopped = s.stopped || len(s.errs) > before; s.stopped {
		s.blameMerging(before)
	}
	return true
}

// unstored reports whether a cell of a workbook is a formula without result.
func (s *sheet) unstored(cell int) bool {
	return s.book != nil && s.book.kind(cell) == workbook.Unstored
}

// blameMerging puts merged cells in the place of the faults that they cause in
// a header. Where cells are merged stands at the end of a sheet.
func (s *sheet) blameMerging(before int) {
	if s.book == nil {
		return
	}
	for {
		if _, err := s.book.rows.Next(); err != nil {
			break // the header is in error already
		}
	}
	if _, ok := s.book.mergedAt(s.headerRow, s.headerRow, max(1, len(s.header.names))); ok {
		s.errs = s.errs[:before]
		s.checkMerged()
	}
}

// mapColumns finds the known columns, and reports those that are missing,
// doubled or without a name.
func (s *sheet) mapColumns() {
	h := &s.header
	h.place = make([]int, len(s.layout.known))
	for i := range h.place {
		h.place[i] = -1
	}
	before := len(s.errs)
	first := map[string]int{}
	for cell, name := range h.names {
		switch {
		case s.layout.wide != nil && name == "": // a gap between groups
		case s.unstored(cell):
			s.fail(cell, unstoredFault())
		case name == "":
			s.fail(cell, &fault{UnnamedColumn, "the column has no name", "name it, or delete the column"})
		default:
			if bare := unprotected(name); bare != name {
				s.note(ProtectedText, cell, name, bare)
				h.names[cell], name = bare, bare
			}
			s.mapColumn(cell, name, first)
		}
		if s.book != nil && s.book.hidesColumn(cell) {
			s.note(HiddenColumns, cell, "", "")
		}
	}
	if s.layout.wide != nil {
		s.mapWide()
		return
	}
	slices.SortFunc(h.unknown, func(a, b int) int { return strings.Compare(h.names[a], h.names[b]) })
	if s.isNoHeader() {
		s.errs = s.errs[:before] // whatever else there was, it was not said of a header
		s.notHeader(s.line)
		return
	}
	s.requireColumns()
	s.reportUnknown()
}

// mapColumn finds out what a column is; first has the other names before it.
func (s *sheet) mapColumn(cell int, name string, first map[string]int) {
	if s.layout.wide != nil {
		return // mapWide does
	}
	h := &s.header
	r := s.layout.resolve(name)
	before, seen := first[folded(name)]
	if r.known >= 0 {
		before, seen = h.place[r.known], h.place[r.known] >= 0
	}
	switch {
	case seen && folded(h.names[before]) == folded(name):
		s.fail(cell, &fault{DuplicateColumn, fmt.Sprintf("column %d has the same name", before+1), "rename or delete one of the two"})
		return
	case seen:
		s.fail(cell, &fault{DuplicateColumn, fmt.Sprintf("column %d (%s) is another name for %s too", before+1, shownName(h.names[before]), s.layout.known[r.known]), "rename or delete one of the two"})
		return
	case r.known < 0:
		first[folded(name)] = cell
		h.unknown = append(h.unknown, cell)
		return
	}
	h.place[r.known] = cell
	if r.alias {
		s.note(AliasUsed, cell, name, s.layout.known[r.known])
	}
	if r.unit != "" {
		h.unit, h.unitCell = r.unit, cell
	}
}

// isNoHeader reports whether no required column is there, by any name.
func (s *sheet) isNoHeader() bool {
	return !slices.ContainsFunc(s.header.names, s.layout.isRequired)
}

// reportUnknown warns of columns that are kept but not understood.
func (s *sheet) reportUnknown() {
	s.header.unread = map[int]int{}
	for _, cell := range slices.Sorted(slices.Values(s.header.unknown)) {
		name := s.header.names[cell]
		if !slices.Contains(s.names, name) {
			s.names = append(s.names, name)
		}
		cure := "nothing needs to be done if it is only a remark; if it says what a known column says, give it that name"
		for i, k := range s.layout.known {
			if s.header.place[i] < 0 && alike(name, k) {
				cure = fmt.Sprintf("rename it to %s if that was meant", k)
				break
			}
		}
		if len(s.warnings) < maxWarningsEach {
			s.header.unread[cell] = len(s.warnings)
		}
		s.warn(UnknownColumn, s.line, fmt.Sprintf("column %d (%s) is not known; it is kept and not used", cell+1, shownName(name)), cure)
	}
}

// headerError reports quotation marks that are out of order in the first line,
// unless that line is no header anyway.
func (s *sheet) headerError(err error) {
	var p *csv.ParseError
	if s.text != nil && errors.As(err, &p) {
		names := strings.Split(s.text.lineText(p.StartLine), string(s.text.delimiter))
		if !slices.ContainsFunc(names, func(name string) bool { return s.layout.isRequired(strings.Trim(trim(name), `"`)) }) {
			s.notHeader(p.StartLine)
			return
		}
	}
	s.rowError(err)
	s.stopped = true
}
