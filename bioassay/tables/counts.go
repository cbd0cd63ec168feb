package tables

import (
	"fmt"
	"io"
	"os"
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
	title: "count table", contents: "counts", known: countNames, required: countRequired, measured: "concentration",
	aliases: countAliases,
	synonyms: map[string][]string{ // common practice
		"assay":   {"sample", "test", "experiment", "trial", "muestra", "prueba"},
		"exposed": {"n", "total", "number", "treated", "mites", "tested", "numero", "tratados", "acaros", "total_de_acaros"},
		"dead":    {"kill", "mortality", "mortalidad"},
	},
}

// Table is a count table as read.
type Table struct {
	Assays   []bioassay.Assay // in the order in which they first appear
	Unknown  []string         // names of the columns that are kept but not understood, in file order
	Warnings []bioassay.Warning
	// Looked names those of the columns moribund and missing that have an entry,
	// be it 0: somebody looked, which an absent column would not say.
	Looked []string
}

// ReadFile reads the count table in a file. See [Read].
func ReadFile(path string) (*Table, error) { return ReadFileWith(path, Options{}) }

// ReadFileWith does so with options.
func ReadFileWith(path string, o Options) (*Table, error) {
	return readFile(path, "count table", func(name string, r io.Reader) (*Table, error) { return ReadWith(name, r, o) })
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

// Read reads a count table, from a text or a workbook; name is what messages
// and origins call it. A table with errors gives no Table but all the errors,
// as [Errors]. Any other error is that of r. A reader that is also an
// io.ReaderAt and an io.Seeker, such as a file, is not loaded as a whole.
func Read(name string, r io.Reader) (*Table, error) { return ReadWith(name, r, Options{}) }

// ReadWith does so with options.
func ReadWith(name string, r io.Reader, o Options) (*Table, error) {
	return readCounts(name, r, usual, o)
}

func readCounts(name string, r io.Reader, l limits, o Options) (*Table, error) {
	s, err := openSheet(name, r, countLayout, l, o)
	if err != nil {
		return nil, err
	}
	c := newCounts(s)
	for s.next() {
		c.readRow()
	}
	return c.finish()
}

// counts turns the rows of a sheet into assays.
type counts struct {
	*sheet
	filled int                // rows read
	looked [countColumns]bool // in which columns a row has an entry, of those that may be absent
	index  map[string]*gathered
	order  []*gathered
	store  store

	last  *gathered            // the assay of the row before
	texts [countColumns]string // the fields of the assay in that row, as entered
	taken [countColumns]bool   // of these, the ones that were not taken as they stand

	kept  map[string]string // one copy of each text seen, see keep
	extra []bioassay.Field  // the unknown columns of the row before
}

func newCounts(s *sheet) *counts {
	return &counts{sheet: s, index: map[string]*gathered{}, kept: map[string]string{}}
}

// gathered is an assay while its rows are being read.
type gathered struct {
	bioassay.Assay
	sheet string              // in which it stands
	first int                 // line of its first row
	line  [countColumns]int32 // and of the first entry of each of its fields
	rows  rows
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
	c.filled++
	before := len(c.errs)
	container := c.container()
	a := c.assay()
	if a == nil {
		return
	}
	c.shared(a)
	if len(c.errs) == before {
		c.store.add(&a.rows, container)
	}
}

// assay returns the assay that the current row belongs to, nil where its name
// is missing.
func (c *counts) assay() *gathered {
	if c.last != nil && c.texts[colAssay] == c.cell(colAssay) && c.last.sheet == c.sheetName() {
		return c.last
	}
	c.last = nil
	if c.cell(colAssay) == "" {
		c.refuse(colAssay, nameFault("an assay"))
		return nil
	}
	name, f := label(c.sheet, c.header.place[colAssay])
	if f != nil {
		c.refuse(colAssay, f)
		return nil
	}
	a := c.index[name]
	if a == nil {
		a = &gathered{Assay: bioassay.Assay{Name: c.keep(name)}, sheet: c.sheetName(), first: c.line}
		c.index[a.Name] = a
		c.order = append(c.order, a)
	}
	if a.sheet != c.sheetName() {
		c.refuse(colAssay, &fault{ConflictingField, fmt.Sprintf("an assay of this name is also in sheet %s, row %d", quoted(a.sheet), a.first),
			"give one of the two another name, or put all rows of the assay into one sheet"})
		return nil
	}
	c.last, c.texts = a, [countColumns]string{colAssay: c.cell(colAssay)}
	return a
}

// nameFault is the fault of a name that is blank.
func nameFault(of string) *fault {
	return &fault{MissingValue, "the cell is empty", "enter the name of " + of}
}

// finish ends the reading.
func (c *counts) finish() (*Table, error) {
	if err := c.close(c.filled); err != nil {
		return nil, err
	}
	c.index = nil // so that each of c.order can go as soon as it is done with
	t := &Table{Assays: make([]bioassay.Assay, len(c.order)), Unknown: c.names}
	for i, a := range c.order {
		a.Containers = a.rows.containers()
		c.review(a)
		t.Assays[i] = a.Assay
		c.order[i] = nil
	}
	for column, looked := range c.looked {
		if looked {
			t.Looked = append(t.Looked, countNames[column])
		}
	}
	t.Warnings = c.allWarnings()
	return t, nil
}
