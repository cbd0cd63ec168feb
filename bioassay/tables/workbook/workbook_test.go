package workbook

import (
	"bytes"
	"errors"
	"io"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"
	"pgregory.net/rapid"
)

// all reads every row of every sheet.
func all(t testing.TB, data []byte, limits Limits) (map[string][][]Cell, error) {
	t.Helper()
	b, err := Open(bytes.NewReader(data), int64(len(data)), limits)
	if err != nil {
		return nil, err
	}
	sheets := map[string][][]Cell{}
	for _, sheet := range b.Sheets() {
		rows, err := b.Rows(sheet)
		if err != nil {
			return nil, err
		}
		for {
			row, err := rows.Next()
			if err == io.EOF {
				break
			}
			if err != nil {
				return nil, err
			}
			for len(sheets[sheet.Name]) < row.Number-1 {
				sheets[sheet.Name] = append(sheets[sheet.Name], nil)
			}
			sheets[sheet.Name] = append(sheets[sheet.Name], slices.Clone(row.Cells))
		}
		rows.Close()
	}
	return sheets, nil
}

// written makes a workbook of one sheet.
func written(t testing.TB, rows ...[]Value) []byte {
	t.Helper()
	b, err := NewBuilder()
	if err != nil {
		t.Fatal(err)
	}
	s, err := b.Sheet("Plates", 12, 30)
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows {
		if err := s.Row(row...); err != nil {
			t.Fatal(err)
		}
	}
	var out bytes.Buffer
	if _, err := b.WriteTo(&out); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

func TestWrittenCells(t *testing.T) {
	data := written(t, []Value{TextValue("=1+1"), {}, NumberValue(0.1), NumberAs(1.25, "0.0"), DayValue(2031, time.April, 9), TextValue("a\nb\r\tñ_x0041_")},
		[]Value{NumberValue(1e15), NumberValue(-1e-9)})
	sheets, err := all(t, data, DefaultLimits())
	if err != nil {
		t.Fatal(err)
	}
	want := [][]Cell{{{Text, "=1+1"}, {}, {Number, "0.1"}, {Shaped, "1.25"}, {Date, "2031-04-09"}, {Text, "a\nb\r\tñ_x0041_"}},
		{{Number, "1000000000000000"}, {Number, "-0.000000001"}}}
	if got := sheets["Plates"]; !slices.EqualFunc(got, want, slices.Equal) {
		t.Errorf("got  %v\nwant %v", got, want)
	}
}

// TestAgainstLibrary reads what the library wrote, with its other functions,
// and compares with what the library itself reads.
func TestAgainstLibrary(t *testing.T) {
	word := rapid.StringMatching(`[a-zñ_x0-9=' <&>"-]{1,12}`)
	rapid.Check(t, func(t *rapid.T) {
		f := excelize.NewFile()
		defer f.Close()
		for n := rapid.IntRange(1, 20).Draw(t, "cells"); n > 0; n-- {
			at := CellName(rapid.IntRange(1, 30).Draw(t, "column"), rapid.IntRange(1, 30).Draw(t, "row"))
			var err error
			switch rapid.IntRange(0, 3).Draw(t, "kind") {
			case 0:
				err = f.SetCellValue("Sheet1", at, rapid.IntRange(-1000, 1000).Draw(t, "number"))
			case 1:
				err = f.SetCellBool("Sheet1", at, true)
			default:
				err = f.SetCellStr("Sheet1", at, word.Draw(t, "text"))
			}
			if err != nil {
				t.Fatal(err)
			}
		}
		var out bytes.Buffer
		if err := f.Write(&out); err != nil {
			t.Fatal(err)
		}
		want, err := f.GetRows("Sheet1", excelize.Options{RawCellValue: true})
		if err != nil {
			t.Fatal(err)
		}
		b, err := Open(bytes.NewReader(out.Bytes()), int64(out.Len()), DefaultLimits())
		if err != nil {
			t.Fatal(err)
		}
		rows, err := b.Rows(b.Sheets()[0])
		if err != nil {
			t.Fatal(err)
		}
		got := make([][]string, len(want))
		for {
			row, err := rows.Next()
			if err == io.EOF {
				break
			}
			if err != nil {
				t.Fatal(err)
			}
			for _, c := range row.Cells {
				text := c.Text
				if c.Kind == Bool { // stored as a digit
					text = "1"
				}
				got[row.Number-1] = append(got[row.Number-1], text)
			}
		}
		if !slices.EqualFunc(got, want, slices.Equal) {
			t.Fatalf("got  %q\nwant %q", got, want)
		}
	})
}

// Days by hand: 1 is 1 January 1900, 59 is 28 February 1900, 61 is 1 March
// 1900, and 36526 is 1 January 2000 (common practice); from 1904, 0 is 1
// January 1904.
func TestDays(t *testing.T) {
	for _, c := range []struct {
		v    float64
		from bool
		want string
	}{
		{1, false, "1900-01-01"}, {59, false, "1900-02-28"}, {61, false, "1900-03-01"}, {36526, false, "2000-01-01"}, {36526.5, false, "2000-01-01 12:00:00"},
		{2958465, false, "9999-12-31"}, {0, true, "1904-01-01"}, {60, true, "1904-03-01"}, {35064, true, "2000-01-01"}, {36526.999999999, false, "2000-01-02"},
	} {
		if got := (&Book{from1904: c.from}).day(c.v); got != c.want {
			t.Errorf("%v is %s, want %s", c.v, got, c.want)
		}
	}
}

func TestStyles(t *testing.T) {
	for code, want := range map[string]style{
		"General": plain, "": plain, "@": plain, "0": plain, "0.00": shaped, "#,##0": shaped, "0.0E+00": shaped, "0%": percentStyle, "0.0 %": percentStyle,
		"yyyy-mm-dd": dayStyle, "d/m/yy": dayStyle, "mmm": dayStyle, "[$-409]d-mmm-yy;@": dayStyle, "yyyy-mm-dd hh:mm": dayStyle,
		"hh:mm": timeStyle, "[h]:mm:ss": timeStyle, "mm:ss": timeStyle, "h:mm AM/PM": timeStyle,
		`0.0" mg"`: shaped, `0 \d`: shaped, "[Red]0.0": shaped, `0;"d"`: shaped, `0_d`: shaped, `"unclosed d`: shaped, `[unclosed d`: shaped, `General" d"`: shaped,
	} {
		if got := styleOf(code); got != want {
			t.Errorf("%q is %d, want %d", code, got, want)
		}
	}
}

func TestPlaces(t *testing.T) {
	for _, c := range []struct {
		column int
		want   string
	}{{1, "A"}, {26, "Z"}, {27, "AA"}, {702, "ZZ"}, {703, "AAA"}, {16384, "XFD"}} {
		if got := ColumnName(c.column); got != c.want {
			t.Errorf("column %d is %s, want %s", c.column, got, c.want)
		}
		if column, row, ok := parseCell(strings.ToLower(c.want) + "7"); column != c.column || row != 7 || !ok {
			t.Errorf("%s7 is column %d, row %d", c.want, column, row)
		}
	}
	for _, name := range []string{"", "A", "7", "A0", "A+1", "A-1", "XFE1", "A1048577", "A1B", "Ñ1"} {
		if _, _, ok := parseCell(name); ok {
			t.Errorf("%q was taken for a cell", name)
		}
	}
	if r, err := parseRange("$B$3:A1"); err != nil || r.String() != "A1:B3" {
		t.Errorf("got %v, %v", r, err)
	}
}

func TestEscapes(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"", ""}, {"a", "a"}, {"_x000D_", "\r"}, {"a_x0041_b", "aAb"}, {"_x005F_x0041_", "_x0041_"}, {"_x", "_x"}, {"_x00_", "_x00_"}, {"_xZZZZ_", "_xZZZZ_"}, {"_x_x0041_", "_xA"}, {"_xD800_", "\uFFFD"},
	} {
		if got := unescaped(c.text); got != c.want {
			t.Errorf("%q is %q, want %q", c.text, got, c.want)
		}
	}
}

// Every limit has its error.
func TestLimits(t *testing.T) {
	data := written(t, []Value{TextValue(strings.Repeat("x", 3000)), NumberValue(1), NumberValue(2)})
	for name, c := range map[string]struct {
		change func(*Limits)
		want   error
	}{
		"none":     {func(*Limits) {}, nil},
		"unpacked": {func(l *Limits) { l.Unpacked = 5000 }, ErrUnpackedSize},
		"parts":    {func(l *Limits) { l.Parts = 3 }, ErrTooManyParts},
		"columns":  {func(l *Limits) { l.Columns = 2 }, ErrTooManyColumns},
		"text":     {func(l *Limits) { l.Text = 2000 }, ErrTextTooLong},
	} {
		limits := DefaultLimits()
		c.change(&limits)
		if _, err := all(t, data, limits); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		}
	}
}

// What a workbook would change or cut is refused when it is written.
func TestNotStorable(t *testing.T) {
	for name, v := range map[string]Value{
		"long": TextValue(strings.Repeat("x", MaxText+1)), "control": TextValue("a\x00b"), "not UTF-8": TextValue("\xff"), "not a character": TextValue("\uFFFE"),
		"NaN": NumberValue(nan()), "early": DayValue(1900, time.February, 28), "late": DayValue(10000, time.January, 1),
	} {
		b, err := NewBuilder()
		if err != nil {
			t.Fatal(err)
		}
		s, err := b.Sheet("Plates")
		if err != nil {
			t.Fatal(err)
		}
		if err := s.Row(Value{}, v); err == nil || !strings.Contains(err.Error(), "cell B1") {
			t.Errorf("%s: %v", name, err)
		}
	}
	if b, err := NewBuilder(); err != nil {
		t.Error(err)
	} else if _, err := b.WriteTo(io.Discard); err == nil {
		t.Error("a workbook without sheets was written")
	}
}

func nan() float64 { zero := 0.0; return zero / zero }

// Equal calls make equal bytes, with several sheets too.
func TestSteadyBytes(t *testing.T) {
	make := func() []byte {
		b, err := NewBuilder()
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range []string{"a", "b", "c", "d", "e"} {
			s, err := b.Sheet(name)
			if err != nil {
				t.Fatal(err)
			}
			if err := errors.Join(s.Header("x", "=y"), s.Row(NumberAs(1, "0.00"), TextValue(name))); err != nil {
				t.Fatal(err)
			}
		}
		var out bytes.Buffer
		if _, err := b.WriteTo(&out); err != nil {
			t.Fatal(err)
		}
		return out.Bytes()
	}
	first := make()
	for range 10 {
		if !bytes.Equal(first, make()) {
			t.Fatal("equal calls made different bytes")
		}
	}
	sheets, err := all(t, first, DefaultLimits())
	if err != nil || len(sheets) != 5 || sheets["d"][1][1] != (Cell{Text, "d"}) || sheets["e"][0][1] != (Cell{Text, "=y"}) {
		t.Errorf("got %v, %v", sheets, err)
	}
}

type brokenFile struct{}

var errBroken = errors.New("the disk is gone")

func (brokenFile) ReadAt([]byte, int64) (int, error) { return 0, errBroken }

func TestErrorOfTheFile(t *testing.T) {
	if _, err := Open(brokenFile{}, 1000, DefaultLimits()); !errors.Is(err, errBroken) {
		t.Errorf("got %v", err)
	}
}
