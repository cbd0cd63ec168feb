package tables

import (
	"bytes"
	"encoding/csv"
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
	line, _ := s.csv.FieldPos(cell)
	return &Error{Line: line, Column: cell + 1, Name: s.header.name(cell), Found: s.cells[cell]}
}

// fail records a fault of a cell of the current row.
func (s *sheet) fail(cell int, f *fault) { s.add(s.at(cell), f) }

// add records a fault at a place and stops the reading when there are enough.
func (s *sheet) add(where *Error, f *fault) {
	if s.stopped {
		return
	}
	where.File, where.Code, where.Message, where.Remedy = s.file, f.code, f.message, f.remedy
	s.errs = append(s.errs, where)
	if len(s.errs) >= s.limits.errors {
		s.stop(&Error{}, &fault{TooManyErrors, fmt.Sprintf("stopped after %d errors", len(s.errs)),
			"correct these and read the table again"})
	}
}

// stop records a fault after which reading makes no sense.
func (s *sheet) stop(where *Error, f *fault) {
	where.File, where.Code, where.Message, where.Remedy = s.file, f.code, f.message, f.remedy
	s.errs = append(s.errs, where)
	s.stopped = true
}

// warn records a warning, the first of each kind in full.
func (s *sheet) warn(code bioassay.WarningCode, line int, message, cure string) {
	if s.warned[code]++; s.warned[code] > maxWarningsEach {
		return
	}
	s.warnings = append(s.warnings, bioassay.Warning{Code: code, Message: message, Cure: cure,
		Origin: bioassay.Origin{File: s.file, Line: line}})
}

// close ends the reading: it returns the errors, or nil, after adding the
// remarks that only the whole table allows.
func (s *sheet) close(filled int) error {
	if len(s.errs) == 0 && filled == 0 {
		s.stop(&Error{}, &fault{NoData, "the table has a header and no filled row", "add one row for each container, or export the table again"})
	}
	if len(s.errs) > 0 {
		return s.errs.inOrder()
	}
	if s.blanks > 0 {
		s.warn(BlankRow, s.blankAt, fmt.Sprintf("%s of empty cells skipped, the first is here", plural(s.blanks, "row")),
			"delete the empty rows at the end or between the containers")
	}
	return nil
}

// allWarnings returns the warnings, and says how many of a kind were cut.
func (s *sheet) allWarnings() []bioassay.Warning {
	for i, n := 0, len(s.warnings); i < n; i++ {
		code := s.warnings[i].Code
		if rest := s.warned[code] - maxWarningsEach; rest > 0 {
			s.warn(MoreWarnings, 0, fmt.Sprintf("%s of the kind %s not shown", plural(rest, "further warning"), code),
				"look for a common cause of those shown")
			s.warned[code] = 0
		}
	}
	return s.warnings
}

// cellAt returns the number of the cell, from 1, at which the CSV reader gave
// up, by counting the commas outside quotes from the beginning of the row.
func (s *sheet) cellAt(p *csv.ParseError) int {
	i := s.lineStart(p.StartLine)
	cell, inQuotes := 1, false
	for line, column := p.StartLine, 1; i < len(s.data); i++ {
		if line > p.Line || line == p.Line && column >= p.Column {
			break
		}
		switch c := s.data[i]; {
		case c == '\n':
			line, column = line+1, 0
		case c == '"':
			inQuotes = !inQuotes
		case c == ',' && !inQuotes:
			cell++
		}
		column++
	}
	return cell
}

// lineStart returns the offset of a line. Lines are asked for in rising order,
// so the data are counted through once.
func (s *sheet) lineStart(line int) int {
	for s.scannedLine < line {
		n := bytes.IndexByte(s.data[s.scanned:], '\n')
		if n < 0 {
			return len(s.data)
		}
		s.scanned += n + 1
		s.scannedLine++
	}
	return s.scanned
}

// plural returns "1 row", "2 rows".
func plural(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}
