package sim

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
)

// RatioReport is a study with what its report says of the run.
type RatioReport struct {
	Version, Command string
	Study            RatioStudy
	Results          []RatioResult
	Seconds          float64
	Cores            int
}

// WriteRatioCSV writes a row for each cell and method.
func WriteRatioCSV(w io.Writer, results []RatioResult) error {
	out := csv.NewWriter(w)
	rows := [][]string{{"field_mites", "baseline_mites", "mites_per_container", "slope", "natural_mortality", "rho", "true_ratio",
		"method", "p", "data_sets", "finite", "rejects", "rejects_stderr", "coverage", "median_fold_width"}}
	number := func(x float64) string {
		if math.IsNaN(x) {
			return ""
		}
		return strconv.FormatFloat(x, 'g', 6, 64)
	}
	for i := range results {
		r := &results[i]
		cell := []string{strconv.Itoa(r.FieldMites()), strconv.Itoa(r.BaselineMites()), strconv.Itoa(r.Exposed),
			number(r.Slope), number(r.Natural), number(r.Rho), number(r.Ratio)}
		row := func(rest ...string) { rows = append(rows, append(append([]string(nil), cell...), rest...)) }
		for _, s := range r.Limits {
			if s.Tried > 0 {
				row(s.Method.String(), number(s.Percent), strconv.Itoa(s.Tried), number(share(s.Finite, s.Tried)), number(s.Excludes()),
					number(binomialStdErr(s.Excludes(), s.Tried)), number(share(s.Covered, s.Tried)), number(s.MedianFold))
			}
		}
		for _, t := range r.Tests {
			n := t.Tried - t.Untested
			row(t.Method.String(), "", strconv.Itoa(n), "", number(t.Rejects()), number(binomialStdErr(t.Rejects(), n)), "", "")
		}
	}
	return out.WriteAll(rows)
}

// WriteRatioReport writes the report in Markdown.
func WriteRatioReport(w io.Writer, r *RatioReport) error {
	var b strings.Builder
	b.WriteString("# How often equal populations are found different\n\n" +
		"Two populations of the same LC50 and slope were simulated, and the share of pairs counted in which limits of 95 % of the ratio exclude 1, or a test at 5 % rejects. That share should be 5 %. Pairs whose true ratio is 2 show what the methods find.\n\n")
	r.found(&b)
	r.how(&b)
	r.methods(&b)
	for _, p := range studyPercents {
		fmt.Fprintf(&b, "\n## Limits of the ratio at LC%g that exclude 1, %% of equal populations\n\n", p)
		r.limitsTable(&b, p, 1)
	}
	b.WriteString("\n## Tests that reject, % of equal populations\n\n")
	r.testsTable(&b, 1)
	b.WriteString("\n## What a true ratio of 2 shows, % of pairs\n\nLimits at LC50 that exclude 1, without correlation:\n\n")
	r.limitsTable(&b, 50, 2)
	b.WriteString("\nTests that reject; equality should, parallelism should not:\n\n")
	r.testsTable(&b, 2)
	r.widths(&b)
	_, err := io.WriteString(w, b.String())
	return err
}

// found says which errors lie outside the band.
func (r *RatioReport) found(b *strings.Builder) {
	breaches := RatioBreaches(r.Results)
	fmt.Fprintf(b, "## What was found\n\nThe band is %g to %g %% without correlation, from %d field mites on, for the answer and the tests that decide. Outside it: ",
		100*LeastTypeI, 100*GreatestTypeI, NamedMites)
	if len(breaches) == 0 {
		b.WriteString("nothing.\n\n")
		return
	}
	for i, x := range breaches {
		if i > 0 {
			b.WriteString("; ")
		}
		fmt.Fprintf(b, "%s with %d field mites and a baseline of %d (%.2f ± %.2f %%)", x.What, x.Cell.FieldMites(), x.Cell.BaselineMites(), 100*x.Found, 100*x.StdErr)
	}
	b.WriteString(".\n\n")
}

func (r *RatioReport) how(b *strings.Builder) {
	s := &r.Study
	fmt.Fprintf(b, "## How it was run\n\nVialwise %s, %d cores.\n\n    %s\n\n%d cells × %d pairs, posteriors with the first %d of each. It took %.0f minutes.\n\n",
		r.Version, r.Cores, r.Command, len(s.Cells), s.DataSets, min(s.Posteriors, s.DataSets), math.Ceil(r.Seconds/60))
	fmt.Fprintf(b, "Each population is tested at %d doses, %g probits of the true line apart, their middle up to half of that beside its LC50, anew in each pair. There are as many untreated containers as containers at one dose. ", RatioDoses, DoseSpacing)
	if len(s.Cells) > 0 {
		c := s.Cells[0]
		fmt.Fprintf(b, "Containers hold %d mites, the slope is %g probits per tenfold dose, natural mortality %g; ρ is the correlation between mites of one container. ", c.Exposed, c.Slope, c.Natural)
	}
	b.WriteString("Truth and model are probit, natural mortality is estimated in each population. ± is the Monte Carlo standard error.\n\n" +
		"What it cannot show: the truth is always a straight probit line, the doses always surround the LC50, and field and baseline vary alike between containers.\n\n")
}

func (r *RatioReport) methods(b *strings.Builder) {
	b.WriteString("## The methods\n\n| Method | What it is |\n| --- | --- |\n")
	for _, m := range RatioMethods() {
		fmt.Fprintf(b, "| %v | %s |\n", m, m.Explanation())
	}
	for _, m := range LineTestMethods() {
		fmt.Fprintf(b, "| %v | %s |\n", m, m.Explanation())
	}
	b.WriteString("\nA population without a line has no delta limits; the pair then counts as not excluding 1. H of profile-shared-h divides X²/df by a weight of the containers that can show variation.\n")
}

// tableHead writes the columns: a column for each method.
func tableHead(b *strings.Builder, names []string) {
	fmt.Fprintf(b, "| Field | Baseline | ρ | %s |\n| ---: | ---: | ---: |%s\n", strings.Join(names, " | "), strings.Repeat(" ---: |", len(names)))
}

func (r *RatioReport) rows(b *strings.Builder, ratio float64, cells func(x *RatioResult) []string) {
	for i := range r.Results {
		if x := &r.Results[i]; x.Ratio == ratio {
			fmt.Fprintf(b, "| %d | %d | %g | %s |\n", x.FieldMites(), x.BaselineMites(), x.Rho, strings.Join(cells(x), " | "))
		}
	}
}

func percentWithError(share float64, n int) string {
	if n == 0 {
		return "–"
	}
	return fmt.Sprintf("%.1f ± %.1f", 100*share, 100*binomialStdErr(share, n))
}

func (r *RatioReport) limitsTable(b *strings.Builder, percent, ratio float64) {
	var names []string
	for _, m := range RatioMethods() {
		names = append(names, m.String())
	}
	tableHead(b, names)
	r.rows(b, ratio, func(x *RatioResult) (cells []string) {
		for _, m := range RatioMethods() {
			s := x.Of(m, percent)
			cells = append(cells, percentWithError(s.Excludes(), s.Tried))
		}
		return cells
	})
}

func (r *RatioReport) testsTable(b *strings.Builder, ratio float64) {
	var names []string
	for _, m := range LineTestMethods() {
		names = append(names, m.String())
	}
	tableHead(b, names)
	r.rows(b, ratio, func(x *RatioResult) (cells []string) {
		for _, t := range x.Tests {
			cells = append(cells, percentWithError(t.Rejects(), t.Tried-t.Untested))
		}
		return cells
	})
}

// widths compares how wide the limits are and how often they are bounded.
func (r *RatioReport) widths(b *strings.Builder) {
	b.WriteString("\n## Width of the limits at LC50\n\nMedian of upper over lower where bounded, and in brackets the % of pairs with two bounds:\n\n")
	var names []string
	for _, m := range RatioMethods() {
		names = append(names, m.String())
	}
	tableHead(b, names)
	r.rows(b, 1, func(x *RatioResult) (cells []string) {
		for _, m := range RatioMethods() {
			s := x.Of(m, 50)
			if s.Finite == 0 {
				cells = append(cells, "–")
				continue
			}
			cells = append(cells, fmt.Sprintf("%.2f (%.1f)", s.MedianFold, 100*share(s.Finite, s.Tried)))
		}
		return cells
	})
}
