package render

import (
	"maps"
	"slices"

	"vialwise/bioassay"
	"vialwise/bioassay/tables/workbook"
)

// countColumns are those of the count table that a workbook carries. A column
// that no container fills is left out, but for the required ones.
var countColumns = []struct {
	name     string
	required bool
	cell     func(a *bioassay.Assay, c *bioassay.Container) workbook.Value
}{
	{"assay", true, func(a *bioassay.Assay, _ *bioassay.Container) workbook.Value { return textCell(a.Name) }},
	{"apiary", false, func(a *bioassay.Assay, _ *bioassay.Container) workbook.Value { return textCell(a.Apiary) }},
	{"population", false, func(a *bioassay.Assay, _ *bioassay.Container) workbook.Value { return textCell(a.Population) }},
	{"role", true, func(a *bioassay.Assay, _ *bioassay.Container) workbook.Value { return textCell(a.Role.String()) }},
	{"collected_on", false, func(a *bioassay.Assay, _ *bioassay.Container) workbook.Value { return dayCell(a.CollectedOn) }},
	{"tested_on", false, func(a *bioassay.Assay, _ *bioassay.Container) workbook.Value { return dayCell(a.TestedOn) }},
	{"acaricide", false, func(a *bioassay.Assay, _ *bioassay.Container) workbook.Value { return textCell(a.Acaricide) }},
	{"protocol", false, func(a *bioassay.Assay, _ *bioassay.Container) workbook.Value { return textCell(a.Protocol) }},
	{"unit", false, func(a *bioassay.Assay, _ *bioassay.Container) workbook.Value { return textCell(a.Unit) }},
	{"exposure_h", false, func(a *bioassay.Assay, _ *bioassay.Container) workbook.Value { return optionalCell(a.ExposureHours) }},
	{"reading_h", false, func(a *bioassay.Assay, _ *bioassay.Container) workbook.Value { return optionalCell(a.ReadingHours) }},
	{"container", false, func(_ *bioassay.Assay, c *bioassay.Container) workbook.Value { return textCell(c.Label) }},
	{"concentration", true, func(_ *bioassay.Assay, c *bioassay.Container) workbook.Value {
		return workbook.NumberValue(c.Concentration)
	}},
	{"exposed", true, func(_ *bioassay.Assay, c *bioassay.Container) workbook.Value { return wholeCell(c.Exposed) }},
	{"dead", true, func(_ *bioassay.Assay, c *bioassay.Container) workbook.Value { return wholeCell(c.Dead) }},
	{"moribund", false, func(_ *bioassay.Assay, c *bioassay.Container) workbook.Value { return filledCell(c.Moribund) }},
	{"missing", false, func(_ *bioassay.Assay, c *bioassay.Container) workbook.Value { return filledCell(c.Missing) }},
	{"mite_source", false, func(_ *bioassay.Assay, c *bioassay.Container) workbook.Value { return textCell(c.MiteSource) }},
	{"capped_brood", false, func(_ *bioassay.Assay, c *bioassay.Container) workbook.Value { return textCell(c.CappedBrood.String()) }},
	{"tested_blind", false, func(_ *bioassay.Assay, c *bioassay.Container) workbook.Value { return textCell(c.TestedBlind.String()) }},
	{"note", false, func(_ *bioassay.Assay, c *bioassay.Container) workbook.Value { return textCell(c.Note) }},
}

func optionalCell(o bioassay.Optional) workbook.Value {
	if !o.Known {
		return workbook.Value{}
	}
	return numberCell(o.Value)
}

// filledCell is a count, blank for none.
func filledCell(n int) workbook.Value {
	if n == 0 {
		return workbook.Value{}
	}
	return wholeCell(n)
}

// countSheet holds the counts as they were entered, a row for each container,
// with the columns that this program does not know at the end.
func countSheet(assays []bioassay.Assay) *sheet {
	used := make([]bool, len(countColumns))
	names := map[string]bool{}
	eachContainer(assays, func(a *bioassay.Assay, c *bioassay.Container) {
		for n, column := range countColumns {
			used[n] = used[n] || column.required || column.cell(a, c) != workbook.Value{}
		}
		for _, f := range c.Extra {
			names[f.Name] = true
		}
	})
	extra := slices.Sorted(maps.Keys(names))
	s := &sheet{name: "counts"}
	for n, column := range countColumns {
		if used[n] {
			s.header = append(s.header, column.name)
		}
	}
	for _, name := range extra {
		s.header = append(s.header, cellSafe(name))
	}
	eachContainer(assays, func(a *bioassay.Assay, c *bioassay.Container) {
		var row []workbook.Value
		for n, column := range countColumns {
			if used[n] {
				row = append(row, column.cell(a, c))
			}
		}
		for _, name := range extra {
			row = append(row, textCell(extraValue(c, name)))
		}
		s.add(row...)
	})
	return s
}

func eachContainer(assays []bioassay.Assay, do func(*bioassay.Assay, *bioassay.Container)) {
	for i := range assays {
		for k := range assays[i].Containers {
			do(&assays[i], &assays[i].Containers[k])
		}
	}
}

func extraValue(c *bioassay.Container, name string) string {
	for _, f := range c.Extra {
		if f.Name == name {
			return f.Value
		}
	}
	return ""
}

// qualitySheet lists findings, a row each.
type qualitySheet struct{ sheet }

func newQualitySheet() *qualitySheet {
	return &qualitySheet{sheet{name: "quality", header: []string{"assay", "file", "severity", "code", "message", "cure", "rule"}}}
}

func (q *qualitySheet) list(a bioassay.Assay, findings []Finding) {
	for _, f := range findings {
		q.add(textCell(a.Name), textCell(a.File()), textCell(f.Severity), textCell(f.Code), textCell(f.Message), textCell(f.Cure), textCell(f.Rule))
	}
}

// methodSheet carries what a paper must say.
func methodSheet(m *Methods) *sheet {
	s := &sheet{name: "methods", header: []string{"what", "text"}}
	s.add(textCell("software"), textCell("vialwise "+m.version))
	for _, p := range m.Paragraphs() {
		s.add(textCell("method"), textCell(p))
	}
	for _, r := range m.References() {
		s.add(textCell("reference"), textCell(r.String()))
	}
	for _, i := range m.inputs {
		s.add(textCell("input, SHA-256 "+i.SHA256), textCell(i.File))
	}
	return s
}
