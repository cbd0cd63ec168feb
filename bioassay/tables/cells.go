package tables

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"time"

	"vialwise/bioassay"
	"vialwise/bioassay/tables/workbook"
)

// spreadsheetErrors are what spreadsheets show instead of a value they cannot
// compute. A cell of # signs is a column too narrow for its number.
var spreadsheetErrors = []string{"#REF!", "#N/A", "#DIV/0!", "#VALUE!", "#NAME?", "#NULL!", "#NUM!", "#SPILL!", "#CALC!", "#BUSY!", "#ERROR!"}

func isSpreadsheetError(s string) bool {
	if s == "" || s[0] != '#' {
		return false
	}
	if len(s) >= 3 && strings.Trim(s, "#") == "" {
		return true
	}
	for _, e := range spreadsheetErrors {
		if strings.EqualFold(s, e) {
			return true
		}
	}
	return false
}

func spreadsheetFault() *fault {
	return &fault{SpreadsheetError, "the spreadsheet wrote an error instead of a value",
		"repair the cell in the spreadsheet, widen its column, and export again"}
}

// readText reads a cell of text. A number or a day that a workbook stores there
// is not what was entered; loose columns, of remarks, take a day all the same.
func (s *sheet) readText(cell int, loose bool) (string, *fault) {
	text := s.cells[cell]
	if isSpreadsheetError(text) {
		return "", spreadsheetFault()
	}
	if s.book != nil {
		if f := s.textKind(cell, text, loose); f != nil {
			return "", f
		}
	}
	if bare := unprotected(text); bare != text {
		s.note(ProtectedText, cell, text, bare)
		return bare, nil
	}
	return text, nil
}

func (s *sheet) textKind(cell int, text string, loose bool) *fault {
	switch kind := s.book.kind(cell); {
	case kind == workbook.Failed:
		return spreadsheetFault()
	case kind == workbook.Date && !loose:
		return &fault{SpreadsheetDate, "the cell holds a date, probably made of the text by a spreadsheet",
			"format the column as text and enter it again from the record"}
	case kind == workbook.Date:
		s.note(CellDate, cell, s.book.dayNumber(cell), text)
	case kind == workbook.Shaped || kind == workbook.Percent || kind == workbook.Number && !digitsOnly(text):
		s.note(NumberAsText, cell, text, "")
	}
	return nil
}

// label and remark read texts of the two kinds.
func label(s *sheet, cell int) (string, *fault)  { return s.readText(cell, false) }
func remark(s *sheet, cell int) (string, *fault) { return s.readText(cell, true) }

// numeral returns a reader of numbers that are written as parse has it.
func numeral[T any](parse func(string) (T, *fault)) func(*sheet, int) (T, *fault) {
	return func(s *sheet, cell int) (v T, f *fault) {
		text := s.cells[cell]
		if s.book != nil {
			if f := numberKind(s.book.kind(cell)); f != nil {
				return v, f
			}
		}
		if s.marksCount(cell) {
			v, f = parseMarked(s, cell, text, parse)
		} else {
			v, f = parse(text)
		}
		if f == nil && s.book != nil && s.book.isText(cell) {
			s.note(TextNumber, cell, text, "")
		}
		return v, f
	}
}

// numberKind is the fault of a cell of a workbook that is not to be read as a
// number, whatever digits it stores.
func numberKind(kind workbook.Kind) *fault {
	switch kind {
	case workbook.Failed:
		return spreadsheetFault()
	case workbook.Date:
		return datedFault()
	case workbook.Percent:
		return &fault{NotANumber, "the cell is shown as a percentage, and stores a hundredth of it", "format it as a plain number and enter it anew"}
	}
	return nil
}

var (
	count         = numeral(parseCount)
	concentration = numeral(parseConcentration)
	hours         = numeral(func(s string) (bioassay.Optional, *fault) {
		v, f := parseHours(s)
		return bioassay.Known(v), f
	})
)

// roleWords are the words for a role in English and Spanish (common practice),
// as keyOf writes them.
var roleWords = map[string]bioassay.Role{"campo": bioassay.RoleField, "linea_base": bioassay.RoleBaseline, "linea_de_base": bioassay.RoleBaseline}

// role reads field or baseline.
func role(s *sheet, cell int) (bioassay.Role, *fault) {
	text := s.cells[cell]
	if isSpreadsheetError(text) {
		return 0, spreadsheetFault()
	}
	r, err := bioassay.ParseRole(strings.ToLower(text))
	if err == nil {
		return r, nil
	}
	if r, ok := roleWords[keyOf(text)]; ok {
		s.note(WordTranslated, cell, text, r.String())
		return r, nil
	}
	return 0, &fault{BadRole, "the role is neither field nor baseline", "enter field, enter baseline for susceptible mites, or leave the cell empty for field; controls are marked by concentration 0"}
}

// answerWords are further words for a yes or a no.
var answerWords = map[string]bioassay.Answer{"si": bioassay.Yes, "verdadero": bioassay.Yes, "falso": bioassay.No}

// answer reads a yes or a no, in the words and cases that the schema lists.
func answer(s *sheet, cell int) (bioassay.Answer, *fault) {
	text := s.cells[cell]
	switch text {
	case "yes", "Yes", "YES", "true", "True", "TRUE", "1":
		return bioassay.Yes, nil
	case "no", "No", "NO", "false", "False", "FALSE", "0":
		return bioassay.No, nil
	}
	if isSpreadsheetError(text) {
		return 0, spreadsheetFault()
	}
	if a, ok := answerWords[keyOf(text)]; ok {
		s.note(WordTranslated, cell, text, a.String())
		return a, nil
	}
	return 0, &fault{BadBoolean, "this is neither a yes nor a no", "enter yes or no, or leave the cell empty"}
}

const firstYear = 1900 // no earlier date can be that of an assay

// date reads an ISO 8601 date, or one that begins with the year, which nobody
// follows with the day. Everything else is refused, however plain it looks: the
// next row may be the one that is not.
func date(s *sheet, cell int) (bioassay.Date, *fault) {
	text := s.cells[cell]
	d, err := bioassay.ParseDate(text)
	if err != nil {
		iso, ok := yearFirst(text)
		if !ok {
			if isSpreadsheetError(text) {
				return d, spreadsheetFault()
			}
			return d, badDate(text)
		}
		d = iso
	}
	switch {
	case d.Year < firstYear:
		return d, &fault{BadDate, fmt.Sprintf("the year is before %d", firstYear), "correct the year"}
	case err != nil:
		s.note(YearFirstDate, cell, text, d.String())
	case s.book != nil && s.book.kind(cell) == workbook.Date:
		s.note(CellDate, cell, s.book.dayNumber(cell), d.String())
	}
	return d, nil
}

// yearFirst reads 2031/4/9 and its like.
func yearFirst(s string) (bioassay.Date, bool) {
	m := yearStart.FindStringSubmatch(s)
	if m == nil {
		return bioassay.Date{}, false
	}
	d, err := bioassay.ParseDate(m[1] + "-" + two(m[3]) + "-" + two(m[4]))
	return d, err == nil
}

// badDate says what a date that is not ISO 8601 may have been.
func badDate(s string) *fault {
	if len(s) == 5 && digitsOnly(s) {
		// Day 0 of the usual count of spreadsheets is the last but one of 1899.
		// Its day 60 never existed, which matters only before March 1900.
		days, _ := strconv.Atoi(s)
		day := bioassay.DateOf(time.Date(1899, 12, 30+days, 0, 0, 0, 0, time.UTC))
		return &fault{BadDate, fmt.Sprintf("this is the serial number of a spreadsheet for a day, probably %v", day),
			"format the column as text and enter the date as year-month-day"}
	}
	switch both := dayAndMonth.FindStringSubmatch(s); {
	case isoShape.MatchString(s), yearStart.MatchString(s):
		return &fault{BadDate, "there is no such day in the calendar", "correct the day or the month"}
	case both != nil && both[1] != both[2] && atMost12(both[1]) && atMost12(both[2]):
		return &fault{BadDate, "the date can be read with the day or with the month first", bothReadings(both[1], both[2], both[3])}
	case isoStart.MatchString(s):
		return &fault{BadDate, "the cell holds more than a date", "leave only " + s[:len("2031-04-09")]}
	case eightDigits.MatchString(s):
		return &fault{BadDate, "the date is written without marks between year, month and day", "write " + s[:4] + "-" + s[4:6] + "-" + s[6:] + " if that is the day"}
	case both != nil && len(both[3]) == 4:
		if d, ok := onlyReading(both[1], both[2], both[3]); ok {
			return &fault{BadDate, "the date does not begin with the year", "write " + d.String()}
		}
	}
	return &fault{BadDate, "the date is not written as year-month-day with two digits for month and day", writeISO}
}

// two writes a day or a month with two digits.
func two(s string) string { return strings.Repeat("0", max(0, 2-len(s))) + s }

// onlyReading is the day that day, month and year are, in whatever order the
// first two stand.
func onlyReading(a, b, year string) (bioassay.Date, bool) {
	day, month := a, b
	if !atMost12(month) {
		day, month = b, a
	}
	d, err := bioassay.ParseDate(year + "-" + two(month) + "-" + two(day))
	return d, err == nil
}

// bothReadings writes the two days that an ambiguous date may be.
func bothReadings(a, b, year string) string {
	if len(year) != len("2031") {
		return writeISO
	}
	a, b = two(a), two(b)
	return fmt.Sprintf("write %s-%s-%s or %[1]s-%[3]s-%[2]s, whichever it is", year, b, a)
}

const writeISO = "write it as year-month-day, such as 2031-04-09"

var (
	isoShape    = regexp.MustCompile(`^[0-9]{4}-[0-9]{2}-[0-9]{2}$`)
	yearStart   = regexp.MustCompile(`^([0-9]{4})([-/.])([0-9]{1,2})[-/.]([0-9]{1,2})$`)
	eightDigits = regexp.MustCompile(`^(19|20)[0-9]{6}$`)
	isoStart    = regexp.MustCompile(`^[0-9]{4}-[0-9]{2}-[0-9]{2}[T ]`)
	dayAndMonth = regexp.MustCompile(`^([0-9]{1,2})[-/. ]([0-9]{1,2})[-/. ]([0-9]{2}|[0-9]{4})$`)
)

func atMost12(s string) bool {
	n, err := strconv.Atoi(s)
	return err == nil && n >= 1 && n <= 12
}
