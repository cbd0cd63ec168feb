package tables

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
)

// header maps the columns of a file to the ones that are known.
type header struct {
	names   []string // as entered, trimmed
	place   []int    // of each known column, its cell, or -1
	unknown []int    // cells of the other columns, by rising name
}

// name returns the name of a cell, blank when it has none.
func (h header) name(cell int) string {
	if cell < 0 || cell >= len(h.names) {
		return ""
	}
	return h.names[cell]
}

// folded is the form of a header name in which names are compared.
func folded(name string) string { return strings.ToLower(name) }

// readHeader reads the first filled row as the header.
func (s *sheet) readHeader() {
	if s.wrongDelimiter() {
		return
	}
	for !s.stopped {
		cells, err := s.csv.Read()
		if err == io.EOF {
			return
		}
		if err != nil {
			s.headerError(err)
			return
		}
		s.line, _ = s.csv.FieldPos(0)
		for i, cell := range cells {
			cells[i] = trim(cell)
		}
		// Commas after the last name are the mark of a spreadsheet.
		for len(cells) > 0 && cells[len(cells)-1] == "" {
			cells = cells[:len(cells)-1]
		}
		if len(cells) == 0 {
			continue
		}
		s.cells = slices.Clone(cells)
		s.header.names = s.cells
		if !s.dirty || s.clean() {
			s.mapColumns()
		}
		s.stopped = s.stopped || len(s.errs) > 0
		return
	}
}

// mapColumns finds the known columns, and reports those that are missing,
// doubled or without a name.
func (s *sheet) mapColumns() {
	h, known := &s.header, s.layout.known
	h.place = make([]int, len(known))
	for i := range h.place {
		h.place[i] = -1
	}
	first := map[string]int{}
	for cell, name := range h.names {
		key := folded(name)
		if name == "" {
			s.fail(cell, &fault{UnnamedColumn, "the column has no name", "name it, or delete the column"})
			continue
		}
		if before, ok := first[key]; ok {
			s.fail(cell, &fault{DuplicateColumn, fmt.Sprintf("column %d has the same name", before+1), "rename or delete one of the two"})
			continue
		}
		first[key] = cell
		if i := slices.Index(known, key); i >= 0 {
			h.place[i] = cell
		} else {
			h.unknown = append(h.unknown, cell)
		}
	}
	slices.SortFunc(h.unknown, func(a, b int) int { return strings.Compare(h.names[a], h.names[b]) })
	if !slices.ContainsFunc(h.names, s.layout.isRequired) {
		s.errs = nil // whatever else there was, it was not said of a header
		s.notHeader(s.line)
		return
	}
	s.requireColumns()
	s.reportUnknown()
}

// reportUnknown warns of columns that are kept but not understood.
func (s *sheet) reportUnknown() {
	for _, cell := range slices.Sorted(slices.Values(s.header.unknown)) {
		name := s.header.names[cell]
		cure := "nothing needs to be done if it is only a remark"
		for i, k := range s.layout.known {
			if s.header.place[i] < 0 && alike(name, k) {
				cure = fmt.Sprintf("rename it to %s if that was meant", k)
				break
			}
		}
		s.warn(UnknownColumn, s.line, fmt.Sprintf("column %d (%s) is not known; it is kept and not used", cell+1, shownName(name)), cure)
	}
}

// wrongDelimiter looks at the first filled line for the separators that
// programs set to another language write instead of the comma.
func (s *sheet) wrongDelimiter() bool {
	for i, line := range strings.Split(string(s.data[:min(len(s.data), 4096)]), "\n") {
		if trim(line) == "" {
			continue
		}
		if strings.Contains(line, ",") {
			return false
		}
		for _, mark := range []struct{ sign, name string }{{";", "semicolon"}, {"\t", "tab"}, {"|", "vertical bar"}} {
			if strings.Contains(trim(line), mark.sign) {
				s.stop(&Error{Line: i + 1}, &fault{WrongDelimiter, "the cells are separated by " + mark.name + "s, not by commas", useCommas(mark.sign, mark.name)})
				return true
			}
		}
		return false
	}
	return false
}

// useCommas is the remedy for cells separated by another sign. A spreadsheet
// set to a language with decimal commas writes that sign again when told to
// save as CSV, whatever its menu says, so the remedy names the settings, and a
// way around them.
func useCommas(sign, name string) string {
	if trim(sign) == "" {
		sign = name
	}
	return saveAsUTF8 + "; when saving choose the comma as field separator and the point as decimal mark " +
		"(in a spreadsheet these follow the system's region settings), or replace them in a text editor: " +
		"first every , by . and then every " + sign + " by ,"
}

// headerError reports quotation marks that are out of order in the first line,
// unless that line is no header anyway.
func (s *sheet) headerError(err error) {
	var p *csv.ParseError
	if errors.As(err, &p) {
		names := strings.Split(s.textOf(p.StartLine), ",")
		if !slices.ContainsFunc(names, func(name string) bool { return s.layout.isRequired(strings.Trim(trim(name), `"`)) }) {
			s.notHeader(p.StartLine)
			return
		}
	}
	s.quoteError(err)
	s.stopped = true
}
