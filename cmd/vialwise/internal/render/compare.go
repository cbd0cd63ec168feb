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
	Verdicts  Verdicts  // on the quality of the baselines' assays
	names     nameCount // filled on first use
}

// label is the name of an assay, with its file where two share a name.
func (c *Comparisons) label(a bioassay.Assay) string {
	if c.names == nil {
		c.names = nameCount{}
		for _, r := range c.Compared {
			c.names[r.Field.Assay.Name]++
		}
		for _, r := range c.Refused {
			c.names[r.Assay.Name]++
		}
	}
	return c.names.label(a)
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
	tables := withRows([]*table{
		baselineTable(c.Baselines),
		ratioTable(c),
		lineTable(c),
		fractionTable(c),
		survivorTable(c),
		overrideTable(c),
		refusedTable(c),
	})
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
	text := modelSettings(o, "")
	for _, b := range c.Baselines {
		if rule := b.Assays[0].Moribund; rule != o.Moribund {
			return text + fmt.Sprintf(" By its protocol, %s for the baseline %s and what is compared with it.", rule, b.Name)
		}
	}
	return text
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
		all = append(all, noted{c.label(r.Field.Assay), said}, noted{c.label(r.Field.Assay), r.Field.Warnings})
		if r.Verdict != nil {
			all = append(all, noted{c.label(r.Field.Assay), doubts(*r.Verdict)})
		}
	}
	return gather(all)
}

// inNotes are the warnings that a table says once for all, in its notes.
var inNotes = []bioassay.WarningCode{
	bioassay.WarningCode(mixture.WarnLowerBound), bioassay.WarningCode(mixture.WarnLeastShift),
	bioassay.WarningCode(mixture.WarnVariation), bioassay.WarnWholeShift,
}

// doubts are the findings on quality that do not merely note something and that
// no recorded decision has lifted.
func doubts(v bioassay.Verdict) (out []bioassay.Warning) {
	for _, f := range v.Findings {
		lifted := slices.ContainsFunc(v.Lifted, func(o bioassay.Override) bool { return o.Code == f.Code })
		if f.Severity > bioassay.Note && !lifted {
			out = append(out, f.Warning)
		}
	}
	return out
}

// overrideTable names the assays that are compared in spite of a finding that
// discards them, and who answers for that.
func overrideTable(c *Comparisons) *table {
	t := &table{title: "Compared by a recorded decision although discarded", wrapped: map[int]int{4: 60}}
	for _, name := range []string{"Assay", "Finding", "By", "On", "Because"} {
		t.column(name, false)
	}
	for _, r := range c.Compared {
		if r.Verdict == nil {
			continue
		}
		for _, o := range r.Verdict.Lifted {
			t.rows = append(t.rows, []string{c.label(r.Field.Assay), string(o.Code), o.By, o.On.String(), o.Why})
		}
	}
	return t
}

func refusedTable(c *Comparisons) *table {
	t := &table{title: "Not compared", wrapped: map[int]int{1: 80}}
	t.column("Assay", false)
	t.column("Reason", false)
	for _, r := range c.Refused {
		t.rows = append(t.rows, []string{c.label(r.Assay), r.Err.Error()})
	}
	return t
}
