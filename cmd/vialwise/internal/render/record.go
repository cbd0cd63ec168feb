package render

import (
	_ "embed"
	"encoding/csv"
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
		return writeRecordCSV(w, r)
	case "json":
		return encodeJSON(w, newRecordJSON(r))
	}
	return writeProse(w, format, recordTables(r))
}

func writeRecordCSV(w io.Writer, r *Record) error {
	out := csv.NewWriter(w)
	for _, row := range recordRows(r) {
		for i, cell := range row {
			row[i] = cellSafe(cell)
		}
		if err := out.Write(row); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}
