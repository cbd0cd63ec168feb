package sim

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"strconv"
)

// WriteFractionCSV writes a row for each cell: rates are empty where a
// detector does not apply to the design.
func WriteFractionCSV(w io.Writer, results []FractionResult) error {
	out := csv.NewWriter(w)
	header := []string{"baseline_per_dose", "field_mites", "design", "fraction", "fold", "rho", "data_sets"}
	for _, d := range Detectors() {
		header = append(header, d.String(), d.String()+"_se")
	}
	header = append(header, "profile_coverage", "profile_width", "posterior_coverage", "posterior_width", "intervals",
		"mean_plateau", "median_shifted")
	rows := [][]string{header}
	for i := range results {
		rows = append(rows, results[i].csvRow())
	}
	return out.WriteAll(rows)
}

func (r *FractionResult) csvRow() []string {
	row := []string{
		strconv.Itoa(r.Baseline), strconv.Itoa(r.Mites), r.Design.String(),
		csvNumber(r.Fraction), csvNumber(r.Fold), csvNumber(r.Rho), strconv.Itoa(r.DataSets),
	}
	for _, d := range Detectors() {
		row = append(row, csvNumber(r.Rate(d)), csvNumber(r.RateError(d)))
	}
	return append(row, csvNumber(r.Profile.Coverage()), csvNumber(r.Profile.MedianWidth),
		csvNumber(r.Posterior.Coverage()), csvNumber(r.Posterior.MedianWidth), strconv.Itoa(r.Profile.Given),
		csvNumber(r.MeanPlateau), csvNumber(r.MedianShift))
}

// csvNumber is empty where there is no number.
func csvNumber(x float64) string {
	switch {
	case math.IsNaN(x):
		return ""
	case math.IsInf(x, 1):
		return "plateau"
	}
	return strconv.FormatFloat(x, 'g', 5, 64)
}

// WriteFractionReport writes the study as Markdown. Every number in it is made
// from the results.
func WriteFractionReport(w io.Writer, s Fractions, results []FractionResult) error {
	f := fractionReport{study: s, results: results}
	f.text("# Finding a resistant fraction while it is rare\n\n")
	f.text("How often do the tests for a resistant fraction q find one that is there, or one that is not, and how does that compare with a shift of LC50 and with a single discriminating dose? Field populations were simulated from known truths and judged against simulated baselines.\n\n")
	f.text("## What was found\n\n")
	f.findings()
	f.text("\n## How it was run\n\n")
	f.howRun()
	f.text("\n## Level: findings in populations without a resistant part\n\n")
	f.levels()
	f.text("\n## Power\n\n")
	f.power()
	f.text("\n## Intervals of q\n\n")
	f.intervals()
	_, err := w.Write(f.out.Bytes())
	return err
}

// fractionReport is the report as it is written.
type fractionReport struct {
	study   Fractions
	results []FractionResult
	out     bytes.Buffer
}

func (f *fractionReport) text(format string, args ...any) { fmt.Fprintf(&f.out, format, args...) }

// row writes a line of a Markdown table.
func (f *fractionReport) row(cells ...string) {
	f.text("|")
	for _, c := range cells {
		f.text(" %s |", c)
	}
	f.text("\n")
}

// head writes the head of a table with the first columns left aligned.
func (f *fractionReport) head(left int, cells ...string) {
	f.row(cells...)
	for i := range cells {
		if i < left {
			f.text("| --- ")
		} else {
			f.text("| ---: ")
		}
	}
	f.text("|\n")
}

// percent is a rate in per cent, a dash where there is none.
func percent(x float64) string {
	if math.IsNaN(x) {
		return "–"
	}
	return fmt.Sprintf("%.1f", 100*x)
}

func foldWords(fold float64) string {
	if math.IsInf(fold, 1) {
		return "plateau"
	}
	return fmt.Sprintf("%g-fold", fold)
}

// of finds the result of a cell, nil where the study has none.
func (f *fractionReport) of(c FractionCell) *FractionResult {
	for i := range f.results {
		if f.results[i].FractionCell == c {
			return &f.results[i]
		}
	}
	return nil
}

func (f *fractionReport) levels() {
	f.text("Nominal 5 %% for the tests and 2.5 %% for a ratio above 1 by a two-sided 95 %% interval. ± is the Monte Carlo standard error of the plateau test.\n\n")
	head := []string{"Design", "Baseline", "Field mites", "ρ"}
	for _, d := range Detectors() {
		head = append(head, d.String())
	}
	f.head(1, append(head, "±")...)
	for i := range f.results {
		if r := &f.results[i]; r.Fraction == 0 {
			cells := []string{r.Design.String(), fmt.Sprintf("6 × %d", r.Baseline), strconv.Itoa(r.Mites), fmt.Sprint(r.Rho)}
			for _, d := range Detectors() {
				cells = append(cells, percent(r.Rate(d)))
			}
			f.row(append(cells, percent(r.RateError(PlateauTest)))...)
		}
	}
}

// powerColumns are what the table of power shows, by design and detector.
var powerColumns = []struct {
	head     string
	design   FractionDesign
	detector Detector
}{
	{"q test, series", FractionSeries, PlateauTest},
	{"RR 95, series", FractionSeries, RatioAbove},
	{"RR 90, series", FractionSeries, RatioOneSided},
	{"RR delta, series", FractionSeries, RatioDelta},
	{"q test, split", FractionSplit, PlateauTest},
	{"RR 95, split", FractionSplit, RatioAbove},
	{"q test, two-high", FractionTwoHigh, PlateauTest},
	{"dose test, all-high", FractionAllHigh, DoseTest},
	{"plain dose test, all-high", FractionAllHigh, PlainDoseTest},
}

func (f *fractionReport) power() {
	f.text("Found, %% of data sets, ρ = 0. The q test is the plateau test. The naive dose test is left out: its level is wrong (above).\n\n")
	head := []string{"Shift", "Baseline", "Field mites", "q"}
	for _, c := range powerColumns {
		head = append(head, c.head)
	}
	f.head(1, head...)
	for i := range f.results {
		c := f.results[i].FractionCell
		if c.Fraction == 0 || c.Design != FractionSeries {
			continue
		}
		cells := []string{foldWords(c.Fold), fmt.Sprintf("6 × %d", c.Baseline), strconv.Itoa(c.Mites), fmt.Sprint(c.Fraction)}
		for _, column := range powerColumns {
			c.Design = column.design
			cells = append(cells, percent(f.rate(c, column.detector)))
		}
		f.row(cells...)
	}
}

func (f *fractionReport) rate(c FractionCell, d Detector) float64 {
	if r := f.of(c); r != nil {
		return r.Rate(d)
	}
	return math.NaN()
}

func (f *fractionReport) intervals() {
	f.text("95 %% profile limits of the free shift, and 95 %% posterior limits, on the first %d data sets of a cell. The plateau's estimate is the mean, that of the free shift the median. Posterior limits never hold q = 0, and no coverage is given there.\n\n", f.study.Intervals)
	f.head(1, "Design", "Baseline", "Field mites", "q", "Shift", "Profile holds, %", "width", "Posterior holds, %", "width", "q by plateau", "q by free shift")
	for i := range f.results {
		r := &f.results[i]
		if r.Profile.Given == 0 {
			continue
		}
		shift, held := foldWords(r.Fold), r.Posterior.Coverage()
		if r.Fraction == 0 {
			shift, held = fmt.Sprintf("none, ρ %g", r.Rho), math.NaN()
		}
		f.row(r.Design.String(), fmt.Sprintf("6 × %d", r.Baseline), strconv.Itoa(r.Mites), fmt.Sprint(r.Fraction), shift,
			percent(r.Profile.Coverage()), fmt.Sprintf("%.2f", r.Profile.MedianWidth),
			percent(held), fmt.Sprintf("%.2f", r.Posterior.MedianWidth),
			fmt.Sprintf("%.3f", r.MeanPlateau), fmt.Sprintf("%.3f", r.MedianShift))
	}
}
