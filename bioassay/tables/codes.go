package tables

import "vialwise/bioassay"

// Code names a kind of error. It is itself an error, so that
// errors.Is(err, tables.DecimalComma) finds it in whatever Read returned.
type Code string

// Error returns the name of the code.
func (c Code) Error() string { return string(c) }

// Errors of a file as a whole, after which reading stops.
const (
	EmptyFile      Code = "empty-file"      // nothing but spaces and line breaks
	NoData         Code = "no-data"         // a header and no filled row
	BadEncoding    Code = "bad-encoding"    // not a text file, or not in UTF-8
	WrongDelimiter Code = "wrong-delimiter" // cells are not separated by commas
	FileTooLarge   Code = "file-too-large"  // longer than MaxBytes
	TooManyRows    Code = "too-many-rows"   // more than MaxRows
	TooManyErrors  Code = "too-many-errors" // MaxErrors found, the rest not looked for
)

// Errors of the header.
const (
	MissingColumn   Code = "header-missing-column"
	DuplicateColumn Code = "header-duplicate"
	UnnamedColumn   Code = "header-unnamed"
)

// Errors of a row.
const (
	RowLength        Code = "row-length" // more or fewer cells than the header
	QuoteError       Code = "quote-error"
	DeadAboveExposed Code = "dead-above-exposed"
	ConflictingField Code = "conflicting-field" // rows of one assay disagree
	DuplicateApiary  Code = "duplicate-apiary"
)

// Errors of a cell.
const (
	MissingValue     Code = "missing-value"
	NulByte          Code = "nul-byte"
	ControlCharacter Code = "control-character"
	NotANumber       Code = "not-a-number"
	DecimalComma     Code = "decimal-comma"
	ThousandsMark    Code = "thousands-mark"
	Negative         Code = "negative"
	NotWhole         Code = "not-whole"
	TooLarge         Code = "too-large"
	TooSmall         Code = "too-small" // not zero, yet below what is meant by a concentration
	NonASCIIDigits   Code = "non-ascii-digits"
	BadDate          Code = "bad-date"
	BadRole          Code = "bad-role"
	BadBoolean       Code = "bad-boolean"
	SpreadsheetError Code = "spreadsheet-error" // #REF! and its kin
	SpreadsheetDate  Code = "spreadsheet-date"  // a number that became a date
)

// Warnings of a table that was read.
const (
	UnknownColumn  bioassay.WarningCode = "unknown-column"
	BlankRow       bioassay.WarningCode = "blank-row"
	DuplicateRow   bioassay.WarningCode = "duplicate-row"
	NothingExposed bioassay.WarningCode = "nothing-exposed"
	TestedTooEarly bioassay.WarningCode = "tested-before-collected"
	MoreWarnings   bioassay.WarningCode = "more-warnings"
)

const maxWarningsEach = 1000 // of one kind; the rest are counted
