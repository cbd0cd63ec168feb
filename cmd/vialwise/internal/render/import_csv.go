package render

import (
	"encoding/csv"
	"io"
	"strconv"
)

var importHeader = []string{
	"kind", "file", "sha256", "holds", "outcome", "new", "same", "changed", "containers", "event", "earlier_event",
	"name", "container", "column", "registered", "registered_file", "registered_line", "imported", "imported_file", "imported_line",
	"code", "message", "cure",
}

// The kinds of rows of an import: the file, then what belongs to it.
const (
	kindFile     = "file"
	kindConflict = "conflict"
	kindWarning  = "warning"
)

// writeImportsCSV writes a row for each file, and for each of its conflicts,
// errors and warnings.
func writeImportsCSV(w io.Writer, i *Imports) error {
	out := csv.NewWriter(w)
	rows := &namedRows{out: out, header: importHeader}
	rows.err = out.Write(importHeader)
	for n := range i.Files {
		rows.importedFile(&i.Files[n])
	}
	out.Flush()
	if rows.err == nil {
		rows.err = out.Error()
	}
	return rows.err
}

// namedRows writes rows by the names of their cells.
type namedRows struct {
	out    *csv.Writer
	header []string
	err    error // the first
}

func (r *namedRows) write(cells map[string]string) {
	if r.err != nil {
		return
	}
	row := make([]string, len(r.header))
	for i, name := range r.header {
		row[i] = cellSafe(cells[name])
	}
	r.err = r.out.Write(row)
}

func (r *namedRows) importedFile(f *ImportedFile) {
	res := f.result()
	whole := strconv.Itoa
	row := map[string]string{
		"kind": kindFile, "file": f.File, "sha256": f.SHA256, "holds": string(f.Holds), "outcome": string(f.Outcome),
		"new": whole(res.New), "same": whole(res.Same), "changed": whole(res.Changed), "containers": whole(res.Containers),
		"event": wholeOrBlank(int(f.event())), "message": f.Failure,
	}
	if res.Earlier != nil {
		row["earlier_event"] = whole(int(res.Earlier.ID))
	}
	r.write(row)
	for _, c := range res.Conflicts {
		r.write(map[string]string{
			"kind": kindConflict, "file": f.File, "holds": string(c.Kind), "name": c.Name, "container": c.Container, "column": c.Field,
			"registered": c.Old, "registered_file": c.OldAt.File, "registered_line": wholeOrBlank(c.OldAt.Line),
			"imported": c.New, "imported_file": c.NewAt.File, "imported_line": wholeOrBlank(c.NewAt.Line),
		})
	}
	for _, e := range f.Errors {
		r.write(map[string]string{"kind": kindError, "file": f.File, "column": e.Name, "imported": e.Found, "imported_line": wholeOrBlank(e.Line),
			"code": string(e.Code), "message": e.Message, "cure": e.Remedy})
	}
	for _, w := range f.warnings() {
		r.write(map[string]string{"kind": kindWarning, "file": f.File, "imported_line": wholeOrBlank(w.Line), "code": string(w.Code), "message": w.Message, "cure": w.Cure})
	}
}
