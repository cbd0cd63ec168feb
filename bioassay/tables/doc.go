// Package tables reads and writes the count table, one row per container, and
// the table of apiaries, as text or as an XLSX workbook.
//
// The only columns a count table must have are assay, concentration, exposed
// and dead. Columns may stand in any order, header names ignore case, accents
// and the difference between spaces, hyphens and low lines, and may be in other
// words of English or Spanish that can mean nothing else. Columns the program
// does not know are kept with the containers. [CountSchema] describes all known
// columns for other programs. A wide bench sheet, one row per dose, is read
// through a [Mapping].
//
// A text is in UTF-8, in UTF-16, or in Windows-1252, its cells are separated by
// commas, semicolons or tabs, and with the latter two its decimals may have a
// comma. Of a workbook every sheet that begins with the header is read.
//
// A table is read as a whole or not at all. All errors are collected in one
// pass, each with its line, its column, what was found and what to do about
// it. A doubtful number or date is refused, never guessed: 1.000 mites may be
// one or a thousand, and 4/9/2031 is two days. What is taken for something
// other than what stands there is a warning, one for each kind, with its count
// and first place: an encoding, a decimal comma, another name of a column, a
// number stored as text.
package tables
