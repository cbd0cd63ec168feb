package tables

import (
	"fmt"

	"vialwise/bioassay/tables/workbook"
)

// Cell returns where in its line an error is, for a table of errors: the
// letter-and-number name of a cell of a workbook, the number of a column of a
// text, and nothing where a whole row or file is meant.
func (e *Error) Cell() string {
	switch {
	case e.Column == 0:
		return ""
	case e.Sheet != "" && e.Line > 0:
		return workbook.CellName(e.Column, e.Line)
	}
	return fmt.Sprint(e.Column)
}

// Shown returns what was found, between quotation marks and so that nothing in
// it can steer a terminal; blank when there is nothing to show.
func (e *Error) Shown() string {
	if e.Found == "" {
		return ""
	}
	return shownCell(e.Found)
}
