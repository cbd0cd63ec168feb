package tables

import (
	"bytes"
	"errors"
	"sync"
	"testing"

	"vialwise/bioassay/tables/internal/corpus"
)

var wholeCorpus = sync.OnceValue(corpus.Files)

// corpusFile returns a file of the corpus.
func corpusFile(t *testing.T, name string) []byte {
	t.Helper()
	for _, f := range wholeCorpus() {
		if f.Name == name {
			return f.Data
		}
	}
	t.Fatalf("there is no file %s", name)
	return nil
}

// What is said of workbooks names sheet and cell as a spreadsheet does.
func TestErrorTextOfWorkbooks(t *testing.T) {
	for name, want := range map[string]string{
		"book-far-down.xlsx":             `f.xlsx: sheet "Plates", cell D7 (dead): found "10": more dead than exposed (9); correct one of the two counts`,
		"book-merged-header.xlsx":        `f.xlsx: sheet "Plates", cell A1 (assay): the cells of the first filled row are merged: A1:B1; split them and give every column its name; delete a title above the header`,
		"book-merged-cells.xlsx":         `f.xlsx: sheet "Plates", cell A2 (assay): the cells are merged: A2:A3; split them and fill in every one of them`,
		"book-formula-unstored.xlsx":     `f.xlsx: sheet "Plates", cell B2 (concentration): the cell holds a formula without a stored result; open the workbook in a spreadsheet and save it anew, or enter the value`,
		"book-two-with-one-assay.xlsx":   `f.xlsx: sheet "2032", cell A2 (assay): found "A": an assay of this name is also in sheet "2031", row 2; give one of the two another name, or put all rows of the assay into one sheet`,
		"book-no-table.xlsx":             `f.xlsx: no sheet of the workbook begins with the header of a count table: sheet "Remarks" begins with read on Monday; sheet "Empty" is empty; the first filled row of a sheet must hold the column names assay, concentration, exposed, dead`,
		"book-percent.xlsx":              `f.xlsx: sheet "Plates", cell B2 (concentration): found "0.05": the cell is shown as a percentage, and stores a hundredth of it; format it as a plain number and enter it anew`,
		"book-day-for-dose.xlsx":         `f.xlsx: sheet "Plates", cell B2 (concentration): found "2026-02-01": the number was turned into a date, probably by a spreadsheet; format the column as plain numbers and enter it again from the record`,
		"encrypted.xlsx":                 `f.xlsx: the workbook is protected by a password; save it without one`,
		"open-document.ods":              `f.xlsx: this is an OpenDocument file (ODS or a relative of it); save the table as CSV in UTF-8, or as an XLSX workbook`,
		"bomb-declared.xlsx":             `f.xlsx: the workbook is too large once unpacked: more than 1024 MiB; save it anew from a spreadsheet, or split it into several files`,
		"zip-truncated.xlsx":             `f.xlsx: the workbook is damaged: zip: not a valid zip file; open it in a spreadsheet, save it anew and try again`,
		"parts-sheet-breaks-off.xlsx":    `f.xlsx: sheet "Plates": the workbook is damaged: a part breaks off; open it in a spreadsheet, save it anew and try again`,
		"parts-text-index-negative.xlsx": `f.xlsx: sheet "Plates": the workbook is damaged: a cell refers to text "-1" of 0; open it in a spreadsheet, save it anew and try again`,
	} {
		_, err := Read("f.xlsx", bytes.NewReader(corpusFile(t, name)))
		if err == nil || err.Error() != want {
			t.Errorf("%s: got\n%v\nwant\n%s", name, err, want)
		}
	}
}

// Days and texts of workbooks come out as they are shown or meant. 47947 days
// after 30 December 1899 is 9 April 2031, and 46485 after 1 January 1904 the
// same day, by hand; 46054 is 31 days after 1 January 2026, 46023.
func TestValuesOfWorkbooks(t *testing.T) {
	for name, want := range map[string]string{
		"book-day.xlsx": "2031-04-09", "book-day-in-own-format.xlsx": "2031-04-09", "book-day-from-1904.xlsx": "2031-04-09", "book-day-iso-type.xlsx": "2031-04-09",
	} {
		table, err := Read("f.xlsx", bytes.NewReader(corpusFile(t, name)))
		if err != nil || table.Assays[0].CollectedOn.String() != want {
			t.Errorf("%s: %v, %v", name, table, err)
		}
	}
	for name, want := range map[string]string{
		"book-rich.xlsx": "half open", "book-spaces.xlsx": "two", "book-formula-like.xlsx": "=1+1", "book-escaped-low-line.xlsx": "_x001B_",
		"book-number-in-note.xlsx": "7.5", "book-day-in-note.xlsx": "2026-02-01",
	} {
		table, err := Read("f.xlsx", bytes.NewReader(corpusFile(t, name)))
		if err != nil || table.Assays[0].Containers[0].Note != want {
			t.Errorf("%s: %v, %v", name, table, err)
		}
	}
	for name, want := range map[string]float64{"book-rounded.xlsx": 1.23456, "book-seventeen-digits.xlsx": 0.1, "book-exponent.xlsx": 1e-3, "book-formula.xlsx": 0.5, "book-decimal-comma-text.xlsx": 0.5} {
		table, err := Read("f.xlsx", bytes.NewReader(corpusFile(t, name)))
		if err != nil || table.Assays[0].Containers[0].Concentration != want {
			t.Errorf("%s: %v, %v", name, table, err)
		}
	}
}

// A wide sheet of a workbook is found by its columns, or by its name.
func TestWideWorkbook(t *testing.T) {
	data := corpusFile(t, "book-remarks-beside.xlsx")
	m := Mapping{Fixed: map[string]string{"assay": "W"}, Columns: map[string]string{"concentration": "concentration", "note": "assay"},
		Replicates: []Replicate{{Container: "1", Exposed: "exposed", Dead: "dead"}}}
	for _, name := range []string{"", "Counts"} {
		m.Sheet = name
		table, err := ReadWide("f.xlsx", bytes.NewReader(data), m)
		if err != nil || rowsOf(table) != "W 1 1 2/9@2" || table.Assays[0].Containers[0].Note != "A" {
			t.Errorf("sheet %q: %v, %v", name, table, err)
		}
	}
	m.Sheet = "Else"
	if _, err := ReadWide("f.xlsx", bytes.NewReader(data), m); !errors.Is(err, NoTableSheet) {
		t.Errorf("got %v", err)
	}
}
