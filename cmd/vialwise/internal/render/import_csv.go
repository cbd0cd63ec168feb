package render

import (
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
	kindPlaces   = "places"
	kindWarning  = "warning"
)

// writeImportsCSV writes a row for each file, and for each of its conflicts,
// errors and warnings.
func writeImportsCSV(w io.Writer, i *Imports) error {
	rows := newNamedRows(w, importHeader)
	for n := range i.Files {
		rows.importedFile(&i.Files[n])
	}
	return rows.end()
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
	if f.Places != "" {
		r.write(map[string]string{"kind": kindPlaces, "file": f.File, "message": f.Places})
	}
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
