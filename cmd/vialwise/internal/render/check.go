package render

import (
	"io"
	"slices"

	"vialwise/bioassay"
	"vialwise/bioassay/tables"
)

// Check is everything that a run of check found.
type Check struct {
	Version   string // of this program
	Programme string // name of the programme, or of its file; blank for the built-in rules
	Moribund  string // "by protocol", "dead" or "alive"
	Level     float64
	Files     []CheckedFile
	Assays    []CheckedAssay
	Idle      []bioassay.Finding // on the programme's overrides rather than an assay
	RuleSets  []bioassay.RuleSet // that the assays were held to
}

// CheckedFile is a count table as it was read.
type CheckedFile struct {
	File, SHA256 string
	Rows         int           // containers; 0 with errors
	Errors       tables.Errors // with any, nothing of the file was used
	Warnings     []bioassay.Warning
	Hint         string // what the file may be instead, blank when nothing is known
	Cleaned      *Cleaned
}

// Cleaned is what became of the wish for a cleaned copy.
type Cleaned struct {
	Copy, List string // the files written, blank when none was
	Changes    int
	Note       string // why nothing was written
	Failed     bool   // it should have been
}

// CheckedAssay is an assay with its verdict. Its containers are left out, so
// that the assays of a whole registry fit into memory.
type CheckedAssay struct {
	bioassay.Assay     // without containers
	FileNumber     int // of Check.Files
	At             bioassay.Origin
	Containers     int
	Treated        countJSON
	Controls       countJSON
	Missing        int
	Rules          string // names of the rule sets
	Verdict        bioassay.Verdict
	Single         *bioassay.Single // nil for a series of concentrations
}

// NewCheckedAssay takes what a report tells of an assay.
func NewCheckedAssay(file int, a bioassay.Assay, rules string, moribund bioassay.Moribund, v bioassay.Verdict, single *bioassay.Single) CheckedAssay {
	c := CheckedAssay{FileNumber: file, Assay: a, Rules: rules, Verdict: v, Single: single, Containers: len(a.Containers), Missing: a.Missing()}
	for i, n := range a.Counts(moribund) {
		side := &c.Treated
		if a.Containers[i].IsControl() {
			side = &c.Controls
		}
		side.Containers++
		side.Exposed += n.Exposed
		side.Dead += n.Dead
	}
	if len(a.Containers) > 0 {
		c.At = a.Containers[0].Source
	}
	c.Assay.Containers = nil
	return c
}

// The classes of assays, of which each belongs to one.
const (
	usable     = "usable"
	doubtful   = "doubtful"   // usable, with at least one doubt
	overridden = "overridden" // usable by a recorded decision alone
	discarded  = "discarded"
)

// class is the class of an assay.
func (a *CheckedAssay) class() string {
	switch v := &a.Verdict; {
	case !v.Usable:
		return discarded
	case len(v.Lifted) > 0:
		return overridden
	case slices.ContainsFunc(v.Findings, func(f bioassay.Finding) bool { return f.Severity == bioassay.Doubt }):
		return doubtful
	}
	return usable
}

// Tally counts what was found in a file, or in all of them.
type Tally struct {
	Files, Rows, Assays                     int
	Usable, Doubtful, Overridden, Discarded int // classes of assays
	Errors                                  int
}

// Tally counts over all files.
func (c *Check) Tally() Tally {
	all := Tally{Files: len(c.Files)}
	for _, t := range c.tallies() {
		all.add(t)
	}
	return all
}

// tallies counts file by file.
func (c *Check) tallies() []Tally {
	out := make([]Tally, len(c.Files))
	for i, f := range c.Files {
		out[i] = Tally{Files: 1, Rows: f.Rows, Errors: len(f.Errors)}
	}
	for i := range c.Assays {
		out[c.Assays[i].FileNumber].count(c.Assays[i].class())
	}
	return out
}

func (t *Tally) count(class string) {
	t.Assays++
	switch class {
	case usable:
		t.Usable++
	case doubtful:
		t.Doubtful++
	case overridden:
		t.Overridden++
	case discarded:
		t.Discarded++
	}
}

func (t *Tally) add(o Tally) {
	t.Rows += o.Rows
	t.Assays += o.Assays
	t.Usable += o.Usable
	t.Doubtful += o.Doubtful
	t.Overridden += o.Overridden
	t.Discarded += o.Discarded
	t.Errors += o.Errors
}

// WriteCheck writes the results in a format of Formats. CSV and JSON, which
// hold everything, are written piece by piece.
func WriteCheck(w io.Writer, c *Check, format string) error {
	switch format {
	case "csv":
		return writeCheckCSV(w, c)
	case "json":
		return writeCheckJSON(w, c)
	}
	parts := checkTables(c)
	if format == "text" {
		for _, t := range parts {
			t.wrapCells()
		}
	}
	return writeTables(w, format, parts)
}
