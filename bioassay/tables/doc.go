// Package tables reads and writes the count table, one row per container, and
// the table of apiaries, as comma-separated text in UTF-8.
//
// The only columns a count table must have are assay, concentration, exposed
// and dead. Columns may stand in any order, header names ignore case and
// surrounding spaces, and columns the program does not know are kept with the
// containers. [CountSchema] describes all known columns for other programs.
//
// A table is read as a whole or not at all. All errors are collected in one
// pass, each with its line, its column, what was found and what to do about
// it. A doubtful number is refused, never guessed: 1,5 may be one and a half
// or two cells, and 1.000 mites may be one or a thousand.
package tables
