package workbook

import (
	"errors"
	"fmt"
	"io"
	"math"
	"time"
	"unicode/utf16"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"
)

// MaxText is the number of UTF-16 units that a cell can hold.
const MaxText = excelize.TotalCellChars

// Value is what is written into a cell. The zero Value is a blank cell.
type Value struct {
	kind   Kind
	text   string
	number float64
	day    time.Time
	format string // of a number
}

// TextValue returns a cell of text. It stays text whatever it begins with.
func TextValue(s string) Value { return Value{kind: Text, text: s} }

// NumberValue returns a cell with a number, shown with the digits it needs.
func NumberValue(v float64) Value { return Value{kind: Number, number: v} }

// NumberAs returns a cell with a number that is shown in a format such as
// "0.00". What is stored is the number itself.
func NumberAs(v float64, format string) Value {
	return Value{kind: Number, number: v, format: format}
}

// DayValue returns a cell with a day, shown as ISO 8601. Days before March 1900
// cannot be stored.
func DayValue(year int, month time.Month, day int) Value {
	return Value{kind: Date, day: time.Date(year, month, day, 0, 0, 0, 0, time.UTC)}
}

// Builder makes a workbook. Equal calls make equal bytes.
type Builder struct {
	file   *excelize.File
	sheets []*SheetBuilder
	styles map[string]int // by number format
	bold   int
}

// SheetBuilder makes a sheet of a workbook, from the top down.
type SheetBuilder struct {
	b     *Builder
	name  string
	out   *excelize.StreamWriter
	row   int
	cells []any
}

// NewBuilder returns a workbook without sheets.
func NewBuilder() (*Builder, error) {
	b := &Builder{file: excelize.NewFile(), styles: map[string]int{}}
	b.file.SetZipWriter(func(w io.Writer) excelize.ZipWriter { return &steadyZip{w: w} })
	bold, err := b.file.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true}})
	if err != nil {
		return nil, err
	}
	b.bold = bold
	const nowhen = "1980-01-01T00:00:00Z" // the bytes must not depend on the clock
	return b, b.file.SetDocProps(&excelize.DocProperties{Creator: "vialwise", LastModifiedBy: "vialwise", Created: nowhen, Modified: nowhen})
}

// Sheet adds a sheet whose columns have the widths given, in characters, and
// whose first row stays in view.
func (b *Builder) Sheet(name string, widths ...float64) (*SheetBuilder, error) {
	if len(b.sheets) == 0 {
		if err := b.file.SetSheetName(b.file.GetSheetName(0), name); err != nil {
			return nil, err
		}
	} else if _, err := b.file.NewSheet(name); err != nil {
		return nil, err
	}
	out, err := b.file.NewStreamWriter(name)
	if err != nil {
		return nil, err
	}
	for i, width := range widths {
		if err := out.SetColWidth(i+1, i+1, width); err != nil {
			return nil, err
		}
	}
	if err := out.SetPanes(&excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}); err != nil {
		return nil, err
	}
	s := &SheetBuilder{b: b, name: name, out: out}
	b.sheets = append(b.sheets, s)
	return s, nil
}

// Header writes a row of names in bold.
func (s *SheetBuilder) Header(names ...string) error {
	cells := make([]any, len(names))
	for i, name := range names {
		if err := storable(name); err != nil {
			return fmt.Errorf("sheet %q, cell %s: %w", s.name, CellName(i+1, s.row+1), err)
		}
		cells[i] = excelize.Cell{StyleID: s.b.bold, Value: name}
	}
	return s.write(cells)
}

// Row writes a row.
func (s *SheetBuilder) Row(values ...Value) error {
	s.cells = s.cells[:0]
	for i, v := range values {
		cell, err := s.b.cell(v)
		if err != nil {
			return fmt.Errorf("sheet %q, cell %s: %w", s.name, CellName(i+1, s.row+1), err)
		}
		s.cells = append(s.cells, cell)
	}
	return s.write(s.cells)
}

func (s *SheetBuilder) write(cells []any) error {
	if s.row++; s.row > lastRow {
		return fmt.Errorf("sheet %q: a sheet holds at most %d rows", s.name, lastRow)
	}
	return s.out.SetRow(CellName(1, s.row), cells)
}

// cell returns a value as the library takes it.
func (b *Builder) cell(v Value) (any, error) {
	switch v.kind {
	case Text:
		return v.text, storable(v.text)
	case Number:
		if math.IsNaN(v.number) || math.IsInf(v.number, 0) {
			return nil, fmt.Errorf("%v cannot be stored as a number", v.number)
		}
		return b.styled(v.number, v.format)
	case Date:
		days := float64(v.day.Unix()-time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC).Unix()) / secondsPerDay
		if days <= leapBug || days >= lastDay {
			return nil, fmt.Errorf("%s cannot be stored as a day", v.day.Format(time.DateOnly))
		}
		return b.styled(days, "yyyy-mm-dd")
	}
	return nil, nil
}

// styled returns a number in a format.
func (b *Builder) styled(v float64, format string) (any, error) {
	if format == "" {
		return v, nil
	}
	style, ok := b.styles[format]
	if !ok {
		var err error
		if style, err = b.file.NewStyle(&excelize.Style{CustomNumFmt: &format}); err != nil {
			return nil, err
		}
		b.styles[format] = style
	}
	return excelize.Cell{StyleID: style, Value: v}, nil
}

var errControl = errors.New("the text has a character that a workbook cannot store")

// storable refuses texts that would be cut or changed.
func storable(s string) error {
	if len(s) > MaxText && len(utf16.Encode([]rune(s))) > MaxText {
		return fmt.Errorf("the text is longer than %d characters", MaxText)
	}
	if !utf8.ValidString(s) {
		return errControl
	}
	for _, r := range s {
		if r < ' ' && r != '\t' && r != '\n' && r != '\r' || r == 0xFFFE || r == 0xFFFF {
			return errControl
		}
	}
	return nil
}

// WriteTo writes the workbook, which cannot be added to afterwards.
func (b *Builder) WriteTo(w io.Writer) (int64, error) {
	if len(b.sheets) == 0 {
		return 0, errors.New("a workbook needs a sheet")
	}
	for _, s := range b.sheets {
		if err := s.out.Flush(); err != nil {
			return 0, fmt.Errorf("sheet %q: %w", s.name, err)
		}
	}
	n, err := b.file.WriteTo(w)
	return n, errors.Join(err, b.file.Close())
}
