package tables

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"unicode/utf8"

	"vialwise/bioassay"
)

// sheet walks over the rows of a text table under a header. It knows about
// cells, lines and columns; what they mean is left to its user.
type sheet struct {
	file   string
	layout layout
	limits limits
	csv    *csv.Reader
	data   []byte // what csv reads
	dirty  bool   // some byte of data is not UTF-8, or is a control character

	header  header
	rows    int // read so far
	blanks  int // rows of empty cells
	blankAt int // line of the first of them

	cells []string // of the current row, trimmed
	line  int      // on which the current row begins

	errs     Errors
	stopped  bool
	warnings []bioassay.Warning
	warned   map[bioassay.WarningCode]int

	scanned, scannedLine int // how far lineAt has counted
}

// openSheet loads a table and reads its header. Errors are in the sheet; the
// returned error is that of r.
func openSheet(name string, r io.Reader, kind layout, l limits) (*sheet, error) {
	s := &sheet{file: name, layout: kind, limits: l, warned: map[bioassay.WarningCode]int{}, scannedLine: 1}
	data, f, err := load(r, l.bytes, kind.contents)
	if err != nil {
		return nil, fmt.Errorf("%s: cannot be read: %w", shownFile(name), err)
	}
	if f != nil {
		s.stop(&Error{}, f)
		return s, nil
	}
	s.data = data
	s.dirty = !utf8.Valid(data) || hasControl(data)
	s.csv = csv.NewReader(bytes.NewReader(data))
	s.csv.FieldsPerRecord = -1
	s.csv.TrimLeadingSpace = true
	s.csv.ReuseRecord = true
	s.readHeader()
	return s, nil
}

// next moves to the next row that has a filled cell. It reports false at the
// end, and where going on makes no sense.
func (s *sheet) next() bool {
	for !s.stopped {
		cells, err := s.csv.Read()
		if err == io.EOF {
			return false
		}
		if s.rows++; s.rows > s.limits.rows {
			s.stop(&Error{}, &fault{TooManyRows, fmt.Sprintf("the table has more than %d rows", s.limits.rows),
				"split it into several files"})
			return false
		}
		if err != nil {
			s.quoteError(err)
			continue
		}
		s.line, _ = s.csv.FieldPos(0)
		if s.takeRow(cells) {
			return true
		}
	}
	return false
}

// takeRow trims the cells and checks what can be checked without knowing them.
func (s *sheet) takeRow(cells []string) bool {
	blank := true
	for i, cell := range cells {
		cells[i] = trim(cell)
		blank = blank && cells[i] == ""
	}
	s.cells = cells
	if blank {
		if s.blanks++; s.blanks == 1 {
			s.blankAt = s.line
		}
		return false
	}
	if s.dirty && !s.clean() {
		return false
	}
	return s.fits()
}

// fits checks the number of cells. Empty ones beyond the header are the mark
// of a spreadsheet and mean nothing.
func (s *sheet) fits() bool {
	width := len(s.header.names)
	if len(s.cells) < width {
		s.add(&Error{Line: s.line, Column: len(s.cells) + 1, Name: s.header.names[len(s.cells)]},
			&fault{RowLength, fmt.Sprintf("the row ends after %d of %d cells", len(s.cells), width),
				"add the missing cells or commas"})
		return false
	}
	for i := width; i < len(s.cells); i++ {
		if s.cells[i] != "" {
			s.fail(i, &fault{RowLength, fmt.Sprintf("the row has more cells than the header, which has %d", width),
				"put a cell that contains a comma between quotation marks, or name the column"})
			return false
		}
	}
	return true
}

// clean looks for cells that are not text. Once the encoding is known to be
// wrong, every further name would be wrong too, so reading stops.
func (s *sheet) clean() bool {
	ok := true
	for i, cell := range s.cells {
		if !utf8.ValidString(cell) {
			s.stop(s.at(i), &fault{BadEncoding, "these bytes are not UTF-8, the file is probably in Windows-1252 or a relative of it", saveAsUTF8})
			return false
		}
		if f := controlFault(cell); f != nil {
			s.fail(i, f)
			ok = false
		}
	}
	return ok
}

// quoteError translates the complaint of the CSV reader. A quotation mark
// inside a bare cell spoils its row only; after one that is never closed
// nothing can be told apart any more.
func (s *sheet) quoteError(err error) {
	var p *csv.ParseError
	if !errors.As(err, &p) {
		s.stop(&Error{}, &fault{QuoteError, err.Error(), "export the table again"})
		return
	}
	column := s.cellAt(p)
	where := &Error{Line: p.Line, Column: column, Name: s.header.name(column - 1)}
	if errors.Is(p.Err, csv.ErrBareQuote) {
		s.add(where, &fault{QuoteError, "a quotation mark stands inside a cell that does not begin with one",
			`remove it, or quote the whole cell and double the mark: "5"" vial"`})
		return
	}
	where.Line = p.StartLine
	s.stop(where, &fault{QuoteError, fmt.Sprintf("a quoted cell of the row that begins here is not closed properly (noticed on line %d)", p.Line),
		"close it with a quotation mark before the comma; reading stopped here"})
}
