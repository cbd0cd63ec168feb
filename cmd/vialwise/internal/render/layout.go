package render

import "vialwise/bioassay"

// Table is a result laid out for people, for packages that mark it up
// themselves. Every row has as many cells as the header.
type Table struct {
	Title   string // blank where it stands alone
	Header  []string
	Numeric []bool // columns that align to the right
	Rows    [][]string
	Notes   []string // a paragraph each
	Remarks []Remark
}

// Remark is one kind of doubt with its cure.
type Remark struct {
	Code, Cure string
	About      []string // "assay: message", or all assays of one message
}

// Verdicts finds what the quality rules say of an assay, and nothing where it was
// not judged. It may be nil.
type Verdicts func(bioassay.Assay) (bioassay.Verdict, bool)

func (v Verdicts) of(a bioassay.Assay) *bioassay.Verdict {
	if v == nil {
		return nil
	}
	if verdict, ok := v(a); ok {
		return &verdict
	}
	return nil
}

// Tables lays out the standard table.
func (f *Fits) Tables() []Table { return exported([]*table{fitTable(f)}) }

// Tables lays out all tables of a comparison.
func (c *Comparisons) Tables() []Table { return exported(compareTables(c)) }

// Tables lays out all tables of baselines.
func (b *Baselines) Tables() []Table { return exported(baselineTables(b)) }

func exported(tables []*table) []Table {
	var out []Table
	for _, t := range tables {
		e := Table{Title: t.title, Header: t.header, Numeric: t.numeric, Rows: t.rows, Notes: t.notes}
		for _, r := range t.remarks {
			e.Remarks = append(e.Remarks, Remark{r.code, r.cure, r.about})
		}
		out = append(out, e)
	}
	return out
}

// Label is the name of an assay in tables, with its file where two share a name.
func (f *Fits) Label(a *bioassay.Analysis) string { return f.label(a) }
