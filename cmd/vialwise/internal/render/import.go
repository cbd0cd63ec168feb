package render

import (
	"io"

	"vialwise/bioassay"
	"vialwise/bioassay/registry"
	"vialwise/bioassay/tables"
)

// Imports is what became of the files of an import.
type Imports struct {
	Version  string // of this program
	Registry string // its file
	Made     bool   // the registry was not there before
	DryRun   bool   // nothing was to be written
	Amend    bool   // changed rows were to be accepted
	Who      string
	Reason   string // of amendments
	Files    []ImportedFile
}

// Outcome is what became of a file or, in a dry run, would become of it.
type Outcome string

// The outcomes.
const (
	Imported    Outcome = "imported"     // something of it was new, nothing changed
	Amended     Outcome = "amended"      // changed rows were accepted
	Unchanged   Outcome = "unchanged"    // all of it was registered already
	Conflicting Outcome = "conflict"     // the record says otherwise, nothing was imported
	NotImported Outcome = "not-imported" // for another reason
)

// ImportedFile is one file of an import.
type ImportedFile struct {
	File, SHA256 string                 // the hash is blank where the file could not be read
	Holds        registry.Subject       // assays or apiaries, blank where that is not known
	Outcome      Outcome                // in a dry run: what it would be
	Result       *registry.ImportResult // nil where it did not come to an import
	Errors       tables.Errors
	Hint         string // what the file may be instead, blank when nothing is known
	Failure      string // why it was not imported, blank where the errors or conflicts say it
	Places       string // where the apiaries of the file lie, blank without a place
	Reading      []bioassay.Warning
}

// result is the result of a file, a blank one where there is none.
func (f *ImportedFile) result() registry.ImportResult {
	if f.Result == nil {
		return registry.ImportResult{}
	}
	return *f.Result
}

// warnings are those of the reader and of the registry.
func (f *ImportedFile) warnings() []bioassay.Warning {
	return append(f.Reading[:len(f.Reading):len(f.Reading)], f.result().Warnings...)
}

// event is the number of the event that holds the import, 0 for none.
func (f *ImportedFile) event() int64 {
	if e := f.result().Event; e != nil {
		return e.ID
	}
	return 0
}

// WriteImports writes the outcome in a format of Formats.
func WriteImports(w io.Writer, i *Imports, format string) error {
	switch format {
	case "csv":
		return writeImportsCSV(w, i)
	case "json":
		return encodeJSON(w, newImportsJSON(i))
	}
	return writeProse(w, format, importTables(i))
}

// writeProse writes tables with columns of sentences.
func writeProse(w io.Writer, format string, parts []*table) error {
	if format == "text" {
		for _, t := range parts {
			t.wrapCells()
		}
	}
	return writeTables(w, format, parts)
}
