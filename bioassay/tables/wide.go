package tables

import (
	"fmt"
	"io"
	"maps"
	"regexp"
	"slices"
	"strings"

	"vialwise/bioassay/tables/workbook"
)

// ReadWideFile reads a wide bench sheet in a file. See [ReadWide].
func ReadWideFile(path string, m Mapping) (*Table, error) {
	return readFile(path, "bench sheet", func(name string, r io.Reader) (*Table, error) { return ReadWide(name, r, m) })
}

// ReadWide reads a wide bench sheet, one row for each dose, as the mapping says.
// Errors are those of [Read], and have the place in the sheet.
func ReadWide(name string, r io.Reader, m Mapping) (*Table, error) {
	if e := m.check(); e != nil {
		e.File, e.Name = name, ""
		return nil, Errors{e}
	}
	w := &wide{Mapping: m}
	kind := countLayout
	kind.wide = w
	s, err := openSheet(name, r, kind, usual, Options{})
	if err != nil {
		return nil, err
	}
	c := newCounts(s)
	for s.next() {
		w.readRow(c)
	}
	return c.finish()
}

// ReadHeader returns the first filled row of a table, for [DraftMapping]. Of a
// workbook it is that of the first sheet that has one.
func ReadHeader(name string, r io.Reader) ([]string, error) {
	kind := countLayout
	kind.wide = &wide{headerOnly: true}
	s, err := openSheet(name, r, kind, usual, Options{})
	if err != nil {
		return nil, err
	}
	before := len(s.errs)
	s.checkBenchHeader()
	s.blameMerging(before) // which reads to the end of the sheet
	if len(s.errs) > 0 {
		return nil, s.errs
	}
	if len(s.header.names) == 0 {
		return nil, Errors{{File: name, Code: EmptyFile, Message: "the file is empty", Remedy: "export the table again"}}
	}
	return s.header.names, nil
}

// wide reads rows of several containers. Values that are no cell of the row,
// fixed ones and each of two counts in a cell, are put behind its cells, where
// the reader of rows finds them like any other.
type wide struct {
	Mapping
	headerOnly bool

	virtual []int // cells that the values behind the row come from, or -1
	fixed   []string
	places  [][]int // of each replicate: the places of the known columns
	counts  []int   // of each replicate: the cell with two counts, or -1
	own     []bool  // of each replicate: whether its number of exposed is its alone
}

// fits reports whether a sheet of a workbook is one to be read.
func (w *wide) fits(name string, first []string) bool {
	if w.headerOnly {
		return len(first) > 0
	}
	if w.Sheet != "" {
		return name == w.Sheet
	}
	wanted := folded(w.Replicates[0].Dead + w.Replicates[0].Counts)
	return slices.ContainsFunc(first, func(cell string) bool { return folded(trim(cell)) == folded(trim(wanted)) })
}

// mapWide finds the columns of the mapping in the header.
func (s *sheet) mapWide() {
	w := s.layout.wide
	w.virtual, w.fixed, w.places, w.counts, w.own = nil, nil, nil, nil, nil
	if w.headerOnly {
		return
	}
	used := make([]bool, len(s.header.names))
	shared := slices.Repeat([]int{-1}, countColumns)
	for _, key := range slices.Sorted(maps.Keys(w.Columns)) {
		shared[slices.Index(countNames, key)] = s.findColumn(w.Columns[key], used, true)
	}
	for _, key := range slices.Sorted(maps.Keys(w.Fixed)) {
		shared[slices.Index(countNames, key)] = w.fix(len(used), w.Fixed[key])
	}
	for _, r := range w.Replicates {
		w.addReplicate(s, r, slices.Clone(shared), used)
	}
	for cell, name := range s.header.names {
		if !used[cell] && name != "" {
			s.header.unknown = append(s.header.unknown, cell)
		}
	}
	slices.SortFunc(s.header.unknown, func(a, b int) int { return strings.Compare(s.header.names[a], s.header.names[b]) })
	s.header.place = shared
	s.reportUnknown()
}

// fix puts a value behind the row and returns its cell.
func (w *wide) fix(width int, value string) int {
	w.virtual = append(w.virtual, -1)
	w.fixed = append(w.fixed, trim(value))
	return width + len(w.virtual) - 1
}

// addReplicate finds the columns of a replicate.
func (w *wide) addReplicate(s *sheet, r Replicate, place []int, used []bool) {
	counts := -1
	if r.Container != "" {
		place[colContainer] = w.fix(len(used), r.Container)
	}
	for column, name := range map[int]string{colDead: r.Dead, colMoribund: r.Moribund, colMissing: r.Missing} {
		if name != "" {
			place[column] = s.findColumn(name, used, true)
		}
	}
	if r.Exposed != "" {
		place[colExposed] = s.findColumn(r.Exposed, used, false)
	}
	if r.Counts != "" {
		counts = s.findColumn(r.Counts, used, true)
		place[colDead], place[colExposed] = w.fix(len(used), ""), w.fix(len(used), "")
		w.virtual[place[colDead]-len(used)], w.virtual[place[colExposed]-len(used)] = counts, counts
	}
	w.places, w.counts = append(w.places, place), append(w.counts, counts)
	w.own = append(w.own, r.Counts != "" || r.Exposed != "" && !slices.ContainsFunc(w.Replicates, func(other Replicate) bool { return other != r && other.Exposed == r.Exposed }))
}

// findColumn finds a column of the mapping. Only some may be used twice.
func (s *sheet) findColumn(name string, used []bool, once bool) int {
	at := -1
	for cell, found := range s.header.names {
		if folded(found) != folded(trim(name)) {
			continue
		}
		if at >= 0 {
			s.fail(cell, &fault{DuplicateColumn, fmt.Sprintf("column %d has the same name, which the mapping uses", at+1), "rename one of the two"})
			return at
		}
		at = cell
	}
	switch {
	case at < 0:
		s.add(&Error{Line: s.line}, &fault{BadMapping, fmt.Sprintf("the mapping names a column %s that is not here", quoted(name)),
			"found " + nameList(s.header.names) + "; correct the mapping, or the header"})
		return 0
	case once && used[at]:
		s.fail(at, &fault{BadMapping, "the mapping uses the column for two things", "correct the mapping"})
	}
	used[at] = true
	return at
}

// readRow reads the containers of a row.
func (w *wide) readRow(c *counts) {
	width := len(c.header.names)
	c.cells = append(slices.Clip(c.cells[:width]), w.fixed...)
	for i, place := range w.places {
		c.header.place = place
		if at := w.counts[i]; at >= 0 {
			dead, exposed, f := c.split(at, w.Cell)
			if f != nil {
				c.fail(at, f)
				continue
			}
			c.cells[place[colDead]], c.cells[place[colExposed]] = dead, exposed
		}
		if !c.used(i) {
			c.note(EmptyReplicate, place[colDead], "", "")
			continue
		}
		c.readRow()
	}
}

// used reports whether a replicate has a count of its own in the row. One
// without is a container that was not filled.
func (c *counts) used(i int) bool {
	w := c.layout.wide
	for _, column := range []int{colDead, colMoribund, colMissing, colExposed} {
		at := w.places[i][column]
		if at >= 0 && c.cells[at] != "" && (column != colExposed || w.own[i]) {
			return true
		}
	}
	return false
}

var twoCounts = regexp.MustCompile(`^([0-9]+)\s*/\s*([0-9]+)$`)

// split reads the two counts of a cell.
func (c *counts) split(cell int, order string) (dead, exposed string, f *fault) {
	text := c.cells[cell]
	if text == "" {
		return "", "", nil
	}
	m := twoCounts.FindStringSubmatch(text)
	switch {
	case c.book != nil && c.book.kind(cell) == workbook.Date, m == nil && datedNumber.MatchString(text):
		return "", "", datedFault()
	case isSpreadsheetError(text):
		return "", "", spreadsheetFault()
	case m == nil:
		return "", "", &fault{NotANumber, "the cell does not hold " + quotedCounts(order), "enter both counts with a stroke between them"}
	case order == exposedFirst:
		return m[2], m[1], nil
	}
	return m[1], m[2], nil
}
