package render

import (
	"cmp"
	"strconv"
	"strings"

	"vialwise/bioassay"
)

// recordTables lays out what was asked for. The first table stays even without
// a row, so that an empty answer is one.
func recordTables(r *Record) []*table {
	var parts []*table
	switch {
	case r.Versions != nil:
		parts = []*table{versionTable(r), containerTable(r)}
	case r.Events == nil:
		parts = []*table{definedTable(r)}
	default:
		parts = []*table{eventTable(r), changeTable(r), definedTable(r)}
	}
	parts = append(parts, decisionTable(r))
	return append(parts[:1], withRows(parts[1:])...)
}

// shortHash is how much of a hash a table for people shows.
func shortHash(hash string) string { return hash[:min(len(hash), 12)] }

func eventTable(r *Record) *table {
	t := &table{title: "History of " + r.Registry}
	t.column("Event", true)
	t.column("When (UTC)", false)
	t.column("Who", false)
	t.column("What", false)
	t.prose("File", 32)
	t.prose("Reason", 40)
	t.column("Hash", false)
	for _, e := range r.Events {
		t.rows = append(t.rows, []string{strconv.FormatInt(e.ID, 10), moment(e.At), e.Who, string(e.Action), orAbsent(e.Source.Name), orAbsent(e.Reason), shortHash(e.Hash)})
	}
	t.notes = []string{"Hash: the beginning of the one that covers the event and all before it. The formats csv and json hold it whole, with the hash of the file."}
	if len(r.Events) == 0 {
		t.notes = []string{"Nothing was registered yet."}
	}
	return t
}

// moment is a time in ISO 8601 without the letters.
func moment(at string) string {
	return strings.TrimSuffix(strings.Replace(at, "T", " ", 1), "Z")
}

func changeTable(r *Record) *table {
	t := &table{title: "What it amended"}
	t.column("Assay or apiary", false)
	t.column("Container", false)
	t.column("Column", false)
	t.column("Before", false)
	t.column("After", false)
	for _, c := range r.Changes {
		t.rows = append(t.rows, []string{c.Name, orAbsent(c.Container), c.Field, orAbsent(c.Before), orAbsent(c.After)})
	}
	return t
}

func decisionTable(r *Record) *table {
	t := &table{title: "Decisions"}
	t.column("Event", true)
	t.column("Assay", false)
	t.column("Finding", false)
	t.column("Verdict", false)
	t.column("Decided by", false)
	t.column("Entered on", false)
	t.prose("Why", 40)
	for _, d := range r.Decisions {
		t.rows = append(t.rows, []string{strconv.FormatInt(d.Event, 10), d.Assay, string(d.Code), string(d.Verdict), d.By, day(d.At), d.Why})
	}
	return t
}

func definedTable(r *Record) *table {
	t := &table{title: "Baselines of " + r.Registry}
	t.column("Baseline", false)
	t.column("Version", true)
	t.prose("Assays", 40)
	t.prose("Amended since", 24)
	t.column("Defined on", false)
	t.column("By", false)
	t.prose("Note", 32)
	outdated := false
	for _, b := range r.Baselines {
		outdated = outdated || len(b.Outdated) > 0
		t.rows = append(t.rows, []string{b.Name, strconv.Itoa(b.Version), strings.Join(b.Assays, ", "), orAbsent(strings.Join(b.Outdated, ", ")),
			day(b.CreatedAt), b.CreatedBy, orAbsent(b.Note)})
	}
	if len(r.Baselines) == 0 {
		t.notes = []string{"No baseline was defined yet. Until one is, the assays whose role is baseline stand for it."}
	}
	if outdated {
		t.notes = []string{"Amended since: a version keeps the counts that it was defined with. For the amended ones to count, define the baseline again, which makes the next version."}
	}
	return t
}

func versionTable(r *Record) *table {
	t := &table{title: "Versions of assay " + r.Versions[0].Name + " in " + r.Registry}
	t.column("Version", true)
	t.column("Event", true)
	t.column("When (UTC)", false)
	t.column("Who", false)
	t.column("File", false)
	for _, name := range []string{"Apiary", "Role", "Collected", "Tested", "Acaricide", "Protocol", "Unit"} {
		t.column(name, false)
	}
	t.prose("Reason", 32)
	for _, v := range r.Versions {
		t.rows = append(t.rows, []string{strconv.Itoa(v.Number), strconv.FormatInt(v.Event, 10), moment(v.By.At), v.By.Who, orAbsent(v.By.Source.Name),
			orAbsent(v.Apiary), v.Role.String(), orAbsent(v.CollectedOn.String()), orAbsent(v.TestedOn.String()), orAbsent(v.Acaricide), orAbsent(v.Protocol), orAbsent(v.Unit), orAbsent(v.By.Reason)})
	}
	return t
}

func containerTable(r *Record) *table {
	t := &table{title: "Counts"}
	t.column("Version", true)
	t.column("Line", true)
	t.column("Container", false)
	for _, name := range []string{"Concentration", "Exposed", "Dead", "Moribund", "Missing"} {
		t.column(name, true)
	}
	for _, v := range r.Versions {
		for _, c := range v.Containers {
			t.rows = append(t.rows, append([]string{strconv.Itoa(v.Number), orAbsent(wholeOrBlank(c.Source.Line)), orAbsent(c.Label)}, countCells(c)...))
		}
	}
	return t
}

func countCells(c bioassay.Container) []string {
	return []string{cmp.Or(c.ConcentrationText, full(c.Concentration)), strconv.Itoa(c.Exposed), strconv.Itoa(c.Dead), strconv.Itoa(c.Moribund), strconv.Itoa(c.Missing)}
}
