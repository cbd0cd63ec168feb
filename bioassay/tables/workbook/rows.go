package workbook

import (
	"encoding/xml"
	"fmt"
	"io"
	"strconv"
	"strings"
)

// Rows walks over the rows of a sheet that are written in the file.
type Rows struct {
	// HiddenColumns are known before the first row.
	HiddenColumns []Range
	// Merged are the blocks of cells made one; known after the last row.
	Merged []Range

	book *Book
	t    *tokens
	row  Row
	raw  raw // reused
}

// Row is a row with its cells up to the last filled one. It is valid until the
// next is read.
type Row struct {
	Number int // from 1
	Hidden bool
	Cells  []Cell
	Days   []Day // of the cells of kind Date that are stored as numbers
}

// Day is a date as it is stored: the number of days since the one from which
// the workbook counts.
type Day struct {
	Column int // from 1
	Number string
}

// Rows opens a sheet.
func (b *Book) Rows(sheet Sheet) (*Rows, error) {
	t, err := b.tokens(sheet.part)
	if err != nil {
		return nil, err
	}
	return &Rows{book: b, t: t}, nil
}

// Close closes the sheet.
func (r *Rows) Close() { r.t.close() }

// Next returns the next row, and io.EOF at the end of a sheet that is whole.
func (r *Rows) Next() (Row, error) {
	for {
		token, err := r.t.next()
		if err != nil {
			return Row{}, err
		}
		e, ok := token.(xml.StartElement)
		if !ok {
			continue
		}
		switch e.Name.Local {
		case "col":
			if isTrue(attribute(e, "hidden")) {
				first, _ := strconv.Atoi(attribute(e, "min"))
				last, _ := strconv.Atoi(attribute(e, "max"))
				r.HiddenColumns = append(r.HiddenColumns, Range{FirstColumn: first, LastColumn: last})
			}
		case "mergeCell":
			block, err := parseRange(attribute(e, "ref"))
			if err != nil {
				return Row{}, err
			}
			if len(r.Merged) < mostTexts {
				r.Merged = append(r.Merged, block)
			}
		case "row":
			return r.row, r.readRow(e)
		}
	}
}

// readRow reads the cells of a row (18.3.1.73). Rows and cells without a number
// follow the one before.
func (r *Rows) readRow(e xml.StartElement) error {
	number := r.row.Number + 1
	if given := attribute(e, "r"); given != "" {
		n, err := strconv.Atoi(given)
		if err != nil || n < number || n > lastRow {
			return fmt.Errorf("%w: row %q follows row %d", ErrDamaged, given, r.row.Number)
		}
		number = n
	}
	if number > lastRow {
		return fmt.Errorf("%w: more rows than a sheet can have", ErrDamaged)
	}
	r.row = Row{Number: number, Hidden: isTrue(attribute(e, "hidden")), Cells: r.row.Cells[:0], Days: r.row.Days[:0]}
	column, depth := 0, len(r.t.open)
	for {
		token, err := r.t.next()
		if err != nil {
			return broken(err)
		}
		switch e := token.(type) {
		case xml.StartElement:
			if e.Name.Local != "c" {
				continue
			}
			column, err = r.readCell(e, column)
			if err != nil {
				return err
			}
		case xml.EndElement:
			if len(r.t.open) < depth {
				return nil
			}
		}
	}
}

func broken(err error) error {
	if err == io.EOF {
		return fmt.Errorf("%w: a part breaks off", ErrDamaged)
	}
	return err
}

// readCell reads a cell and puts it into the row; before is the column of the
// cell before it.
func (r *Rows) readCell(e xml.StartElement, before int) (column int, err error) {
	column = before + 1
	r.raw = raw{}
	for _, a := range e.Attr {
		switch a.Name.Local {
		case "r":
			c, row, ok := parseCell(a.Value)
			if !ok || row != r.row.Number || c < column {
				return 0, fmt.Errorf("%w: a cell of row %d is called %q", ErrDamaged, r.row.Number, a.Value)
			}
			column = c
		case "t":
			r.raw.kind = a.Value
		case "s":
			r.raw.style, _ = strconv.Atoi(a.Value)
		}
	}
	if err := r.readValue(); err != nil {
		return 0, err
	}
	cell, err := r.book.cell(r.raw)
	if err != nil || cell.Kind == Blank {
		return column, err
	}
	if column > r.book.limits.Columns {
		return 0, fmt.Errorf("%w: cell %s is filled, and at most %d columns are read", ErrTooManyColumns, CellName(column, r.row.Number), r.book.limits.Columns)
	}
	for len(r.row.Cells) < column-1 {
		r.row.Cells = append(r.row.Cells, Cell{})
	}
	r.row.Cells = append(r.row.Cells, cell)
	if cell.Kind == Date && r.raw.kind != "d" {
		r.row.Days = append(r.row.Days, Day{column, strings.TrimSpace(r.raw.value)})
	}
	return column, nil
}

// readValue reads what stands within a cell.
func (r *Rows) readValue() error {
	depth := len(r.t.open)
	var value strings.Builder
	inValue := false
	for {
		token, err := r.t.next()
		if err != nil {
			return broken(err)
		}
		switch e := token.(type) {
		case xml.StartElement:
			switch inValue = false; e.Name.Local {
			case "v":
				inValue = true
			case "f":
				r.raw.formula = true
			case "is":
				if r.raw.inline, err = richText(r.t, r.book.limits.Text); err != nil {
					return err
				}
			}
		case xml.EndElement:
			inValue = false
			if len(r.t.open) < depth {
				r.raw.value = value.String()
				return nil
			}
		case xml.CharData:
			if inValue {
				if value.Len()+len(e) > r.book.limits.Text {
					return fmt.Errorf("%w: more than %d KiB", ErrTextTooLong, r.book.limits.Text>>10)
				}
				value.Write(e)
			}
		}
	}
}
