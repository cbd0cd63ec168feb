package render

import (
	_ "embed"
	"io"

	"vialwise/bioassay/registry"
)

//go:embed records.schema.json
var recordsSchema []byte

// RecordsSchema returns the JSON Schema of the json format of history and of
// the lists of baselines.
func RecordsSchema() []byte { return recordsSchema }

// Record is a part of what a registry remembers. What was not asked for is nil.
type Record struct {
	Version   string // of this program
	Registry  string // its file
	Events    []registry.Event
	Changes   []registry.Change // of the one event
	Decisions []registry.Decision
	Baselines []registry.Baseline
	Versions  []RecordedVersion // of one assay
}

// RecordedVersion is an assay as it stood in the record, with the event that
// brought it.
type RecordedVersion struct {
	registry.Entry
	By registry.Event
}

// WriteRecord writes it in a format of Formats. CSV holds the first of these
// that is there: versions, changes, baselines, events.
func WriteRecord(w io.Writer, r *Record, format string) error {
	switch format {
	case "csv":
		return writeRows(w, recordRows(r))
	case "json":
		return encodeJSON(w, newRecordJSON(r))
	}
	return writeProse(w, format, recordTables(r))
}
