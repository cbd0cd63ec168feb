package render

import (
	"encoding/csv"
	"io"
	"strconv"

	"vialwise/bioassay"
)

var checkHeader = []string{
	"file", "sheet", "line", "column", "column_name", "assay", "apiary", "population", "acaricide", "protocol", "verdict",
	"kind", "severity", "code", "found", "message", "cure", "rule_set", "rule_source", "borrowed_from",
	"overridden_by", "overridden_on", "overridden_because",
}

// The kinds of rows. An assay without a finding has a row of kind none.
const (
	kindError   = "error"   // of a file
	kindReading = "reading" // how a file was read
	kindFinding = "finding"
	kindNone    = "none"
)

// writeCheckCSV writes one row for each error, remark on reading and finding.
func writeCheckCSV(w io.Writer, c *Check) error {
	out := csv.NewWriter(w)
	rows := &checkRows{out: out}
	rows.err = out.Write(checkHeader)
	for i := range c.Files {
		rows.file(&c.Files[i])
	}
	for i := range c.Assays {
		rows.assay(&c.Assays[i])
	}
	for _, f := range c.Idle {
		rows.finding(f, map[string]string{"verdict": ""})
	}
	out.Flush()
	if rows.err == nil {
		rows.err = out.Error()
	}
	return rows.err
}

// checkRows writes rows by the names of their cells.
type checkRows struct {
	out *csv.Writer
	row []string
	err error // the first
}

func (r *checkRows) write(cells ...map[string]string) {
	if r.err != nil {
		return
	}
	r.row = r.row[:0]
	for _, name := range checkHeader {
		value := ""
		for _, c := range cells {
			if v, ok := c[name]; ok {
				value = v
			}
		}
		r.row = append(r.row, cellSafe(value))
	}
	r.err = r.out.Write(r.row)
}

func (r *checkRows) file(f *CheckedFile) {
	for _, e := range f.Errors {
		r.write(map[string]string{
			"file": f.File, "sheet": e.Sheet, "line": wholeOrBlank(e.Line), "column": wholeOrBlank(e.Column), "column_name": e.Name,
			"kind": kindError, "severity": kindError, "code": string(e.Code), "found": e.Found, "message": e.Message, "cure": e.Remedy,
		})
	}
	for _, w := range f.Warnings {
		r.write(map[string]string{"file": f.File, "line": wholeOrBlank(w.Line), "kind": kindReading, "severity": bioassay.Note.String(),
			"code": string(w.Code), "message": w.Message, "cure": w.Cure})
	}
}

func (r *checkRows) assay(a *CheckedAssay) {
	common := map[string]string{
		"file": a.At.File, "line": strconv.Itoa(a.At.Line), "assay": a.Name, "apiary": a.Apiary, "population": a.Population,
		"acaricide": a.Acaricide, "protocol": a.Protocol, "verdict": a.class(),
	}
	if len(a.Verdict.Findings) == 0 {
		r.write(common, map[string]string{"kind": kindNone})
	}
	for _, f := range a.Verdict.Findings {
		for _, o := range a.Verdict.Lifted {
			if o.Code == f.Code && f.Severity == bioassay.Discard {
				common["overridden_by"], common["overridden_on"], common["overridden_because"] = o.By, o.On.String(), o.Why
			}
		}
		r.finding(f, common)
		delete(common, "overridden_by")
		delete(common, "overridden_on")
		delete(common, "overridden_because")
	}
}

func (r *checkRows) finding(f bioassay.Finding, common map[string]string) {
	own := map[string]string{
		"kind": kindFinding, "severity": f.Severity.String(), "code": string(f.Code), "message": f.Message, "cure": f.Cure,
		"rule_set": f.Rule.Name, "rule_source": f.Rule.Source, "borrowed_from": f.Rule.Borrowed,
	}
	if f.File != "" {
		own["file"], own["line"] = f.File, wholeOrBlank(f.Line)
	}
	r.write(common, own)
}

// CellSafe keeps a spreadsheet from running a cell of a list as a formula.
func CellSafe(s string) string { return cellSafe(s) }
