package tables

import "vialwise/bioassay"

// Code names a kind of error. It is itself an error, so that
// errors.Is(err, tables.DecimalComma) finds it in whatever Read returned.
type Code string

// Error returns the name of the code.
func (c Code) Error() string { return string(c) }

// Errors of a file as a whole, after which reading stops.
const (
	EmptyFile      Code = "empty-file"       // nothing but spaces and line breaks
	NoData         Code = "no-data"          // a header and no filled row
	BadEncoding    Code = "bad-encoding"     // not a text file, or in no encoding that can be told
	WrongDelimiter Code = "wrong-delimiter"  // cells are not separated by commas, semicolons or tabs
	FileTooLarge   Code = "file-too-large"   // longer than MaxBytes
	TooManyRows    Code = "too-many-rows"    // more than MaxRows
	TooManyColumns Code = "too-many-columns" // more than MaxColumns
	RowTooLong     Code = "row-too-long"     // longer than MaxRowBytes
	TooManyErrors  Code = "too-many-errors"  // MaxErrors found, the rest not looked for
)

// Errors of a workbook.
const (
	OldWorkbook       Code = "old-workbook"   // XLS
	OtherWorkbook     Code = "other-workbook" // ODS, XLSB
	EncryptedWorkbook Code = "encrypted-workbook"
	DamagedWorkbook   Code = "damaged-workbook"
	UnpackedTooLarge  Code = "unpacked-too-large" // more than MaxUnpackedBytes, or packed beyond belief
	TooManyParts      Code = "too-many-parts"
	NoTableSheet      Code = "no-table-sheet" // no sheet begins with the header
	MergedCells       Code = "merged-cells"
	NoStoredResult    Code = "no-stored-result" // a formula that was never computed
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
	NotRising        Code = "not-rising" // limits that are not in order
)

// Errors of a cell.
const (
	MissingValue     Code = "missing-value"
	NulByte          Code = "nul-byte"
	ControlCharacter Code = "control-character"
	NotANumber       Code = "not-a-number"
	DecimalComma     Code = "decimal-comma"
	MixedDecimals    Code = "mixed-decimals" // decimal commas and points in one table
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

// Warnings of what was not taken as it stands, one of each kind for a table.
const (
	EncodingUsed     bioassay.WarningCode = "encoding"
	AliasUsed        bioassay.WarningCode = "alias"
	UnitFromHeader   bioassay.WarningCode = "unit-from-header"
	DecimalCommaRead bioassay.WarningCode = "decimal-comma"
	TextNumber       bioassay.WarningCode = "text-number"    // a number stored as text
	NumberAsText     bioassay.WarningCode = "number-as-text" // a number in a column of text
	YearFirstDate    bioassay.WarningCode = "year-first-date"
	CellDate         bioassay.WarningCode = "cell-date" // a day number that is shown as a date
	WordTranslated   bioassay.WarningCode = "word"
	ProtectedText    bioassay.WarningCode = "protected-text"
	EmptyReplicate   bioassay.WarningCode = "empty-replicate"
)

// Warnings of a workbook.
const (
	OtherSheet    bioassay.WarningCode = "other-sheet" // a sheet that is not read
	HiddenSheet   bioassay.WarningCode = "hidden-sheet"
	HiddenRows    bioassay.WarningCode = "hidden-rows"
	HiddenColumns bioassay.WarningCode = "hidden-columns"
)

const maxWarningsEach = 1000 // of one kind; the rest are counted
