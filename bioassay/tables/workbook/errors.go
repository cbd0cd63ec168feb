package workbook

import "errors"

// What can be wrong with a workbook as a whole. Errors of this package wrap one
// of these, or are those of the reader below.
var (
	ErrEncrypted      = errors.New("the workbook is encrypted")
	ErrOldFormat      = errors.New("this is a workbook of the old binary format")
	ErrBinaryFormat   = errors.New("this is a binary workbook")
	ErrOpenDocument   = errors.New("this is an OpenDocument file")
	ErrNotWorkbook    = errors.New("this is an archive or a compound file and not a workbook")
	ErrDamaged        = errors.New("the workbook is damaged")
	ErrUnpackedSize   = errors.New("the workbook is too large once unpacked")
	ErrTooManyParts   = errors.New("the workbook has too many parts")
	ErrTooManyColumns = errors.New("the sheet has too many columns")
	ErrTextTooLong    = errors.New("a text of the workbook is too long")
	ErrTooManyTexts   = errors.New("the workbook has too many texts or styles")
)
