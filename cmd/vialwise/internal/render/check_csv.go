package render

import (
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
	rows := newNamedRows(w, checkHeader)
	for i := range c.Files {
		rows.checkedFile(&c.Files[i])
	}
	for i := range c.Assays {
		rows.checkedAssay(&c.Assays[i])
	}
	for _, f := range c.Idle {
		rows.finding(f, map[string]string{"verdict": ""})
	}
	return rows.end()
}

func (r *namedRows) checkedFile(f *CheckedFile) {
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

func (r *namedRows) checkedAssay(a *CheckedAssay) {
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

func (r *namedRows) finding(f bioassay.Finding, common map[string]string) {
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
