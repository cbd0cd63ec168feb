package render

import (
	"strconv"
	"strings"

	"vialwise/bioassay/registry"
)

// recordRows are the rows of the CSV, the header first.
func recordRows(r *Record) [][]string {
	switch {
	case r.Versions != nil:
		return versionRows(r.Versions)
	case r.Changes != nil:
		return changeRows(r.Events, r.Changes)
	case r.Baselines != nil:
		return baselineRows(r.Baselines)
	}
	rows := [][]string{{"event", "at", "who", "action", "reason", "file", "sha256", "bytes", "hash"}}
	for _, e := range r.Events {
		bytes := ""
		if e.Source.Name != "" {
			bytes = strconv.FormatInt(e.Source.Bytes, 10)
		}
		rows = append(rows, []string{strconv.FormatInt(e.ID, 10), e.At, e.Who, string(e.Action), e.Reason, e.Source.Name, e.Source.SHA256, bytes, e.Hash})
	}
	return rows
}

func changeRows(events []registry.Event, changes []registry.Change) [][]string {
	rows := [][]string{{"event", "kind", "name", "container", "column", "before", "after"}}
	for _, c := range changes {
		rows = append(rows, []string{strconv.FormatInt(events[0].ID, 10), string(c.Kind), c.Name, c.Container, c.Field, c.Before, c.After})
	}
	return rows
}

func baselineRows(list []registry.Baseline) [][]string {
	rows := [][]string{{"baseline", "version", "assays", "outdated", "event", "at", "who", "note"}}
	for _, b := range list {
		rows = append(rows, []string{b.Name, strconv.Itoa(b.Version), strings.Join(b.Assays, "; "), strings.Join(b.Outdated, "; "),
			strconv.FormatInt(b.Event, 10), b.CreatedAt, b.CreatedBy, b.Note})
	}
	return rows
}

// versionRows has a row for each container of each version.
func versionRows(list []RecordedVersion) [][]string {
	rows := [][]string{{
		"assay", "version", "event", "at", "who", "reason", "file", "line", "apiary", "population", "role", "collected_on", "tested_on", "acaricide", "protocol", "unit",
		"container", "concentration", "exposed", "dead", "moribund", "missing", "note",
	}}
	for _, v := range list {
		for _, c := range v.Containers {
			row := append([]string{
				v.Name, strconv.Itoa(v.Number), strconv.FormatInt(v.Event, 10), v.By.At, v.By.Who, v.By.Reason, c.Source.File, wholeOrBlank(c.Source.Line),
				v.Apiary, v.Population, v.Role.String(), v.CollectedOn.String(), v.TestedOn.String(), v.Acaricide, v.Protocol, v.Unit, c.Label,
			}, countCells(c)...)
			rows = append(rows, append(row, c.Note))
		}
	}
	return rows
}
