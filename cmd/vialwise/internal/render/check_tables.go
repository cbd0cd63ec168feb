package render

import (
	"fmt"
	"slices"
	"strings"

	"vialwise/bioassay"
	"vialwise/bioassay/tables"
)

// What a report for people shows at most. Files and assays with errors or
// reasons come first; csv and json hold everything.
const (
	mostErrors   = 8   // of one code in a file
	mostWarnings = 8   // of one code in a file
	mostFindings = 8   // of one code
	mostNames    = 6   // of assays that share a finding
	mostAssays   = 100 // in the table of verdicts
)

const allElsewhere = "The formats csv and json hold everything."

// checkTables lays out the answer, what hinders most first.
func checkTables(c *Check) []*table {
	parts := []*table{summaryTable(c), cleanedTable(c)}
	for i := range c.Files {
		parts = append(parts, errorTable(&c.Files[i]))
	}
	parts = append(parts, discardedTable(c), overriddenTable(c), verdictTable(c), singleTable(c),
		findingTable(c, bioassay.Doubt), findingTable(c, bioassay.Note), readingTable(c), rulesTable(c))
	parts = withRows(parts)
	last := parts[len(parts)-1]
	if len(c.Assays) > 0 {
		last.notes = append(last.notes, checkSettings(c))
	}
	return parts
}

func checkSettings(c *Check) string {
	moribund := map[string]string{
		"dead": "Moribund mites counted as dead", "alive": "Moribund mites counted as alive",
	}[c.Moribund]
	if moribund == "" {
		moribund = "Moribund mites counted as the protocol of the assay says, and as dead where it names none"
	}
	rules := "the protocols and rule sets that come with the program"
	if c.Programme != "" {
		rules += ", with those of the programme " + c.Programme
	}
	return moribund + ". Held to " + rules + ". No count was changed."
}

// summaryTable has a row for each file, and one for all of several.
func summaryTable(c *Check) *table {
	t := &table{title: "Summary"}
	t.column("File", false)
	for _, name := range []string{"Rows", "Assays", "Usable", "Doubtful", "Overridden", "Discarded", "Errors"} {
		t.column(name, true)
	}
	row := func(name string, n Tally) {
		t.rows = append(t.rows, []string{name, fmt.Sprint(n.Rows), fmt.Sprint(n.Assays), fmt.Sprint(n.Usable), fmt.Sprint(n.Doubtful),
			fmt.Sprint(n.Overridden), fmt.Sprint(n.Discarded), fmt.Sprint(n.Errors)})
	}
	for i, n := range c.tallies() {
		row(ShownInput(c.Files[i].File), n)
	}
	if len(c.Files) > 1 {
		row("all", c.Tally())
	}
	t.notes = []string{"Usable: no doubt. Doubtful: usable, with the doubts listed. Overridden: usable by a recorded decision. " +
		"Discarded: no claim may rest on it. A file with errors is not used at all until they are corrected."}
	return t
}

// ShownInput is the name of a file; "-" is the standard input.
func ShownInput(file string) string {
	if file == "-" {
		return "standard input"
	}
	return file
}

// errorTable lists the errors of one file, with their places.
func errorTable(f *CheckedFile) *table {
	t := &table{title: "Errors in " + ShownInput(f.File) + ", of which nothing was used"}
	sheets := slices.ContainsFunc(f.Errors, func(e *tables.Error) bool { return e.Sheet != "" })
	if sheets {
		t.column("Sheet", false)
	}
	t.column("Line", true)
	t.column("Column", false)
	t.column("Code", false)
	t.prose("What is wrong", 40)
	t.prose("Remedy", 40)
	left := newLeftOut(mostErrors)
	for _, e := range f.Errors {
		if left.out(string(e.Code)) {
			continue
		}
		row := []string{wholeOrBlank(e.Line), errorColumn(e), string(e.Code), errorText(e), e.Remedy}
		if sheets {
			row = append([]string{e.Sheet}, row...)
		}
		t.rows = append(t.rows, row)
	}
	t.notes = left.notes()
	if f.Hint != "" {
		t.notes = append(t.notes, f.Hint)
	}
	return t
}

func wholeOrBlank(n int) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprint(n)
}

// errorColumn names the cell, or the column with its number.
func errorColumn(e *tables.Error) string {
	place := e.Cell()
	switch {
	case place == "":
		return ""
	case e.Name == "":
		return place
	}
	return place + " (" + e.Name + ")"
}

func errorText(e *tables.Error) string {
	if e.Found == "" {
		return e.Message
	}
	return "found " + e.Shown() + ": " + e.Message
}

// leftOut counts what a table for people leaves out.
type leftOut struct {
	most  int
	seen  map[string]int
	order []string
}

func newLeftOut(most int) *leftOut { return &leftOut{most: most, seen: map[string]int{}} }

// out counts one of a code and reports whether to leave it out.
func (l *leftOut) out(code string) bool {
	if l.seen[code]++; l.seen[code] == l.most+1 {
		l.order = append(l.order, code)
	}
	return l.seen[code] > l.most
}

func (l *leftOut) notes() []string {
	var list []string
	for _, code := range l.order {
		list = append(list, fmt.Sprintf("%d more of %s", l.seen[code]-l.most, code))
	}
	if list == nil {
		return nil
	}
	return []string{"Not shown: " + strings.Join(list, ", ") + ". " + allElsewhere}
}

// readingTable lists how the files were read: what was not taken as it stands,
// and what is odd.
func readingTable(c *Check) *table {
	t := &table{title: "How the files were read"}
	t.column("File", false)
	t.column("Line", true)
	t.column("Code", false)
	t.prose("What was found", 48)
	t.prose("Cure", 40)
	left := newLeftOut(mostWarnings)
	for _, f := range c.Files {
		for _, w := range f.Warnings {
			if !left.out(string(w.Code)) {
				t.rows = append(t.rows, []string{ShownInput(f.File), wholeOrBlank(w.Line), string(w.Code), w.Message, w.Cure})
			}
		}
	}
	t.notes = left.notes()
	return t
}

// cleanedTable lists the copies that were written.
func cleanedTable(c *Check) *table {
	t := &table{title: "Cleaned copies"}
	t.column("File", false)
	t.column("Copy", false)
	t.column("Changes", true)
	t.column("List of changes", false)
	t.prose("Remark", 40)
	for _, f := range c.Files {
		if k := f.Cleaned; k != nil {
			t.rows = append(t.rows, []string{ShownInput(f.File), orAbsent(k.Copy), fmt.Sprint(k.Changes), orAbsent(k.List), k.Note})
		}
	}
	t.notes = []string{"The originals are untouched. A copy says the same as its original; no count is changed."}
	return t
}

// rulesTable names the sources of the rule sets.
func rulesTable(c *Check) *table {
	t := &table{title: "Rule sets"}
	t.column("Rule set", false)
	t.prose("Rules on", 40)
	t.prose("Source", 48)
	t.column("Borrowed from", false)
	for _, r := range c.RuleSets {
		t.rows = append(t.rows, []string{r.Name, orAbsent(r.Title), orAbsent(r.Source), orAbsent(r.Borrowed)})
	}
	return t
}
