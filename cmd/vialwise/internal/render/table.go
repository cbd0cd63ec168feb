package render

import (
	"fmt"
	"math"

	"vialwise/bioassay"
	"vialwise/doseresp"
)

// table is a result laid out for people, before any markup.
type table struct {
	header  []string
	numeric []bool // columns that align to the right
	rows    [][]string
	notes   []string // below the table, a paragraph each
	remarks []remark // then the warnings
}

// fitTable lays out the standard table: one row an assay.
func fitTable(f *Fits) *table {
	t := &table{}
	add := func(name string, numeric bool) {
		t.header = append(t.header, name)
		t.numeric = append(t.numeric, numeric)
	}
	add("Assay", false)
	add("Acaricide", false)
	add("Unit", false)
	add("n", true)
	add("Control", true)
	add("Slope ± SE", true)
	for _, p := range f.Options.Fit.Percents {
		add(fmt.Sprintf("%s (%s FL)", lcName(p), percent(level(f.Options.Fit))), true)
	}
	add("χ² (df)", true)
	add("h", true)
	add("g", true)
	for _, a := range f.Analyses {
		t.rows = append(t.rows, fitRow(a, f.Options.Fit.Percents))
	}
	t.notes = []string{
		"n: treated mites, missing ones left out. Control: dead/exposed without treatment. FL: fiducial limits. χ²: Pearson's, by container. h: χ²/df. " +
			"SE: of maximum likelihood, without h.",
		settings(f),
	}
	t.remarks = remarks(f)
	return t
}

func fitRow(a *bioassay.Analysis, percents []float64) []string {
	r := a.Fit
	row := []string{
		a.Assay.Name, orAbsent(a.Assay.Acaricide), orAbsent(a.Assay.Unit),
		fmt.Sprint(r.TreatedExposed), controlCell(r), slopeCell(r),
	}
	for _, p := range percents {
		row = append(row, lcCell(r, p))
	}
	x := r.PearsonContainer
	fit := absent
	if !math.IsNaN(x.X2) {
		fit = fmt.Sprintf("%s (%d)", fixed(x.X2, 2), x.DF)
	}
	return append(row, fit, fixed(r.Heterogeneity.H, 2), fixed(r.G, 3))
}

func orAbsent(s string) string {
	if s == "" {
		return absent
	}
	return s
}

func controlCell(r *doseresp.Result) string {
	if r.Controls == 0 {
		return absent
	}
	return fmt.Sprintf("%d/%d", r.ControlDead, r.ControlExposed)
}

func slopeCell(r *doseresp.Result) string {
	if math.IsNaN(r.Slope) {
		return r.Status.String()
	}
	cell := fixed(r.Slope, 3) + " ± " + fixed(r.SlopeStdErr, 3)
	if r.Status != doseresp.Converged {
		cell += " (" + r.Status.String() + ")"
	}
	return cell
}

// lcCell shows a dose with its limits, or the doses that bracket LC50 where
// there is no line.
func lcCell(r *doseresp.Result, p float64) string {
	for _, lc := range r.LC {
		if lc.Percent == p && !math.IsNaN(lc.Estimate) {
			return dose(lc.Estimate) + " (" + limitsCell(lc.Fiducial) + ")"
		}
	}
	if p == 50 {
		return bracketCell(r.Bracket)
	}
	return absent
}

func limitsCell(l doseresp.Limits) string {
	switch l.Kind {
	case doseresp.UnboundedAbove:
		return dose(l.Lower) + "–∞"
	case doseresp.UnboundedBelow:
		return "0–" + dose(l.Upper)
	case doseresp.Unbounded:
		return "no limits"
	case doseresp.ExcludedRegion:
		return "outside " + dose(l.Excluded.Lower) + "–" + dose(l.Excluded.Upper)
	}
	return dose(l.Lower) + "–" + dose(l.Upper)
}

func bracketCell(b doseresp.Bracket) string {
	switch {
	case b.Lower == 0 && math.IsInf(b.Upper, 1):
		return absent
	case b.Lower == 0:
		return fmt.Sprintf("< %.4g", b.Upper)
	case math.IsInf(b.Upper, 1):
		return fmt.Sprintf("> %.4g", b.Lower)
	}
	return fmt.Sprintf("between %.4g and %.4g", b.Lower, b.Upper)
}

// LC50 is the cell of the standard table for LC50, with its limits, or with
// the doses that bracket it where there is no line.
func LC50(r *doseresp.Result) string { return lcCell(r, 50) }
