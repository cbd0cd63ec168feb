package tables

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"vialwise/bioassay"
	"vialwise/bioassay/tables/workbook"
)

// grid hands out the rows of a table, whatever file they stand in.
type grid interface {
	// read returns the next row, which is valid until the next call, or io.EOF.
	read() ([]string, error)
	// line returns the line of a cell of that row, from 1.
	line(cell int) int
}

// sheet walks over the rows of a table under a header. It knows about cells,
// lines and columns; what they mean is left to its user. Of a workbook it walks
// over all sheets that hold such a table.
type sheet struct {
	file   string
	layout layout
	limits limits
	grid   grid
	text   *textGrid // grid, if it is a text
	book   *bookGrid // grid, if it is a workbook

	header    header
	headerRow int
	names     []string // of unknown columns, of all sheets
	rows      int      // read so far
	blanks    int      // rows of empty cells
	blankAt   int      // line of the first of them

	cells []string // of the current row, trimmed
	line  int      // on which the current row begins

	errs     Errors
	stopped  bool
	failed   error // of the reader below
	warnings []bioassay.Warning
	warned   map[bioassay.WarningCode]int
	tallies  map[bioassay.WarningCode]*tally
	noted    int // conversions of all kinds
	marks    marks
}

// openSheet finds out what kind of file r is and reads the header of its table.
// Errors are in the sheet; the returned error is that of r.
func openSheet(name string, r io.Reader, kind layout, l limits, o Options) (*sheet, error) {
	s := &sheet{file: name, layout: kind, limits: l, warned: map[bioassay.WarningCode]int{}, tallies: map[bioassay.WarningCode]*tally{}}
	src, err := sourceOf(r, l.bytes)
	var f *fault
	if err == nil {
		f, err = s.open(src, o)
	}
	switch {
	case err != nil:
		return nil, s.unreadable(err)
	case f != nil:
		s.stop(&Error{}, f)
	default:
		s.begin()
	}
	return s, s.failed
}

// unreadable is the error of a file that cannot be read.
func (s *sheet) unreadable(err error) error {
	return fmt.Errorf("%s: cannot be read: %w", shownFile(s.file), err)
}

// open opens the grid.
func (s *sheet) open(src source, o Options) (*fault, error) {
	if f := sizeFault(src.size, s.limits.bytes); f != nil {
		return f, nil
	}
	start, err := src.start(8)
	if err != nil {
		return nil, err
	}
	var f *fault
	if isPacked(start) {
		s.book, f, err = openBook(src, s.layout, o)
		s.grid = s.book
	} else {
		s.text, f, err = openText(src, s.layout.contents, o)
		s.grid = s.text
		if f != nil && f.code == BadEncoding && strings.EqualFold(filepath.Ext(s.file), ".xlsx") {
			f = &fault{BadEncoding, "the file is named .xlsx and holds no workbook",
				"open it in a spreadsheet and save it as an XLSX workbook; if it does not open there, fetch the original again"}
		}
	}
	return f, err
}

// begin reads the first header.
func (s *sheet) begin() {
	if s.book != nil {
		for _, other := range s.book.others {
			s.warn(OtherSheet, 0, other+" and holds no "+s.layout.title+"; it is not read", "nothing needs to be done if it is not meant to be one")
		}
		s.nextSheet()
		return
	}
	if s.text.encoding != utf8Text {
		s.warn(EncodingUsed, 0, fmt.Sprintf("the file is not in UTF-8; it was read as %v", s.text.encoding), "look at the names with accents, or save the file in UTF-8")
	}
	s.readHeader()
}

// nextSheet goes to the next sheet of a workbook and reads its header.
func (s *sheet) nextSheet() bool {
	more, err := s.book.next()
	if err != nil {
		s.bookError(err)
	}
	if !more || s.stopped {
		return false
	}
	if sheet := s.book.sheets[s.book.at]; sheet.Hidden {
		s.warn(HiddenSheet, 0, "the sheet "+quoted(sheet.Name)+" is hidden and was read nevertheless", "delete the sheet if it should not count")
	}
	s.header = header{}
	s.readHeader()
	return !s.stopped
}

// sheetName is the name of the current sheet, blank in a text.
func (s *sheet) sheetName() string {
	if s.book == nil || s.book.at < 0 || s.book.at >= len(s.book.sheets) {
		return ""
	}
	return s.book.sheets[s.book.at].Name
}

// next moves to the next row that has a filled cell. It reports false at the
// end, and where going on makes no sense.
func (s *sheet) next() bool {
	for !s.stopped {
		cells, err := s.grid.read()
		if err == io.EOF {
			if s.checkMerged(); s.book != nil && s.nextSheet() {
				continue
			}
			return false
		}
		if s.rows++; s.rows > s.limits.rows {
			s.stop(&Error{}, &fault{TooManyRows, fmt.Sprintf("the table has more than %d rows", s.limits.rows),
				"split it into several files"})
			return false
		}
		if err != nil {
			s.rowError(err)
			continue
		}
		s.line = s.grid.line(0)
		if s.takeRow(cells) {
			return true
		}
	}
	return false
}

// rowError reports a row that cannot be read.
func (s *sheet) rowError(err error) {
	if s.book != nil {
		s.bookError(err)
		return
	}
	s.quoteError(err)
}

// bookError reports what is wrong with a workbook, within the current sheet.
func (s *sheet) bookError(err error) {
	f, err := bookFault(err, s.layout.contents)
	if err != nil {
		s.failed, s.stopped = s.unreadable(err), true
		return
	}
	s.stop(&Error{Sheet: s.sheetName()}, f)
}

// takeRow trims the cells and checks what can be checked without knowing them.
func (s *sheet) takeRow(cells []string) bool {
	blank := true
	for i, cell := range cells {
		cells[i] = trim(cell)
		blank = blank && cells[i] == ""
	}
	s.cells = cells
	if s.book != nil && !s.takeBookRow(&blank) {
		return false
	}
	if blank {
		if s.blanks++; s.blanks == 1 {
			s.blankAt = s.line
		}
		return false
	}
	if s.isDirty() && !s.clean() {
		return false
	}
	return s.fits()
}

// isDirty reports whether cells have to be checked for what is no text.
func (s *sheet) isDirty() bool { return s.text == nil || s.text.dirty }

// takeBookRow does the same for what only workbooks have.
func (s *sheet) takeBookRow(blank *bool) bool {
	width := len(s.header.names)
	for i := range s.cells {
		if s.book.kind(i) != workbook.Unstored {
			continue
		}
		if *blank = false; i < width {
			s.fail(i, unstoredFault())
		}
		return false
	}
	if s.book.row.Hidden && !*blank {
		s.note(HiddenRows, 0, "", "")
	}
	for len(s.cells) < width { // a sheet does not store blank cells at the end
		s.cells = append(s.cells, "")
	}
	return true
}

func unstoredFault() *fault {
	return &fault{NoStoredResult, "the cell holds a formula without a stored result", "open the workbook in a spreadsheet and save it anew, or enter the value"}
}

// fits checks the number of cells. Empty ones beyond the header are the mark
// of a spreadsheet and mean nothing.
func (s *sheet) fits() bool {
	width := len(s.header.names)
	if len(s.cells) < width {
		s.add(&Error{Line: s.line, Column: len(s.cells) + 1, Name: s.header.names[len(s.cells)]},
			&fault{RowLength, fmt.Sprintf("the row ends after %d of %d cells", len(s.cells), width),
				"add the missing cells or " + s.delimiterName() + "s"})
		return false
	}
	for i := width; i < len(s.cells); i++ {
		if s.cells[i] != "" {
			s.fail(i, &fault{RowLength, fmt.Sprintf("the row has more cells than the header, which has %d", width), s.longRemedy()})
			return false
		}
	}
	return true
}

// delimiterName is what stands between the cells.
func (s *sheet) delimiterName() string {
	if s.text == nil {
		return "column"
	}
	return map[rune]string{',': "comma", ';': "semicolon", '\t': "tab"}[s.text.delimiter]
}

func (s *sheet) longRemedy() string {
	if s.text == nil {
		return "name the column, or delete the cell"
	}
	return "put a cell that contains a " + s.delimiterName() + " between quotation marks, or name the column"
}
