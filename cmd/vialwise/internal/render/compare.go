package render

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"vialwise/bioassay"
	"vialwise/doseresp/mixture"
)

// Comparisons is everything that a run of compare found.
type Comparisons struct {
	Version   string // of this program
	Options   bioassay.CompareOptions
	Inputs    []Input
	Reading   []bioassay.Warning // about the files rather than an assay
	Baselines []*bioassay.Baseline
	Compared  []*bioassay.Comparison
	Refused   []bioassay.Refusal
}

// WriteComparisons writes the results in a format of Formats.
func WriteComparisons(w io.Writer, c *Comparisons, format string) error {
	switch format {
	case "csv":
		return writeComparisonsCSV(w, c)
	case "json":
		return writeComparisonsJSON(w, c)
	}
	return writeTables(w, format, compareTables(c))
}

// writeTables writes an answer for people.
func writeTables(w io.Writer, format string, tables []*table) error {
	switch format {
	case "text":
		return writeText(w, tables...)
	case "markdown":
		return writeMarkdown(w, tables...)
	case "latex":
		return writeLatex(w, tables...)
	}
	return fmt.Errorf("unknown format %q; use one of %s", format, strings.Join(Formats(), ", "))
}

// compareTables lays out the answer: what was compared with, the ratios, then
// what the lines and the survivors tell. Tables without a row are left out.
func compareTables(c *Comparisons) []*table {
	tables := []*table{
		baselineTable(c.Baselines),
		ratioTable(c),
		lineTable(c),
		fractionTable(c),
		survivorTable(c),
		refusedTable(c.Refused),
	}
	tables = slices.DeleteFunc(tables, func(t *table) bool { return len(t.rows) == 0 })
	last := tables[len(tables)-1]
	last.notes = append(last.notes, compareSettings(c), laboratoryCaution)
	last.remarks = compareRemarks(c)
	return tables
}

// laboratoryCaution stands below every answer from which somebody might choose
// a treatment.
const laboratoryCaution = "A laboratory result does not decide a treatment: labels and local law do."

// column adds a column to a table.
func (t *table) column(name string, numeric bool) {
	t.header = append(t.header, name)
	t.numeric = append(t.numeric, numeric)
}

func compareSettings(c *Comparisons) string {
	o := c.Options.Analysis
	f := Fits{Options: o}
	return settings(&f)
}

// compareRemarks gathers the warnings about baselines, fits and comparisons.
func compareRemarks(c *Comparisons) []remark {
	var all []noted
	for _, b := range c.Baselines {
		all = append(all, noted{b.Name, b.Warnings})
		for _, a := range b.Assays {
			all = append(all, noted{a.Assay.Name, a.Warnings})
		}
	}
	for _, r := range c.Compared {
		said := slices.DeleteFunc(slices.Clone(r.Warnings), func(w bioassay.Warning) bool { return slices.Contains(inNotes, w.Code) })
		all = append(all, noted{r.Field.Assay.Name, said}, noted{r.Field.Assay.Name, r.Field.Warnings})
		if r.Verdict != nil {
			all = append(all, noted{r.Field.Assay.Name, doubts(*r.Verdict)})
		}
	}
	return gather(all)
}

// inNotes are the warnings that a table says once for all, in its notes.
var inNotes = []bioassay.WarningCode{
	bioassay.WarningCode(mixture.WarnLowerBound), bioassay.WarningCode(mixture.WarnLeastShift),
	bioassay.WarningCode(mixture.WarnVariation), bioassay.WarnWholeShift,
}

// doubts are the findings on quality that do not merely note something.
func doubts(v bioassay.Verdict) (out []bioassay.Warning) {
	for _, f := range v.Findings {
		if f.Severity > bioassay.Note {
			out = append(out, f.Warning)
		}
	}
	return out
}

func refusedTable(refused []bioassay.Refusal) *table {
	t := &table{title: "Not compared"}
	t.column("Assay", false)
	t.column("Reason", false)
	for _, r := range refused {
		t.rows = append(t.rows, []string{r.Assay.Name, r.Err.Error()})
	}
	return t
}
