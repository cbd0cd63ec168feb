package tables

import (
	"bufio"
	"io"
	"strings"
	"unicode"
)

// Original hands out the cells of a count table as they stand in the file,
// converted in no way but to UTF-8, for those who compare them with what was
// read of it. It takes a file that [Read] accepts and no other.
type Original struct {
	sheet   *sheet
	text    *splitter // nil for a workbook
	pending bool      // the header of the current sheet is still to be handed out
	limit   int       // first line of a text that belongs to the table
}

// OriginalRow is a row of a table as it stands in the file.
type OriginalRow struct {
	Sheet  string // blank in a text
	Line   int
	Header bool
	Cells  []string // valid until the next row is read
}

// Form is how a table is written down, beside its cells.
type Form struct {
	Workbook  bool
	Encoding  string // of a text, such as "UTF-8"
	Mark      bool   // a byte-order mark stands before the text
	Delimiter string // of a text: comma, semicolon or tab
	Returns   bool   // lines end in something else than a line feed alone
	SignLine  bool   // a first line names the delimiter
}

// OpenOriginal opens the table that r holds.
func OpenOriginal(name string, r io.Reader) (*Original, error) {
	s, err := openSheet(name, r, countLayout, usual, Options{})
	if err != nil {
		return nil, err
	}
	if len(s.errs) > 0 {
		return nil, s.errs
	}
	o := &Original{sheet: s, pending: true}
	if g := s.text; g != nil {
		o.limit = s.headerRow
		o.text = &splitter{r: bufio.NewReader(g.text(nil)), sign: g.delimiter, line: 1, quotesAfterBlanks: g.delimiter != '\t'}
	}
	return o, nil
}

// Form returns how the table is written down.
func (o *Original) Form() Form {
	g := o.sheet.text
	if g == nil {
		return Form{Workbook: true}
	}
	return Form{Encoding: g.encoding.String(), Mark: g.mark > 0, Delimiter: o.sheet.delimiterName(), Returns: o.hasReturns(), SignLine: g.skip > 0}
}

// hasReturns looks for a carriage return in the beginning of a text, which
// holds whole lines.
func (o *Original) hasReturns() bool {
	g := o.sheet.text
	section := g.source.reader()
	section.Seek(g.mark, io.SeekStart) // within the file, so it cannot fail
	first, err := bufio.NewReader(decoded(section, g.encoding)).ReadString('\n')
	return strings.Contains(first, "\r") || err == io.EOF && g.returns
}

// Columns names what each cell of the current sheet is: the name of the known
// column, or blank for one that is kept and not understood.
func (o *Original) Columns() []string {
	names := make([]string, len(o.sheet.header.names))
	for known, cell := range o.sheet.header.place {
		if cell >= 0 {
			names[cell] = countNames[known]
		}
	}
	return names
}

// Next returns the next row, blank rows among them, or io.EOF.
func (o *Original) Next() (OriginalRow, error) {
	if o.text != nil {
		return o.nextLine()
	}
	return o.nextBookRow()
}

func (o *Original) nextLine() (OriginalRow, error) {
	for {
		cells, line, err := o.text.next()
		if err != nil {
			return OriginalRow{}, err
		}
		if line >= o.limit {
			header := o.pending
			o.pending = false
			return OriginalRow{Line: line, Header: header, Cells: cells}, nil
		}
	}
}

func (o *Original) nextBookRow() (OriginalRow, error) {
	s := o.sheet
	for {
		if o.pending {
			o.pending = false
			return OriginalRow{Sheet: s.sheetName(), Line: s.headerRow, Header: true, Cells: s.book.texts()}, nil
		}
		_, err := s.book.read()
		if err == nil {
			return OriginalRow{Sheet: s.sheetName(), Line: s.book.line(0), Cells: s.book.texts()}, nil
		}
		if err != io.EOF || !s.nextSheet() {
			return OriginalRow{}, err
		}
		o.pending = true
	}
}

// texts returns the texts of the current row as they are stored.
func (g *bookGrid) texts() []string {
	cells := make([]string, len(g.row.Cells))
	for i, c := range g.row.Cells {
		cells[i] = c.Text
	}
	for _, d := range g.row.Days {
		cells[d.Column-1] = d.Number
	}
	return cells
}

// splitter splits a text that a CSV reader accepts into its cells, with the
// blanks around them, which that reader does not keep.
type splitter struct {
	r                 *bufio.Reader
	sign              rune
	line              int  // on which the next row begins
	quotesAfterBlanks bool // blanks may stand before a quotation mark
	cells             []string
	cell              strings.Builder
}

// next returns the next row and the line on which it begins, or io.EOF.
func (s *splitter) next() (cells []string, line int, err error) {
	s.cells = s.cells[:0]
	line = s.line
	for {
		last, err := s.readCell()
		switch {
		case err == io.EOF && len(s.cells) == 0 && s.cell.Len() == 0:
			return nil, line, io.EOF
		case err != nil && err != io.EOF:
			return nil, line, err
		}
		s.cells = append(s.cells, s.cell.String())
		if last {
			return s.cells, line, nil
		}
	}
}

// readCell reads one cell and reports whether it is the last of its row.
func (s *splitter) readCell() (last bool, err error) {
	s.cell.Reset()
	quoted, fresh := false, true
	for {
		r, _, err := s.r.ReadRune()
		if err != nil {
			return true, err
		}
		if r == '\n' {
			s.line++
		}
		switch {
		case r == '"' && (quoted || fresh):
			if quoted && s.follows('"') {
				s.cell.WriteRune(r)
				break
			}
			quoted, fresh = !quoted, false
		case quoted:
			s.cell.WriteRune(r)
		case r == s.sign:
			return false, nil
		case r == '\n':
			return true, nil
		default:
			s.cell.WriteRune(r)
			fresh = fresh && s.quotesAfterBlanks && unicode.IsSpace(r)
		}
	}
}

// follows takes the next byte if it is the one given.
func (s *splitter) follows(c byte) bool {
	next, err := s.r.Peek(1)
	if err != nil || next[0] != c {
		return false
	}
	_, _ = s.r.Discard(1) // it was just seen
	return true
}
