// Package workbook reads and writes XLSX workbooks as rows of typed cells, and
// is the only place that knows how such a file is made.
//
// Files are written with a spreadsheet library. They are read with the standard
// library alone, row by row, in the form that ECMA-376 (Office Open XML, part
// 1, chapter 18) gives to workbooks. The library's row iterator hides the types
// of cells and formulas without a stored result, its other functions hold a
// whole sheet in memory and fill every row up to its last cell, and a sheet
// that breaks off in the middle ends there without an error. A count table
// must not be cut short in silence.
//
// A workbook may come from anyone. Its size once unpacked, its parts, the
// length of its texts and the width of its sheets are limited, and every limit
// is an error of its own.
package workbook
