package render

import (
	"fmt"
	"strconv"

	"vialwise/bioassay"
	"vialwise/bioassay/registry"
)

// mostConflicts is how many a table for people shows of one file.
const mostConflicts = 40

// importTables lays out the outcome: the files, what is wrong with them, and
// the changes.
func importTables(i *Imports) []*table {
	parts := []*table{importedTable(i)}
	for n := range i.Files {
		f := &i.Files[n]
		parts = append(parts, errorTable(&CheckedFile{File: f.File, Errors: f.Errors, Hint: f.Hint}), conflictTable(i, f))
	}
	return append(parts[:1], withRows(parts[1:])...)
}

// importedTable has a row for each file.
func importedTable(i *Imports) *table {
	t := &table{title: "Import into " + i.Registry}
	if i.DryRun {
		t.title = "Dry run of an import into " + i.Registry
	}
	t.column("File", false)
	t.column("Holds", false)
	for _, name := range []string{"New", "Same", "Changed", "Containers"} {
		t.column(name, true)
	}
	t.column("Outcome", false)
	t.column("Event", true)
	for n := range i.Files {
		f := &i.Files[n]
		r := f.result()
		t.rows = append(t.rows, []string{ShownInput(f.File), holds(f.Holds), strconv.Itoa(r.New), strconv.Itoa(r.Same), strconv.Itoa(r.Changed),
			strconv.Itoa(r.Containers), outcomeWords(f.Outcome, i.DryRun), orAbsent(wholeOrBlank(int(f.event())))})
	}
	t.notes = importNotes(i)
	return t
}

func holds(s registry.Subject) string {
	switch s {
	case registry.OfAssay:
		return "assays"
	case registry.OfApiary:
		return "apiaries"
	}
	return absent
}

func outcomeWords(o Outcome, dry bool) string {
	words := map[Outcome]string{Imported: "imported", Amended: "imported as amendment", Unchanged: "nothing new", Conflicting: "conflict, not imported", NotImported: "not imported"}
	if dry {
		words[Imported], words[Amended], words[Conflicting] = "would be imported", "would be imported as amendment", "conflict, would not be imported"
	}
	return words[o]
}

func importNotes(i *Imports) []string {
	notes := []string{"New and changed rows of a file are imported all or none. Same: registered already with the same content, and skipped. Containers: rows of the new and changed assays."}
	switch {
	case i.DryRun && i.Made:
		notes = append(notes, "Nothing was written. There is no registry of this name yet: an import would make it.")
	case i.DryRun:
		notes = append(notes, "Nothing was written. Each file was compared with the registry as it is, not with the files before it.")
	case i.Made:
		notes = append(notes, "The registry was not there before and was made.")
	}
	for n := range i.Files {
		f := &i.Files[n]
		if e := f.result().Earlier; e != nil {
			notes = append(notes, fmt.Sprintf("%s has the bytes of %s, which %s imported on %s (event %d).", ShownInput(f.File), e.Source.Name, e.Who, day(e.At), e.ID))
		}
		if f.Places != "" {
			notes = append(notes, fmt.Sprintf("In %s %s. If that is wrong, look whether latitude and longitude are exchanged.", ShownInput(f.File), f.Places))
		}
		if f.Failure != "" {
			notes = append(notes, ShownInput(f.File)+" was not imported: "+f.Failure)
		}
	}
	return notes
}

// day is the day of a time in ISO 8601.
func day(at string) string { return at[:min(len(at), len("2031-04-09"))] }

// conflictTable shows both sides of every change.
func conflictTable(i *Imports, f *ImportedFile) *table {
	r := f.result()
	t := &table{title: "Conflicts in " + ShownInput(f.File) + ": the record has other values"}
	before, after := "Registered", "Imported"
	switch {
	case f.Outcome == Amended && i.DryRun:
		t.title = "What " + ShownInput(f.File) + " would amend"
	case f.Outcome == Amended:
		t.title, before = "What "+ShownInput(f.File)+" amended", "Registered before"
	}
	if f.Holds == registry.OfApiary {
		t.column("Apiary", false)
	} else {
		t.column("Assay", false)
		t.column("Container", false)
	}
	t.column("Column", false)
	t.column(before, false)
	t.column("at", false)
	t.column(after, false)
	t.column("at", false)
	for _, c := range r.Conflicts[:min(len(r.Conflicts), mostConflicts)] {
		row := []string{c.Name}
		if f.Holds != registry.OfApiary {
			row = append(row, orAbsent(c.Container))
		}
		t.rows = append(t.rows, append(row, c.Field, orAbsent(c.Old), origin(c.OldAt), orAbsent(c.New), origin(c.NewAt)))
	}
	if n := len(r.Conflicts) + r.MoreConflicts - len(t.rows); n > 0 {
		t.notes = append(t.notes, fmt.Sprintf("Not shown: %d more. The formats csv and json hold the first %d.", n, registry.MaxConflicts))
	}
	if f.Outcome == Conflicting {
		t.notes = append(t.notes, "Nothing of the file was imported. If the record is right, correct the file. If these are other assays, give them other names; if an assay was split over two files, join them into one table. If the file is right, import it with --amend --reason TEXT; the earlier values stay in the history.")
	}
	return t
}

// origin is a place as file and line, as far as it is known.
func origin(o bioassay.Origin) string { return orAbsent(o.String()) }
