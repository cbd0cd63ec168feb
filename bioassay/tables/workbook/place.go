package workbook

import (
	"fmt"
	"strconv"
	"strings"
)

// The size of a sheet (ECMA-376, part 1, as the makers of spreadsheets have it).
const (
	lastRow    = 1 << 20
	lastColumn = 1 << 14
)

// ColumnName returns the letters of a column, counted from 1: A, B, … Z, AA.
func ColumnName(column int) string {
	var name []byte
	for ; column > 0; column = (column - 1) / 26 {
		name = append([]byte{byte('A' + (column-1)%26)}, name...)
	}
	return string(name)
}

// CellName returns the name of a cell, such as C7.
func CellName(column, row int) string { return ColumnName(column) + strconv.Itoa(row) }

// parseCell reads the name of a cell.
func parseCell(name string) (column, row int, ok bool) {
	at := 0
	for ; at < len(name) && 'A' <= name[at]&^0x20 && name[at]&^0x20 <= 'Z'; at++ {
		if column = column*26 + int(name[at]&^0x20-'A') + 1; column > lastColumn {
			return 0, 0, false
		}
	}
	row, err := strconv.Atoi(name[at:])
	return column, row, err == nil && column > 0 && row > 0 && row <= lastRow && name[at] != '+'
}

// Range is a block of cells, counted from 1.
type Range struct{ FirstColumn, FirstRow, LastColumn, LastRow int }

// String returns the name of the block, such as A1:C2.
func (r Range) String() string {
	return CellName(r.FirstColumn, r.FirstRow) + ":" + CellName(r.LastColumn, r.LastRow)
}

// parseRange reads the name of a block.
func parseRange(name string) (Range, error) {
	first, last, two := strings.Cut(strings.ReplaceAll(name, "$", ""), ":")
	if !two {
		last = first
	}
	c1, r1, ok1 := parseCell(first)
	c2, r2, ok2 := parseCell(last)
	if !ok1 || !ok2 {
		return Range{}, fmt.Errorf("%w: %q is no block of cells", ErrDamaged, name)
	}
	return Range{min(c1, c2), min(r1, r2), max(c1, c2), max(r1, r2)}, nil
}
