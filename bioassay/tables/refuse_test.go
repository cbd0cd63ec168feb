package tables

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
)

// spot is where an error stands and what it is.
type spot struct {
	line, column int
	code         Code
}

const (
	least = "assay,concentration,exposed,dead\n"
	semi  = "assay;concentration;exposed;dead\n"
)

// wideText is ASCII text in UTF-16, least significant byte first.
func wideText(text string) string {
	var b strings.Builder
	for i := range len(text) {
		b.WriteByte(text[i])
		b.WriteByte(0)
	}
	return b.String()
}

// refused are files that must not be read, with every error they have.
var refused = []struct {
	name, text string
	want       []spot
}{
	// The file as a whole.
	{"nothing", "", []spot{{0, 0, EmptyFile}}},
	{"spaces and breaks", " \r\n\n\t\n", []spot{{0, 0, EmptyFile}}},
	{"byte-order mark alone", "\ufeff", []spot{{0, 0, EmptyFile}}},
	{"header alone", least, []spot{{0, 0, NoData}}},
	{"header and blank rows", least + ",,,\n\n,,,\n", []spot{{0, 0, NoData}}},
	{"UTF-16 that ends within a character", "\xff\xfe" + wideText(least+"A,1,9,5\nB,1,9,5") + "x", []spot{{3, 4, BadEncoding}}},
	{"UTF-16 with half of a pair", "\xff\xfe" + wideText(least+"A") + "\x00\xd8" + wideText("B,1,9,5\n"), []spot{{2, 1, BadEncoding}}},
	{"UTF-16 with the second half first", "\xff\xfe" + wideText(least+"A") + "\x00\xdc" + wideText("B,1,9,5\n"), []spot{{2, 1, BadEncoding}}},
	{"UTF-16 of no table", "\xff\xfe" + wideText("hello"), []spot{{1, 0, MissingColumn}}},
	{"UTF-16 of blanks", "\xff\xfe" + wideText(" \n\n"), []spot{{0, 0, EmptyFile}}},
	{"UTF-32", "\xff\xfe\x00\x00a\x00\x00\x00", []spot{{0, 0, BadEncoding}}},
	{"beginning of a workbook", "PK\x03\x04\x14\x00\x06\x00", []spot{{0, 0, DamagedWorkbook}}},
	{"old workbook", "\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1", []spot{{0, 0, BadEncoding}}},
	{"Windows-1252 beside UTF-8", "assay,apiary,concentration,exposed,dead\nA,\u00fc,1,10,5\nA,Gr\xfcn,1,10,5\nA,Gr\xfcn,x,10,5\n", []spot{{3, 2, BadEncoding}}},
	{"no encoding that is known", "assay,concentration,exposed,dead,Gr\x81\xdfe\nA,1,10,5,x\n", []spot{{1, 5, BadEncoding}}},
	{"Windows-1252 and a control byte", "assay,concentration,exposed,dead,note\nA,1,10,5,Gr\xfcn\x01\n", []spot{{2, 5, BadEncoding}}},
	{"PNG", "\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", []spot{{0, 0, BadEncoding}}},
	{"JPEG", "\xff\xd8\xff\xe0\x00\x10JFIF\x00", []spot{{0, 0, BadEncoding}}},
	{"PDF", "%PDF-1.7\n" + least + "A,1,10,5\n", []spot{{0, 0, BadEncoding}}},
	{"beginning of an archive", zipped("photo.txt"), []spot{{0, 0, DamagedWorkbook}}},
	{"control byte in the header", "assay,concentration,exposed,dead,\x01\nA,1,10,5,x\n", []spot{{0, 0, BadEncoding}}},
	{"control byte far to the right in the header", strings.Repeat("g", 1100) + ",assay,concentration,exposed,dead,\x01\nx,A,1,10,5,x\n", []spot{{1, 6, ControlCharacter}}},
	{"many control bytes", least + "A,1,10,5\n\x01\x02\x03\x04\x05\x06\n", []spot{{0, 0, BadEncoding}}},
	{"zeros", strings.Repeat("\x00", 2000), []spot{{0, 0, BadEncoding}}},
	{"escape in a cell", least + "A\x1b[31m,1,10,5\nB,x,10,5\n", []spot{{2, 1, ControlCharacter}, {3, 2, NotANumber}}},
	{"delete in a cell far below", least + strings.Repeat("A,1,10,5\n", 300) + "A,1\x7f,10,5\n", []spot{{302, 2, ControlCharacter}}},
	{"NUL in a cell", least + "A\x00B,1,10,5\nB,x,10,5\n", []spot{{2, 1, NulByte}, {3, 2, NotANumber}}},

	// The header.
	{"semicolons and a column missing", "\n\"assay\";\"concentration\"\n", []spot{{2, 0, MissingColumn}}},
	{"semicolons in the rows alone", least + "A;1;10;5\n", []spot{{2, 2, RowLength}}},
	{"bars", "assay|concentration|exposed|dead\n", []spot{{1, 0, WrongDelimiter}}},
	{"no assay", "concentration,exposed,dead\n1,10,5\n", []spot{{1, 0, MissingColumn}}},
	{"no header", "A,1,10,5\nA,2,10,6\n", []spot{{1, 0, MissingColumn}}},
	{"one word", "hello\n", []spot{{1, 0, MissingColumn}}},
	{"three missing", "assay,level,n,kill\nA,1,10,5\n", []spot{{1, 0, MissingColumn}}},
	{"no header, cells alike and empty", "1,1,,1\n", []spot{{1, 0, MissingColumn}}},
	{"no header and a quotation mark", "Dear \"colleague\", hello\n", []spot{{1, 0, MissingColumn}}},
	{"no header and an open quotation mark", "\"Dear colleague,\nhello\n", []spot{{1, 0, MissingColumn}}},
	{"doubled header", "assay,dead,concentration,exposed,Dead \nA,1,1,10,1\n", []spot{{1, 5, DuplicateColumn}}},
	{"doubled unknown header", "assay,dead,concentration,exposed,x,X\nA,1,1,10,1,1\n", []spot{{1, 6, DuplicateColumn}}},
	{"two names of one column", "assay,dead,dose,exposed,concentration\nA,1,1,10,1\n", []spot{{1, 5, DuplicateColumn}}},
	{"too many columns", "assay,concentration,exposed,dead" + strings.Repeat(",x", 1000) + "\n", []spot{{1, 0, TooManyColumns}}},
	{"unnamed column", "assay,,concentration,exposed\nA,1,1,10\n", []spot{{1, 0, MissingColumn}, {1, 2, UnnamedColumn}}},
	{"quote in the header", "assay,conc\"entration,exposed,dead\n", []spot{{1, 2, QuoteError}}},

	// The shape of rows.
	{"short row", least + "A,1,10\n", []spot{{2, 4, RowLength}}},
	{"long row", least + "A,1,10,5,,x\nA,1,10,5\n", []spot{{2, 6, RowLength}}},
	{"decimal comma makes a long row", least + "A,1,5,10,5\n", []spot{{2, 5, RowLength}}},
	{"bare quote", least + "A,1,10,5\nA 5\" vial,1,10,5\nA,x,10,5\n", []spot{{3, 1, QuoteError}, {4, 2, NotANumber}}},
	{"bare quote after a quoted comma", least + "\"A,b\",1\",10,5\n", []spot{{2, 2, QuoteError}}},
	{"text after a closing quote", least + "A,\"1\"0,10,5\nA,x,10,5\n", []spot{{2, 2, QuoteError}}},
	{"quote never closed", least + "A,1,10,5\nA,1,\"10,5\nA,1,10,5\n", []spot{{3, 3, QuoteError}}},

	{"long row", least + "A,1,10,5\n\"" + strings.Repeat("x\n", MaxRowBytes), []spot{{3, 0, RowTooLong}}},

	// Missing values.
	{"no assay name", least + ",1,10,5\n", []spot{{2, 1, MissingValue}}},
	{"no concentration", least + "A,,10,5\n", []spot{{2, 2, MissingValue}}},
	{"no exposed", least + "A,1,,5\n", []spot{{2, 3, MissingValue}}},
	{"no dead, a no-break space", least + "A,1,10,\u00a0\n", []spot{{2, 4, MissingValue}}},
	{"two in a row", least + "A,,,5\n", []spot{{2, 2, MissingValue}, {2, 3, MissingValue}}},

	// Numbers.
	{"word", least + "A,1,ten,5\n", []spot{{2, 3, NotANumber}}},
	{"NaN", least + "A,NaN,10,5\n", []spot{{2, 2, NotANumber}}},
	{"Inf", least + "A,+Inf,10,5\n", []spot{{2, 2, NotANumber}}},
	{"infinity", least + "A,infinity,10,5\n", []spot{{2, 2, NotANumber}}},
	{"hexadecimal", least + "A,0x1p3,0x10,5\n", []spot{{2, 2, NotANumber}, {2, 3, NotANumber}}},
	{"underscores", least + "A,1_0,1_0,5\n", []spot{{2, 2, NotANumber}, {2, 3, NotANumber}}},
	{"plus sign", least + "A,+1,+10,5\n", []spot{{2, 2, NotANumber}, {2, 3, NotANumber}}},
	{"less than", least + "A,<1,10,5\n", []spot{{2, 2, NotANumber}}},
	{"with unit", least + "A,1 ug/mL,10,50%\n", []spot{{2, 2, NotANumber}, {2, 4, NotANumber}}},
	{"control spelt out", least + "A,control,10,0\n", []spot{{2, 2, NotANumber}}},
	{"exponent in a count", least + "A,1,1e1,5\n", []spot{{2, 3, NotANumber}}},
	{"broken exponent", least + "A,1e,10,5\nA,1e+,10,5\nA,e5,10,5\n", []spot{{2, 2, NotANumber}, {3, 2, NotANumber}, {4, 2, NotANumber}}},
	{"point alone", least + "A,.,.,5\n", []spot{{2, 2, NotANumber}, {2, 3, NotANumber}}},
	{"two points", least + "A,1.2.3,10,5\n", []spot{{2, 2, NotANumber}}},
	{"dash", least + "A,1,10,-\n", []spot{{2, 4, NotANumber}}},
	{"decimal comma", least + "A,\"0,5\",10,5\n", []spot{{2, 2, DecimalComma}}},
	{"decimal comma with three digits after zero", least + "A,\"0,125\",10,5\n", []spot{{2, 2, DecimalComma}}},
	{"comma for thousands", least + "A,\"1,000\",10,5\n", []spot{{2, 2, ThousandsMark}}},
	{"comma for thousands and a point", least + "A,\"12,345.5\",10,5\n", []spot{{2, 2, ThousandsMark}}},
	{"space for thousands", least + "A,1 000,10,5\n", []spot{{2, 2, ThousandsMark}}},
	{"narrow space for thousands", least + "A,1\u202f000,10,5\n", []spot{{2, 2, ThousandsMark}}},
	{"apostrophe for thousands", least + "A,1'000,10,5\n", []spot{{2, 2, ThousandsMark}}},
	{"points for thousands", least + "A,1.000.000,10,5\n", []spot{{2, 2, ThousandsMark}}},
	{"point for thousands in a count", least + "A,1,1.000,5\n", []spot{{2, 3, ThousandsMark}}},
	{"negative", least + "A,-1,-10,-5\n", []spot{{2, 2, Negative}, {2, 3, Negative}, {2, 4, Negative}}},
	{"negative zero", least + "A,-0,10,5\n", []spot{{2, 2, Negative}}},
	{"true minus sign", least + "A,\u22121,10,5\n", []spot{{2, 2, Negative}}},
	{"half a mite", least + "A,1,10.5,5\n", []spot{{2, 3, NotWhole}}},
	{"count too large", least + "A,1,1000000001,5\nA,1,99999999999999999999,5\n", []spot{{2, 3, TooLarge}, {3, 3, TooLarge}}},
	{"concentration too large", least + "A,1e16,10,5\nA,1e999,10,5\n", []spot{{2, 2, TooLarge}, {3, 2, TooLarge}}},
	{"concentration too small", least + "A,1e-16,10,5\nA,1e-999,10,5\n", []spot{{2, 2, TooSmall}, {3, 2, TooSmall}}},
	{"Arabic digits", least + "A,\u0661,10,5\n", []spot{{2, 2, NonASCIIDigits}}},
	{"full-width digits", least + "A,1,\uff11\uff10,5\n", []spot{{2, 3, NonASCIIDigits}}},
	{"a half as one sign", least + "A,\u00bd,10,5\n", []spot{{2, 2, NonASCIIDigits}}},
	{"hours", "assay,concentration,exposed,dead,exposure_h,reading_h\nA,1,10,5,24h,-1\nA,1,10,5,1e3,200000\n", []spot{{2, 5, NotANumber}, {2, 6, Negative}, {3, 5, NotANumber}, {3, 6, TooLarge}}},

	// Decimal commas where they may be.
	{"both marks", semi + "A;0,5;10;5\nA;1;10;5\nA;0.25;10;5\nA;1,5;10;5\n", []spot{{4, 2, MixedDecimals}}},
	{"both marks, point first", semi + "A;0.5;10;5\nA;0,25;10;5\n", []spot{{3, 2, MixedDecimals}}},
	{"comma that may group", semi + "A;1,234;10;5\nA;2;10;5\n", []spot{{2, 2, ThousandsMark}}},
	{"point that may group", semi + "A;1.234;10;5\nA;2;10;5\n", []spot{{2, 2, ThousandsMark}}},
	{"point among commas", semi + "A;1.234;10;5\nA;0,5;10;5\nA;2.345;10;5\n", []spot{{2, 2, ThousandsMark}, {4, 2, ThousandsMark}}},
	{"comma among points", semi + "A;0.5;10;5\nA;1,234;10;5\n", []spot{{3, 2, ThousandsMark}}},
	{"both in one number", semi + "A;1.234,5;10;5\nA;1,234.5;10;5\nA;1.234.567;10;5\n", []spot{{2, 2, ThousandsMark}, {3, 2, ThousandsMark}, {4, 2, ThousandsMark}}},
	{"comma in a count", semi + "A;0,5;1,000;5\nA;0,5;10,5;5\n", []spot{{2, 3, ThousandsMark}, {3, 3, NotWhole}}},
	{"tabs", strings.ReplaceAll(semi, ";", "\t") + "A\t0,5\t10\t5\nA\t0.25\t10\t5\n", []spot{{3, 2, MixedDecimals}}},
	{"decimal comma between commas", least + "A,\"0,5\",10,5\n", []spot{{2, 2, DecimalComma}}},
	{"percent sign", semi + "A;5%;10;5\n", []spot{{2, 2, NotANumber}}},

	// What spreadsheets do to numbers.
	{"#REF!", least + "A,#REF!,#N/A,#DIV/0!\n", []spot{{2, 2, SpreadsheetError}, {2, 3, SpreadsheetError}, {2, 4, SpreadsheetError}}},
	{"#VALUE! as a name", least + "#VALUE!,1,10,5\n", []spot{{2, 1, SpreadsheetError}}},
	{"narrow column", least + "A,######,10,5\n", []spot{{2, 2, SpreadsheetError}}},
	{"errors in other columns", "assay,concentration,exposed,dead,role,collected_on,capped_brood,note,unit\nA,1,10,5,#N/A,#N/A,#N/A,#N/A,#N/A\n",
		[]spot{{2, 5, SpreadsheetError}, {2, 6, SpreadsheetError}, {2, 7, SpreadsheetError}, {2, 8, SpreadsheetError}, {2, 9, SpreadsheetError}}},
	{"day and month", least + "A,3-Feb,10,5\n", []spot{{2, 2, SpreadsheetDate}}},
	{"month and day", least + "A,Feb-03,10,5\n", []spot{{2, 2, SpreadsheetDate}}},
	{"day, month and year", least + "A,3-Feb-26,10,5\n", []spot{{2, 2, SpreadsheetDate}}},
	{"other language", least + "A,3. Mär,10,5\n", []spot{{2, 2, SpreadsheetDate}}},
	{"ISO date as a count", least + "A,1,2026-02-03,5\n", []spot{{2, 3, SpreadsheetDate}}},
	{"ISO date and time as a number", least + "A,2026-02-03 00:00:00,10,5\n", []spot{{2, 2, SpreadsheetDate}}},
	{"date with points", least + "A,03.02.2026,10,5\n", []spot{{2, 2, SpreadsheetDate}}},
	{"date with slashes", least + "A,3/2/2026,10,5\n", []spot{{2, 2, SpreadsheetDate}}},

	// Counts that contradict each other.
	{"more dead than exposed", least + "A,1,10,12\n", []spot{{2, 4, DeadAboveExposed}}},
	{"dead and moribund", "assay,concentration,exposed,moribund,dead\nA,1,10,4,7\n", []spot{{2, 5, DeadAboveExposed}}},
	{"dead and missing", "assay,concentration,exposed,missing,dead\nA,1,10,4,7\n", []spot{{2, 5, DeadAboveExposed}}},

	// Dates, roles, answers.
	{"days of one reading", "assay,concentration,exposed,dead,tested_on\nA,1,10,5,25/04/2031\nB,1,10,5,4-25-2031\nC,1,10,5,04.04.2031\nD,1,10,5,25/04/31\n", []spot{{2, 5, BadDate}, {3, 5, BadDate}, {4, 5, BadDate}, {5, 5, BadDate}}},
	{"dates", "assay,concentration,exposed,dead,collected_on\n" +
		"A,1,10,5,45123\nB,1,10,5,03/04/2026\nC,1,10,5,2026-2-30\nD,1,10,5,2026-02-30\nE,1,10,5,25.12.2026\nF,1,10,5,2026-02-03T10:00\nG,1,10,5,spring\nH,1,10,5,0206-05-01\nI,1,10,5,20260203\n",
		[]spot{{2, 5, BadDate}, {3, 5, BadDate}, {4, 5, BadDate}, {5, 5, BadDate}, {6, 5, BadDate}, {7, 5, BadDate}, {8, 5, BadDate}, {9, 5, BadDate}, {10, 5, BadDate}}},
	{"role", "assay,concentration,exposed,dead,role\nA,0,10,0,control\n", []spot{{2, 5, BadRole}}},
	{"answer", "assay,concentration,exposed,dead,tested_blind,capped_brood\nA,1,10,5,maybe,2\n", []spot{{2, 5, BadBoolean}, {2, 6, BadBoolean}}},

	// Rows of one assay that disagree.
	{"apiary", "apiary,assay,concentration,exposed,dead\nCove,A,1,10,5\nNess,B,1,10,5\n,A,2,10,6\nNess,A,4,10,7\n", []spot{{5, 1, ConflictingField}}},
	{"role", "role,assay,concentration,exposed,dead\nfield,A,1,10,5\nbaseline,A,1,10,5\n", []spot{{3, 1, ConflictingField}}},
	{"date", "tested_on,assay,concentration,exposed,dead\n2031-04-09,A,1,10,5\n2031-04-10,A,1,10,5\n", []spot{{3, 1, ConflictingField}}},
	{"unit of the header and of the column", "assay,concentration (ug/mL),unit,exposed,dead\nA,1,ug/mL,10,5\nB,1,ng,10,5\n", []spot{{3, 3, ConflictingField}}},
	{"hours", "exposure_h,assay,concentration,exposed,dead\n24,A,1,10,5\n24.0,A,1,10,5\n6,A,1,10,5\n", []spot{{4, 1, ConflictingField}}},

	// Lines are counted as an editor counts them.
	{"after a quoted break", "assay,concentration,exposed,dead,note\nA,1,10,5,\"two\nlines\"\nA,x,10,5,\n", []spot{{4, 2, NotANumber}}},
	{"below a quoted break in the same row", "assay,concentration,note,exposed,dead\nA,1,\"two\r\nlines\",x,5\n", []spot{{3, 4, NotANumber}}},
	{"quoted break in the header", "assay,concentration,exposed,dead,\"my\nnote\"\nA,1,10,x,\n", []spot{{3, 4, NotANumber}}},
	{"after blank lines", "\n\n" + least + "\n\nA,1,x,5\n", []spot{{6, 3, NotANumber}}},
	{"CRLF", "assay,concentration,exposed,dead\r\n\r\nA,1,x,5\r\n", []spot{{3, 3, NotANumber}}},
	{"lone CR", "assay,concentration,exposed,dead\r\rA,1,x,5\r", []spot{{3, 3, NotANumber}}},
	{"lone CR in a quoted cell", "assay,concentration,exposed,dead,note\nA,1,10,5,\"a\rb\"\nA,1,x,5,\n", []spot{{4, 3, NotANumber}}},
	{"byte-order mark", "\ufeff" + least + "A,1,x,5\n", []spot{{2, 3, NotANumber}}},
	{"errors of many rows", least + "A,x,10,5\nA,1,10,5\nA,1,10,50\n,1,10,5\n", []spot{{2, 2, NotANumber}, {4, 4, DeadAboveExposed}, {5, 1, MissingValue}}},
}

func TestRefused(t *testing.T) {
	for _, c := range refused {
		t.Run(c.name, func(t *testing.T) {
			table, err := Read("f.csv", strings.NewReader(c.text))
			var es Errors
			if table != nil || !errors.As(err, &es) {
				t.Fatalf("got table %v and error %v, want errors only", table, err)
			}
			var got []spot
			for _, e := range es {
				got = append(got, spot{e.Line, e.Column, e.Code})
				if e.File != "f.csv" || e.Message == "" || e.Remedy == "" || strings.Contains(e.Error(), "\n") {
					t.Errorf("not a full error on one line: %#v", e)
				}
				if !errors.Is(err, e.Code) {
					t.Errorf("errors.Is does not find %s", e.Code)
				}
			}
			if !slices.Equal(got, c.want) {
				t.Errorf("got %v\nwant %v\n%v", got, c.want, err)
			}
		})
	}
	if len(refused) < 60 {
		t.Errorf("only %d cases", len(refused))
	}
}

// Every code that a reader can return is reached by some case.
func TestEveryCodeIsReached(t *testing.T) {
	reached := map[Code]bool{}
	for _, c := range refused {
		for _, w := range c.want {
			reached[w.code] = true
		}
	}
	for _, code := range []Code{EmptyFile, NoData, BadEncoding, WrongDelimiter, MissingColumn, DuplicateColumn,
		UnnamedColumn, RowLength, QuoteError, DeadAboveExposed, ConflictingField, MissingValue, NulByte, ControlCharacter, NotANumber,
		DecimalComma, MixedDecimals, TooManyColumns, RowTooLong, DamagedWorkbook, ThousandsMark, Negative, NotWhole, TooLarge, TooSmall, NonASCIIDigits, BadDate, BadRole,
		BadBoolean, SpreadsheetError, SpreadsheetDate} {
		if !reached[code] {
			t.Errorf("no case for %s", code)
		}
	}
}

// The wording is part of the interface for people. Serial number 45123: day
// 44927 is 2023-01-01 (common practice), and 196 days later is 2023-07-16.
func TestErrorText(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"assay,concentration,exposed,dead\nA,1,10,12\n",
			`counts.csv:2: column 4 (dead): found "12": more dead than exposed (10); correct one of the two counts`},
		{"apiary,assay,concentration,exposed,dead\nCove,A,1,10,5\nNess,A,1,10,5\n",
			`counts.csv:3: column 1 (apiary): found "Ness": differs from "Cove" on line 2 of the same assay, "A"; make the two rows agree, or give one of them another assay name`},
		{"assay,conzentration,exposed,dead\nA,1,10,5\n",
			`counts.csv:1: there is no column concentration; found assay, conzentration, exposed, dead; rename the column that holds it, or add it; perhaps rename conzentration to concentration`},
		{"concentration,exposed,dead\n1,10,5\n",
			`counts.csv:1: there is no column assay; found concentration, exposed, dead; rename the column that holds it, or add it`},
		{"assay,concentration,exposed,dead,collected_on\nA,1,10,5,45123\n",
			`counts.csv:2: column 5 (collected_on): found "45123": this is the serial number of a spreadsheet for a day, probably 2023-07-16; format the column as text and enter the date as year-month-day`},
		{"assay,concentration,exposed,dead,collected_on\nA,1,10,5,03/04/2026\n",
			`counts.csv:2: column 5 (collected_on): found "03/04/2026": the date can be read with the day or with the month first; write 2026-04-03 or 2026-03-04, whichever it is`},
		{"assay,concentration,exposed,dead,collected_on\nA,1,10,5,2026-02-30\n",
			`counts.csv:2: column 5 (collected_on): found "2026-02-30": there is no such day in the calendar; correct the day or the month`},
		{least + "A,\"0,5\",10,5\n",
			`counts.csv:2: column 2 (concentration): found "0,5": the number has a decimal comma; write a decimal point: 0.5`},
		{"assay,concentration,exposed,dead,role\nA,1,10,5,\"" + strings.Repeat("x", 70) + "\n\"\n",
			`counts.csv:2: column 5 (role): found "` + strings.Repeat("x", 60) + `…": the role is neither field nor baseline; enter field, enter baseline for susceptible mites, or leave the cell empty for field; controls are marked by concentration 0`},
		{"", `counts.csv: the file is empty; export the table again`},
		{semi + "A;1.234;10;5\nA;0,5;10;5\n",
			`counts.csv:2: column 2 (concentration): found "1.234": the mark may separate thousands or decimals, and the table writes decimals otherwise in line 3, "0,5"; write it without a mark between the digits, or, if these are decimals, with the mark that stands there`},
		{semi + "A;1.234;10;5\nA;2;10;5\n",
			`counts.csv:2: column 2 (concentration): found "1.234": the mark may separate thousands or decimals, and no other number of the table shows which; write it without a mark between the digits, or, if these are decimals, with a zero behind them`},
		{semi + "A;0,5;10;5\nA;0.5;10;5\n",
			`counts.csv:3: column 2 (concentration): found "0.5": the table writes decimals with a point here and with a comma in line 2, "0,5"; write all decimals with the same mark`},
		{"assay,concentration,exposed,dead,tested_on\nA,1,10,5,25/04/2031\n",
			`counts.csv:2: column 5 (tested_on): found "25/04/2031": the date does not begin with the year; write 2031-04-25`},
	} {
		_, err := Read("counts.csv", strings.NewReader(c.text))
		if err == nil || err.Error() != c.want {
			t.Errorf("got  %v\nwant %s", err, c.want)
		}
	}
}

func TestLimits(t *testing.T) {
	rows := strings.Repeat("A,1,10,5\n", 20)
	bad := strings.Repeat("A,x,y,5\n", 20)
	for _, c := range []struct {
		name, text string
		limits     limits
		want       Code // of the last error; blank when it may be read
		errors     int
	}{
		{"size reached", least + rows, limits{int64(len(least + rows)), 99, 99}, "", 0},
		{"size exceeded", least + rows, limits{int64(len(least+rows)) - 1, 99, 99}, FileTooLarge, 1},
		{"rows reached", least + rows, limits{9999, 20, 99}, "", 0},
		{"rows exceeded", least + rows, limits{9999, 19, 99}, TooManyRows, 1},
		{"errors exceeded", least + bad, limits{9999, 99, 7}, TooManyErrors, 8},
		{"errors not reached", least + bad, limits{9999, 99, 41}, NotANumber, 40},
	} {
		_, err := readCounts("f.csv", strings.NewReader(c.text), c.limits, Options{})
		var es Errors
		errors.As(err, &es)
		if len(es) != c.errors || len(es) > 0 && es[len(es)-1].Code != c.want {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	if usual != (limits{256 << 20, 2_000_000, 1000}) {
		t.Errorf("the limits are %+v", usual)
	}
}

type broken struct{}

var errBroken = errors.New("the disk is gone")

func (broken) Read([]byte) (int, error) { return 0, errBroken }

func TestErrorOfTheReader(t *testing.T) {
	_, err := Read("f.csv", broken{})
	var es Errors
	if !errors.Is(err, errBroken) || errors.As(err, &es) || !strings.HasPrefix(fmt.Sprint(err), "f.csv") {
		t.Errorf("got %v", err)
	}
	if _, err := ReadFile(t.TempDir() + "/none.csv"); err == nil {
		t.Error("a file that is not there was read")
	}
}
