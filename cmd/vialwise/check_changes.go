package main

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode"

	"vialwise/bioassay"
	"vialwise/bioassay/tables"
)

// comparison walks over the rows of an original and, at each, looks at the row
// that the copy has for it.
type comparison struct {
	list     *changeList
	original *tables.Original
	copy     *copyRows
	table    *tables.Table
	first    []int          // number of the first container of each assay, in the copy
	next     []int          // container of each assay that comes next
	assays   map[string]int // by name

	columns []string // of the current sheet, what each cell is
	names   []string // and its name as it stands
	target  []int    // and its column in the copy, or -1
	order   int      // container of the copy that the last row had
	moved   bool     // rows stand in another order in the copy
	beyond  int      // cells beyond the header
}

// compareCells lists every cell that is written otherwise in the copy.
func compareCells(l *changeList, r io.Reader, file string, table *tables.Table, text []byte) error {
	original, err := tables.OpenOriginal(file, r)
	if err != nil {
		return err
	}
	rows, err := indexRows(text)
	if err != nil {
		return err
	}
	c := &comparison{list: l, original: original, copy: rows, table: table, order: -1, assays: map[string]int{}, next: make([]int, len(table.Assays))}
	n := 0
	for i, a := range table.Assays {
		c.assays[a.Name] = i
		c.first = append(c.first, n)
		n += len(a.Containers)
	}
	listForm(l, original.Form())
	for {
		row, err := original.Next()
		switch {
		case err == io.EOF:
			c.finish()
			return nil
		case err != nil:
			return err
		case row.Header:
			c.header(row)
		default:
			if err := c.row(row); err != nil {
				return err
			}
		}
	}
}

// listForm lists what holds for the whole file.
func listForm(l *changeList, f tables.Form) {
	whole := func(what, before, after, why string, changed bool) {
		if changed {
			l.add(change{name: what, before: before, after: after, why: why})
		}
	}
	whole("file", "workbook", "CSV", "a text that every program reads", f.Workbook)
	if f.Workbook {
		return
	}
	whole("encoding", f.Encoding, "UTF-8", "the encoding of count tables", f.Encoding != "UTF-8")
	whole("byte-order mark", "present", "absent", "UTF-8 needs none", f.Mark)
	whole("delimiter", f.Delimiter, "comma", "the delimiter of count tables", f.Delimiter != "comma")
	whole("first line", "sep=", "absent", "a comma needs no announcement", f.SignLine)
	whole("line ends", "carriage return", "line feed", "the line ends of count tables", f.Returns)
}

// header compares the names of the columns.
func (c *comparison) header(row tables.OriginalRow) {
	c.columns = c.original.Columns()
	c.names, c.target = slices.Clone(row.Cells), nil
	for len(c.names) > len(c.columns) { // delimiters after the last name
		c.names = c.names[:len(c.names)-1]
		c.beyond++
	}
	last := -1
	inOrder := true
	for cell, known := range c.columns {
		name := c.names[cell]
		wanted := known
		if wanted == "" {
			wanted = blankless(name)
		}
		at := c.copy.column(wanted)
		c.target = append(c.target, at)
		inOrder = inOrder && (at < 0 || at > last)
		last = max(last, at)
		place := change{sheet: row.Sheet, line: row.Line, column: cell + 1, name: wanted, before: name}
		switch {
		case at < 0:
			place.why = "the column says nothing that its absence would not say"
			c.list.add(place)
		case c.copy.header[at] != name:
			place.after, place.why = c.copy.header[at], nameReason(name, c.copy.header[at])
			c.list.add(place)
		}
	}
	for at, name := range c.copy.header {
		if !slices.Contains(c.target, at) {
			c.list.add(change{sheet: row.Sheet, line: row.Line, name: name, after: name, why: "the column holds what the brackets of the header said, or another sheet has it"})
		}
	}
	if !inOrder {
		c.list.add(change{sheet: row.Sheet, line: row.Line, name: "columns", before: "another order", after: strings.Join(c.copy.header, ","), why: "the order of count tables"})
	}
}

// row compares one row with that of the copy.
func (c *comparison) row(row tables.OriginalRow) error {
	if blankRow(row.Cells) {
		c.list.add(change{sheet: row.Sheet, line: row.Line, name: "row", before: "blank", after: "absent", why: "a blank row says nothing"})
		return nil
	}
	number, err := c.container(row)
	if err != nil {
		return err
	}
	c.moved = c.moved || number != c.order+1
	c.order = number
	written, err := c.copy.row(number)
	if err != nil {
		return err
	}
	for cell, at := range c.target {
		before := ""
		if cell < len(row.Cells) {
			before = row.Cells[cell]
		}
		if at >= 0 && before != written[at] {
			c.list.add(change{row.Sheet, row.Line, cell + 1, c.copy.header[at], before, written[at], cellReason(c.columns[cell], before, written[at])})
		}
	}
	c.beyond += max(0, len(row.Cells)-len(c.target))
	return nil
}

var errOtherRows = errors.New("the rows of the file are not those that were read; was it changed meanwhile?")

// container returns the number in the copy of the container of a row.
func (c *comparison) container(row tables.OriginalRow) (int, error) {
	name := blankless(row.Cells[slices.Index(c.columns, "assay")])
	i, ok := c.assays[name]
	if !ok {
		i, ok = c.assays[strings.TrimPrefix(name, "'")]
	}
	if !ok || c.next[i] >= len(c.table.Assays[i].Containers) {
		return 0, errOtherRows
	}
	v := c.table.Assays[i].Containers[c.next[i]]
	if v.Source.Line != row.Line {
		return 0, errOtherRows
	}
	c.next[i]++
	return c.first[i] + c.next[i] - 1, nil
}

// finish lists what shows only at the end.
func (c *comparison) finish() {
	if c.moved {
		c.list.add(change{name: "rows", before: "another order", after: "assay by assay", why: "the rows of an assay stand together"})
	}
	if c.beyond > 0 {
		c.list.add(change{name: "cells beyond the last column", before: bioassay.Plural(c.beyond, "blank cell"), after: "absent", why: "they say nothing"})
	}
}

// copyRows are the rows of the copy, found by number.
type copyRows struct {
	header  []string
	text    []byte
	offsets []int64 // of each row below the header
	at      int     // number of the row that the reader gives next
	reader  *csv.Reader
}

func indexRows(text []byte) (*copyRows, error) {
	c := &copyRows{text: text}
	r := csv.NewReader(bytes.NewReader(text))
	for {
		row, err := r.Read()
		if err == io.EOF {
			c.seek(0)
			return c, nil
		}
		if err != nil {
			return nil, fmt.Errorf("the cleaned copy: %w", err)
		}
		if c.header == nil {
			c.header = slices.Clone(row)
			r.ReuseRecord = true
		}
		c.offsets = append(c.offsets, r.InputOffset())
	}
}

func (c *copyRows) seek(number int) {
	c.at, c.reader = number, csv.NewReader(bytes.NewReader(c.text[c.offsets[number]:]))
	c.reader.ReuseRecord = true
}

// row returns a row, valid until the next call.
func (c *copyRows) row(number int) ([]string, error) {
	if number != c.at {
		c.seek(number)
	}
	c.at++
	return c.reader.Read()
}

// column finds a column by its name, -1 where the copy has none.
func (c *copyRows) column(name string) int {
	return slices.IndexFunc(c.header, func(h string) bool { return h == name || strings.TrimPrefix(h, "'") == strings.TrimPrefix(name, "'") })
}

// blankless is a text without blanks around it, as the reader of tables
// understands it.
func blankless(s string) string {
	return strings.TrimFunc(s, func(r rune) bool {
		return unicode.IsSpace(r) || r == '\u200B' || r == '\u2060' || r == '\uFEFF'
	})
}

func blankRow(cells []string) bool {
	return !slices.ContainsFunc(cells, func(s string) bool { return blankless(s) != "" })
}

// nameReason says why the name of a column is written otherwise.
func nameReason(before, after string) string {
	switch bare := blankless(before); {
	case bare == after:
		return "blanks around it"
	case strings.EqualFold(bare, after):
		return "the case of the canonical name"
	case strings.TrimPrefix(bare, "'") == strings.TrimPrefix(after, "'"):
		return protection
	}
	return "the canonical name of the column"
}

const protection = "an apostrophe keeps a spreadsheet from taking the text for a formula"

// cellReason says why a cell is written otherwise.
func cellReason(column, before, after string) string {
	bare := blankless(before)
	switch {
	case bare == after:
		return "blanks around it"
	case bare == "" && column == "role":
		return "a blank means field"
	case bare == "" && (column == "moribund" || column == "missing"):
		return "a blank means none"
	case bare == "":
		return "as in another row of the same assay"
	}
	switch column {
	case "concentration", "exposure_h", "reading_h":
		if strings.Contains(bare, ",") {
			return "a decimal point, the same number"
		}
		return "the same number"
	case "exposed", "dead", "moribund", "missing":
		return "the same number, as a whole one"
	case "collected_on", "tested_on":
		if !strings.Contains(bare, "-") && !strings.Contains(bare, "/") {
			return "the day that the number is shown as"
		}
		return "the same day, as year-month-day"
	case "role", "capped_brood", "tested_blind":
		return "the canonical word"
	}
	if strings.TrimPrefix(bare, "'") == strings.TrimPrefix(after, "'") {
		return protection
	}
	return "as it was read"
}
