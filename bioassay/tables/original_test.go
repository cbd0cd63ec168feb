package tables

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"vialwise/bioassay"
)

// originalRows returns all rows of the original.
func originalRows(t interface{ Fatal(...any) }, name string, r io.Reader) (rows []OriginalRow, o *Original) {
	o, err := OpenOriginal(name, r)
	if err != nil {
		t.Fatal(err)
	}
	for {
		row, err := o.Next()
		if err == io.EOF {
			return rows, o
		}
		if err != nil {
			t.Fatal(err)
		}
		row.Cells = slices.Clone(row.Cells)
		rows = append(rows, row)
	}
}

// TestOriginalKeepsBlanks shows the cells with what the reader takes off.
func TestOriginalKeepsBlanks(t *testing.T) {
	text := "\xEF\xBB\xBFsep=;\r\nEnsayo; dosis;expuestos;muertos ;nota\r\n\r\n A ;1,5; 10;2;\"two\r\nlines; \"\"x\"\"\"\r\n;;;;\r\nB;2,5;10 ; \"3\";\r\n"
	rows, o := originalRows(t, "a.csv", strings.NewReader(text))
	want := []OriginalRow{
		{Line: 2, Header: true, Cells: []string{"Ensayo", " dosis", "expuestos", "muertos ", "nota"}},
		{Line: 3, Cells: []string{""}},
		{Line: 4, Cells: []string{" A ", "1,5", " 10", "2", "two\nlines; \"x\""}},
		{Line: 6, Cells: []string{"", "", "", "", ""}},
		{Line: 7, Cells: []string{"B", "2,5", "10 ", " 3", ""}},
	}
	if !reflect.DeepEqual(rows, want) {
		t.Errorf("%+v\nwant\n%+v", rows, want)
	}
	if names := o.Columns(); !slices.Equal(names, []string{"assay", "concentration", "exposed", "dead", "note"}) {
		t.Errorf("columns %q", names)
	}
	if f := o.Form(); f != (Form{Encoding: "UTF-8", Mark: true, Delimiter: "semicolon", Returns: true, SignLine: true}) {
		t.Errorf("form %+v", f)
	}
}

// TestOriginalOfWorkbook hands out the rows of a workbook, as stored.
func TestOriginalOfWorkbook(t *testing.T) {
	var b bytes.Buffer
	a := bioassay.Assay{Name: "A", Containers: []bioassay.Container{{Concentration: 1.5, Exposed: 10, Dead: 3}, {Exposed: 10}}}
	if err := WriteWorkbook(&b, []bioassay.Assay{a}); err != nil {
		t.Fatal(err)
	}
	rows, o := originalRows(t, "a.xlsx", bytes.NewReader(b.Bytes()))
	want := []OriginalRow{
		{Sheet: "counts", Line: 1, Header: true, Cells: []string{"assay", "concentration", "exposed", "dead"}},
		{Sheet: "counts", Line: 2, Cells: []string{"A", "1.5", "10", "3"}},
		{Sheet: "counts", Line: 3, Cells: []string{"A", "0", "10", "0"}},
	}
	if !reflect.DeepEqual(rows, want) || !o.Form().Workbook {
		t.Errorf("%+v\nwant\n%+v", rows, want)
	}
}

// TestOriginalRefuses gives the errors of the header.
func TestOriginalRefuses(t *testing.T) {
	if _, err := OpenOriginal("a.csv", strings.NewReader("")); !errors.Is(err, EmptyFile) {
		t.Errorf("got %v", err)
	}
}

// TestSplitterAgainstReader compares the splitter with the CSV reader of the
// standard library, blanks apart, on every text that this accepts.
func TestSplitterAgainstReader(t *testing.T) {
	compared := 0
	rapid.Check(t, func(t *rapid.T) {
		sign := rapid.SampledFrom([]rune{',', ';', '\t'}).Draw(t, "sign")
		pieces := rapid.SliceOfN(rapid.SampledFrom([]string{"a", "é", " ", "\u00A0", "\"", "\"\"", "\n", string(sign), "\"b\nc\"", "\"d" + string(sign) + "\""}), 0, 20)
		text := strings.Join(pieces.Draw(t, "pieces"), "")
		r := csv.NewReader(strings.NewReader(text))
		r.Comma, r.FieldsPerRecord, r.TrimLeadingSpace = sign, -1, sign != '\t'
		want, err := r.ReadAll()
		if err != nil {
			return
		}
		compared++
		s := &splitter{r: bufio.NewReader(strings.NewReader(text)), sign: sign, line: 1, quotesAfterBlanks: sign != '\t'}
		var got [][]string
		for {
			cells, line, err := s.next()
			if err == io.EOF {
				break
			}
			if begins := 1 + strings.Count(text, "\n"); line > begins {
				t.Fatalf("line %d of %d", line, begins)
			}
			got = append(got, slices.Clone(cells))
		}
		if !reflect.DeepEqual(trimmed(got), trimmed(want)) {
			t.Fatalf("%q splits into %q, want %q", text, got, want)
		}
	})
	if compared == 0 {
		t.Error("no text was accepted")
	}
}

// trimmed drops blanks around the cells, and rows that hold nothing else.
func trimmed(rows [][]string) (out [][]string) {
	for _, row := range rows {
		cells := make([]string, len(row))
		for i, cell := range row {
			cells[i] = trim(cell)
		}
		if len(cells) > 1 || cells[0] != "" {
			out = append(out, cells)
		}
	}
	return out
}

// TestOriginalDay: a date that a workbook stores as a number is handed out as
// that number, so that turning it into a day can be listed as a change. Day
// 47947 is 2031-04-09, as LibreOffice 7.4.7 stores it.
func TestOriginalDay(t *testing.T) {
	assay := bioassay.Assay{Name: "A", TestedOn: bioassay.Date{Year: 2031, Month: 4, Day: 9}, Containers: []bioassay.Container{{Concentration: 1, Exposed: 10, Dead: 4}}}
	var book bytes.Buffer
	if err := WriteWorkbook(&book, []bioassay.Assay{assay}); err != nil {
		t.Fatal(err)
	}
	o, err := OpenOriginal("counts.xlsx", bytes.NewReader(book.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	var last OriginalRow
	for {
		row, err := o.Next()
		if err != nil {
			break
		}
		last = row
	}
	at := slices.Index(o.Columns(), "tested_on")
	if at < 0 || at >= len(last.Cells) || last.Cells[at] != "47947" {
		t.Errorf("column %d of %q", at, last.Cells)
	}
	table, err := Read("counts.xlsx", bytes.NewReader(book.Bytes()))
	if err != nil || table.Assays[0].TestedOn != assay.TestedOn {
		t.Errorf("%v, %v", table, err)
	}
}
