package tables

import (
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"vialwise/bioassay"
)

// The known columns of a count table, in canonical order.
const (
	colAssay = iota
	colApiary
	colPopulation
	colRole
	colCollectedOn
	colTestedOn
	colAcaricide
	colProtocol
	colUnit
	colContainer
	colConcentration
	colExposed
	colDead
	colMoribund
	colMissing
	colExposureHours
	colReadingHours
	colMiteSource
	colCappedBrood
	colTestedBlind
	colNote
	countColumns
)

var countNames = []string{
	colAssay: "assay", colApiary: "apiary", colPopulation: "population", colRole: "role",
	colCollectedOn: "collected_on", colTestedOn: "tested_on", colAcaricide: "acaricide",
	colProtocol: "protocol", colUnit: "unit", colContainer: "container",
	colConcentration: "concentration", colExposed: "exposed", colDead: "dead",
	colMoribund: "moribund", colMissing: "missing", colExposureHours: "exposure_h",
	colReadingHours: "reading_h", colMiteSource: "mite_source", colCappedBrood: "capped_brood",
	colTestedBlind: "tested_blind", colNote: "note",
}

var countRequired = []string{"assay", "concentration", "exposed", "dead"}

var countLayout = layout{
	title: "count table", contents: "counts", known: countNames, required: countRequired,
	synonyms: map[string][]string{ // common practice
		"assay":         {"sample", "test", "bioassay", "experiment", "trial"},
		"concentration": {"dose", "dosage", "conc"},
		"exposed":       {"n", "total", "number", "treated", "mites", "tested"},
		"dead":          {"killed", "deaths", "died", "kill"},
	},
}

// Table is a count table as read.
type Table struct {
	Assays   []bioassay.Assay // in the order in which they first appear
	Unknown  []string         // names of the columns that are kept but not understood, in file order
	Warnings []bioassay.Warning
}

// ReadFile reads the count table in a file. See [Read].
func ReadFile(path string) (*Table, error) {
	return readFile(path, "count table", Read)
}

// readFile reads the table in a file; what names it in the error of a file that
// cannot be opened.
func readFile[T any](path, what string, read func(name string, r io.Reader) (*T, error)) (*T, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", what, err)
	}
	defer f.Close()
	return read(path, f)
}

// Read reads a count table; name is what messages and origins call it. A table
// with errors gives no Table but all the errors, as [Errors]. Any other error
// is that of r.
func Read(name string, r io.Reader) (*Table, error) { return readCounts(name, r, usual) }

func readCounts(name string, r io.Reader, l limits) (*Table, error) {
	s, err := openSheet(name, r, countLayout, l)
	if err != nil {
		return nil, err
	}
	c := &counts{sheet: s, index: map[string]*gathered{}, kept: map[string]string{}}
	filled := 0
	for s.next() {
		filled++
		c.readRow()
	}
	if err := s.close(filled); err != nil {
		return nil, err
	}
	return c.table(), nil
}

// counts turns the rows of a sheet into assays.
type counts struct {
	*sheet
	index map[string]*gathered
	order []*gathered
	kept  map[string]string // one copy of each text seen, see keep
}

// gathered is an assay while its rows are being read.
type gathered struct {
	bioassay.Assay
	text [countColumns]string // the fields of the assay as first entered
	line [countColumns]int    // and the line of that entry
}

// cell returns a known column of the current row, blank where it is absent.
func (c *counts) cell(column int) string {
	if at := c.header.place[column]; at >= 0 {
		return c.cells[at]
	}
	return ""
}

// refuse records a fault of a known column.
func (c *counts) refuse(column int, f *fault) { c.fail(c.header.place[column], f) }

// keep returns a copy of s that does not hold the whole row in memory, the same
// copy for equal texts, of which tables have few.
func (c *counts) keep(s string) string {
	if s == "" {
		return ""
	}
	if k, ok := c.kept[s]; ok {
		return k
	}
	k := strings.Clone(s)
	if len(c.kept) < 10_000 {
		c.kept[k] = k
	}
	return k
}

// readRow adds the current row to its assay.
func (c *counts) readRow() {
	before := len(c.errs)
	container := c.container()
	name := c.cell(colAssay)
	if name == "" || isSpreadsheetError(name) {
		c.refuse(colAssay, nameFault(name, "an assay"))
		return
	}
	a := c.index[name]
	if a == nil {
		a = &gathered{Assay: bioassay.Assay{Name: c.keep(name)}}
		c.index[a.Name] = a
		c.order = append(c.order, a)
	}
	c.shared(a)
	if len(c.errs) == before {
		a.Containers = append(a.Containers, container)
	}
}

// nameFault is the fault of a name that is blank or an error of a spreadsheet.
func nameFault(name, of string) *fault {
	if name != "" {
		return spreadsheetFault()
	}
	return &fault{MissingValue, "the cell is empty", "enter the name of " + of}
}

// table ends the reading of a table without errors.
func (c *counts) table() *Table {
	t := &Table{Assays: make([]bioassay.Assay, len(c.order))}
	for i, a := range c.order {
		c.review(a)
		t.Assays[i] = a.Assay
	}
	for _, cell := range slices.Sorted(slices.Values(c.header.unknown)) {
		t.Unknown = append(t.Unknown, c.header.names[cell])
	}
	t.Warnings = c.allWarnings()
	return t
}
