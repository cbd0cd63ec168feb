package render

import (
	"io"
	"math"
	"strings"

	"vialwise/bioassay"
	"vialwise/bioassay/tables/workbook"
)

// BookFormat is the name of the format of a workbook (XLSX).
const BookFormat = "xlsx"

// sheet is a sheet of a workbook before it is written.
type sheet struct {
	name   string
	header []string
	rows   [][]workbook.Value
}

func (s *sheet) add(values ...workbook.Value) { s.rows = append(s.rows, values) }

// WriteFitsBook writes the results as a workbook: results, raw counts, findings on
// quality, methods. The sheet counts can be read as a count table again.
func WriteFitsBook(w io.Writer, f *Fits) error {
	var assays []bioassay.Assay
	quality := newQualitySheet()
	for _, a := range f.Analyses {
		assays = append(assays, a.Assay)
		quality.list(a.Assay, f.Findings(a))
	}
	return writeBook(w, fitSheet(f), countSheet(assays), &quality.sheet, methodSheet(f.Methods()))
}

// WriteComparisonsBook writes the results as a workbook: ratios, baselines, what
// was not compared, raw counts, findings on quality, methods.
func WriteComparisonsBook(w io.Writer, c *Comparisons) error {
	var assays []bioassay.Assay
	quality := newQualitySheet()
	for _, b := range c.Baselines {
		for _, a := range b.Assays {
			assays = append(assays, a.Assay)
			quality.list(a.Assay, c.BaselineFindings(a))
		}
	}
	for _, r := range c.Compared {
		assays = append(assays, r.Field.Assay)
		quality.list(r.Field.Assay, c.Findings(r))
	}
	sheets := []*sheet{ratioSheet(c), baselineSheet(c.Baselines)}
	if len(c.Refused) > 0 {
		sheets = append(sheets, refusedSheet(c.Refused))
		for _, r := range c.Refused {
			assays = append(assays, r.Assay)
		}
	}
	return writeBook(w, append(sheets, countSheet(assays), &quality.sheet, methodSheet(c.Methods()))...)
}

// WriteBaselinesBook writes the results as a workbook: baselines, candidates for
// a discriminating concentration, raw counts, findings on quality, methods.
func WriteBaselinesBook(w io.Writer, b *Baselines) error {
	var assays []bioassay.Assay
	quality := newQualitySheet()
	for _, x := range b.Baselines {
		for _, a := range x.Assays {
			assays = append(assays, a.Assay)
			quality.list(a.Assay, b.Findings(a))
		}
	}
	results := baselineSheet(b.Baselines)
	results.name = "results"
	return writeBook(w, results, discriminatingSheet(b.Baselines), countSheet(assays), &quality.sheet, methodSheet(b.Methods()))
}

func writeBook(w io.Writer, sheets ...*sheet) error {
	book, err := workbook.NewBuilder()
	if err != nil {
		return err
	}
	for _, s := range sheets {
		if err := s.write(book); err != nil {
			return err
		}
	}
	_, err = book.WriteTo(w)
	return err
}

func (s *sheet) write(book *workbook.Builder) error {
	out, err := book.Sheet(s.name, s.widths()...)
	if err != nil {
		return err
	}
	if err := out.Header(s.header...); err != nil {
		return err
	}
	for _, row := range s.rows {
		if err := out.Row(row...); err != nil {
			return err
		}
	}
	return nil
}

// Widths of columns in characters.
const (
	narrowColumn = 11
	nameColumn   = 30
	wideColumn   = 90
)

// wideColumns hold sentences, nameColumns names of any length.
var (
	wideColumns = []string{"message", "cure", "text", "reason"}
	nameColumns = []string{"assay", "baseline", "code", "rule", "findings", "what"}
)

func (s *sheet) widths() []float64 {
	var out []float64
	for _, name := range s.header {
		width := max(narrowColumn, float64(len([]rune(name)))+1)
		for _, wide := range wideColumns {
			if name == wide {
				width = wideColumn
			}
		}
		for _, long := range nameColumns {
			if name == long {
				width = nameColumn
			}
		}
		out = append(out, width)
	}
	return out
}

// textCell is a text, blank without one, with the apostrophe of the count table
// before what a spreadsheet may take for a formula, and before an apostrophe. A
// workbook cannot store control characters; they become the replacement character.
func textCell(s string) workbook.Value {
	if s == "" {
		return workbook.Value{}
	}
	s = strings.Map(func(r rune) rune {
		if r < ' ' && r != '\t' && r != '\n' && r != '\r' || r == 0xFFFE || r == 0xFFFF {
			return '\uFFFD'
		}
		return r
	}, strings.ToValidUTF8(s, "\uFFFD"))
	if strings.HasPrefix(s, "'") {
		return workbook.TextValue("'" + s)
	}
	return workbook.TextValue(cellSafe(s))
}

// numberCell is a number, blank where it does not exist.
func numberCell(x float64) workbook.Value {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return workbook.Value{}
	}
	return workbook.NumberValue(x)
}

// shownAs is a number in a format, blank where it does not exist.
func shownAs(x float64, format string) workbook.Value {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return workbook.Value{}
	}
	return workbook.NumberAs(x, format)
}

// boundCell is a dose or a ratio; 0 and infinity stand for no bound.
func boundCell(x float64) workbook.Value {
	if x == 0 {
		return workbook.Value{}
	}
	return numberCell(x)
}

func wholeCell(n int) workbook.Value { return workbook.NumberValue(float64(n)) }

// firstStoredYear is the first whose days a workbook stores.
const firstStoredYear = 1901

func dayCell(d bioassay.Date) workbook.Value {
	if d.IsZero() || d.Year < firstStoredYear {
		return textCell(d.String())
	}
	return workbook.DayValue(d.Year, d.Month, d.Day)
}

func yesCell(yes bool) workbook.Value {
	if yes {
		return workbook.TextValue("yes")
	}
	return workbook.TextValue("no")
}
