package tables

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"vialwise/bioassay/tables/workbook"
)

// bookGrid hands out the rows of the sheets of a workbook, one sheet after the
// other.
type bookGrid struct {
	book   *workbook.Book
	sheets []workbook.Sheet // those that hold a table
	others []string         // a line on each of the rest
	at     int              // number of the current sheet
	rows   *workbook.Rows
	row    workbook.Row
	cells  []string
}

// openBook opens a workbook and chooses its sheets.
func openBook(src source, kind layout, o Options) (*bookGrid, *fault, error) {
	section := src.reader()
	g := &bookGrid{at: -1}
	var at io.ReaderAt = section
	if o.Progress != nil {
		at = &toldAt{at: section, tell: o.Progress, total: src.size}
	}
	limits := workbook.DefaultLimits()
	limits.Unpacked, limits.Columns, limits.Text = MaxUnpackedBytes, MaxColumns, MaxRowBytes
	var err error
	if g.book, err = workbook.Open(at, src.size, limits); err != nil {
		f, err := bookFault(err, kind.contents)
		return nil, f, err
	}
	f, err := g.choose(kind)
	return g, f, err
}

// toldAt tells the farthest byte that was read.
type toldAt struct {
	at    io.ReaderAt
	tell  func(read, total int64)
	total int64
	far   int64
}

func (t *toldAt) ReadAt(p []byte, off int64) (int, error) {
	n, err := t.at.ReadAt(p, off)
	if end := off + int64(n); end >= t.far+tellEvery || end == t.total && end > t.far {
		t.far = end
		t.tell(end, t.total)
	}
	return n, err
}

// choose looks at the first filled row of every sheet.
func (g *bookGrid) choose(kind layout) (*fault, error) {
	all := g.book.Sheets()
	filled := 0
	for _, sheet := range all {
		first, err := g.firstRow(sheet)
		if err != nil {
			return bookFault(err, kind.contents)
		}
		if len(first) > 0 {
			filled++
		}
		if kind.isTable(sheet.Name, first) {
			g.sheets = append(g.sheets, sheet)
		} else {
			g.others = append(g.others, sheetLine(sheet.Name, first))
		}
	}
	switch {
	case filled == 0:
		return emptyFault(), nil
	case len(g.sheets) == 0 && kind.wide != nil:
		return &fault{NoTableSheet, "no sheet of the workbook has the columns of the mapping: " + strings.Join(g.others, "; "),
			"name the sheet in the mapping, and its columns as they stand there"}, nil
	case len(g.sheets) == 0 && len(all) == 1: // its header will say what is wrong
		g.sheets, g.others = all, nil
	case len(g.sheets) == 0:
		return &fault{NoTableSheet, "no sheet of the workbook begins with the header of a " + kind.title + ": " + strings.Join(g.others, "; "),
			"the first filled row of a sheet must hold the column names " + strings.Join(kind.required, ", ")}, nil
	}
	return nil, nil
}

// firstRow returns the cells of the first filled row of a sheet.
func (g *bookGrid) firstRow(sheet workbook.Sheet) ([]string, error) {
	rows, err := g.book.Rows(sheet)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for {
		row, err := rows.Next()
		if err == io.EOF {
			return nil, nil
		}
		if err != nil {
			return nil, err
		}
		var cells []string
		filled := false
		for _, c := range row.Cells {
			text := trim(c.Text)
			cells = append(cells, text)
			filled = filled || text != "" || c.Kind == workbook.Unstored
		}
		if filled {
			return cells, nil
		}
	}
}

// sheetLine names a sheet that holds no table, and what it begins with.
func sheetLine(name string, first []string) string {
	first = slices.DeleteFunc(slices.Clone(first), func(s string) bool { return s == "" })
	if len(first) == 0 {
		return fmt.Sprintf("sheet %s is empty", quoted(name))
	}
	return fmt.Sprintf("sheet %s begins with %s", quoted(name), nameList(first))
}

// next opens the next sheet. It reports false after the last.
func (g *bookGrid) next() (bool, error) {
	if g.rows != nil {
		g.rows.Close()
		g.rows = nil
	}
	if g.at++; g.at >= len(g.sheets) {
		return false, nil
	}
	var err error
	g.rows, err = g.book.Rows(g.sheets[g.at])
	g.row = workbook.Row{}
	return err == nil, err
}

// read returns the texts of the next row.
func (g *bookGrid) read() ([]string, error) {
	row, err := g.rows.Next()
	if err != nil {
		return nil, err
	}
	g.row = row
	g.cells = g.cells[:0]
	for _, c := range row.Cells {
		g.cells = append(g.cells, c.Text)
	}
	return g.cells, nil
}

// line returns the number of the current row.
func (g *bookGrid) line(int) int { return g.row.Number }

// kind returns what a cell of the current row holds.
func (g *bookGrid) kind(cell int) workbook.Kind {
	if cell >= len(g.row.Cells) {
		return workbook.Blank
	}
	return g.row.Cells[cell].Kind
}

// dayNumber returns the number that the workbook stores for a day in the current
// row, or its text where the day is stored as that.
func (g *bookGrid) dayNumber(cell int) string {
	for _, d := range g.row.Days {
		if d.Column == cell+1 {
			return d.Number
		}
	}
	return g.cells[cell]
}

// isText reports whether a cell of the current row was entered as text.
func (g *bookGrid) isText(cell int) bool { return g.kind(cell) == workbook.Text }

// hidesColumn reports whether a column, from 0, is hidden.
func (g *bookGrid) hidesColumn(cell int) bool {
	return slices.ContainsFunc(g.rows.HiddenColumns, func(r workbook.Range) bool {
		return r.FirstColumn <= cell+1 && cell+1 <= r.LastColumn
	})
}

// mergedAt returns a merged block that touches rows from the header on and the
// columns of the table, below or at a row.
func (g *bookGrid) mergedAt(first, last, width int) (workbook.Range, bool) {
	for _, r := range g.rows.Merged {
		if r.LastRow >= first && r.FirstRow <= last && r.FirstColumn <= width {
			return r, true
		}
	}
	return workbook.Range{}, false
}

// bookFaults are the errors of workbooks with their remedies.
var bookFaults = []struct {
	err     error
	code    Code
	message string
	remedy  string
}{
	{workbook.ErrEncrypted, EncryptedWorkbook, "the workbook is protected by a password", "save it without one"},
	{workbook.ErrOldFormat, OldWorkbook, "this is a workbook of the old binary format (XLS)", saveAsText},
	{workbook.ErrBinaryFormat, OtherWorkbook, "this is a binary workbook (XLSB)", saveAsText},
	{workbook.ErrOpenDocument, OtherWorkbook, "this is an OpenDocument file (ODS or a relative of it)", saveAsText},
	{workbook.ErrNotWorkbook, BadEncoding, "this is neither a text file nor a workbook", ""},
	{workbook.ErrUnpackedSize, UnpackedTooLarge, "", "save it anew from a spreadsheet, or split it into several files"},
	{workbook.ErrTooManyParts, TooManyParts, "", "copy the table into a workbook of its own"},
	{workbook.ErrTooManyTexts, TooManyParts, "", "copy the table into a workbook of its own"},
	{workbook.ErrTooManyColumns, TooManyColumns, "", "delete what stands beside the table"},
	{workbook.ErrTextTooLong, RowTooLong, "", "shorten the text of the cell"},
	{workbook.ErrDamaged, DamagedWorkbook, "", "open it in a spreadsheet, save it anew and try again"},
}

// bookFault returns the fault of a workbook, or the error where it is not one
// of the workbook but of the reader below it.
func bookFault(err error, contents string) (*fault, error) {
	for _, b := range bookFaults {
		if !errors.Is(err, b.err) {
			continue
		}
		f := &fault{b.code, b.message, b.remedy}
		if f.message == "" {
			f.message = printable(shortened(err.Error(), 200))
		}
		if f.remedy == "" {
			f.remedy = "give the CSV or XLSX file of the " + contents
		}
		return f, nil
	}
	return nil, err
}
