package render

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"vialwise/bioassay"
	"vialwise/doseresp"
)

// table is a result laid out for people, before any markup.
type table struct {
	title   string // above it, blank where it stands alone
	header  []string
	numeric []bool // columns that align to the right
	rows    [][]string
	notes   []string    // below the table, a paragraph each
	remarks []remark    // then the warnings
	wrapped map[int]int // columns of sentences, by number, with the width at which a terminal wraps them
}

// withRows leaves out the tables without a row.
func withRows(tables []*table) []*table {
	return slices.DeleteFunc(tables, func(t *table) bool { return len(t.rows) == 0 })
}

// limitSet is a set of limits as a table shows it.
type limitSet struct {
	name string // in the column Limits
	cell func(a *bioassay.Analysis, i int) string
}

// fitTable lays out the standard table: one row an assay or, where further
// sets of limits were asked for, one row for each set.
func fitTable(f *Fits) *table {
	sets := limitSets(f)
	t := &table{}
	add := func(name string, numeric bool) {
		t.header = append(t.header, name)
		t.numeric = append(t.numeric, numeric)
	}
	add("Assay", false)
	if described(f) {
		add("Acaricide", false)
		add("Unit", false)
	}
	add("n", true)
	add("Control", true)
	add("C %", true)
	add("Slope ± SE", true)
	kind := "FL"
	if sets[0].name != "" {
		add("Limits", false)
		kind = "limits"
	}
	for _, p := range f.Options.Fit.Percents {
		add(fmt.Sprintf("%s (%s %s)", lcName(p), percent(level(f.Options.Fit)), kind), true)
	}
	add("χ² (df)", true)
	add("h", true)
	add("g", true)
	if f.onlyFiducial() {
		for _, p := range f.Options.Fit.Percents {
			add(lcName(p)+" robust", true)
		}
	}
	for _, a := range f.Analyses {
		t.rows = append(t.rows, fitRows(f, a, sets)...)
	}
	t.notes = append(t.notes,
		"n: treated mites, missing ones left out. Control: dead/exposed without treatment. C: natural mortality of the model. SE: of maximum likelihood, without h. "+
			"FL: fiducial limits. χ²: Pearson's, by container. h: heterogeneity, χ²/df. g: uncertainty of the slope; at 1 or above no fiducial limits are bounded. "+
			absent+": does not exist.")
	if f.onlyFiducial() {
		t.notes = append(t.notes, "robust: "+percent(level(f.Options.Fit))+" limits that let containers vary, by the profile of a beta-binomial likelihood; the answer that holds its level in simulation where fiducial limits fall short.")
		if slices.ContainsFunc(f.Analyses, usesPosterior) {
			t.notes = append(t.notes, dagger+" Bounded limits of that kind do not exist: these are those of the posterior and, where there is no finite line, the dose is the posterior median. "+posteriorNote(f))
		}
	}
	t.notes = append(t.notes, limitNotes(f)...)
	if len(f.Options.Exceeds) > 0 && !slices.ContainsFunc(t.notes, func(note string) bool { return strings.Contains(note, "Posterior: ") }) {
		t.notes = append(t.notes, posteriorNote(f))
	}
	t.notes = append(t.notes, settings(f.Options))
	t.notes = append(t.notes, exceedsNotes(f)...)
	t.remarks = remarks(f)
	return t
}

// usesPosterior says that some limits of the standard table are the posterior's.
func usesPosterior(a *bioassay.Analysis) bool {
	return a.Limits.Fallback || slices.ContainsFunc(a.Limits.Robust, func(r bioassay.Robust) bool { return r.From == bioassay.RobustPosterior })
}

// fitRows lays out one assay. What is said once stands in the first row.
func fitRows(f *Fits, a *bioassay.Analysis, sets []limitSet) [][]string {
	r := a.Fit
	x := r.PearsonContainer
	fit := absent
	if !math.IsNaN(x.X2) {
		fit = fmt.Sprintf("%s (%d)", fixed(x.X2, 2), x.DF)
	}
	head := []string{f.label(a)}
	if described(f) {
		head = append(head, orAbsent(a.Assay.Acaricide), orAbsent(a.Assay.Unit))
	}
	head = append(head, fmt.Sprint(r.TreatedExposed), controlCell(r), naturalCell(r), slopeCell(r))
	tail := []string{fit, fixed(r.Heterogeneity.H, 2), fixed(r.G, 3)}
	var rows [][]string
	for n, set := range sets {
		if n > 0 {
			head, tail = make([]string, len(head)), make([]string, len(tail))
		}
		row := slices.Clone(head)
		if set.name != "" {
			row = append(row, set.name)
		}
		for i := range r.LC {
			row = append(row, set.cell(a, i))
		}
		row = append(row, tail...)
		if set.name == "" {
			for _, limits := range a.Limits.Robust {
				row = append(row, robustCell(limits))
			}
		}
		rows = append(rows, row)
	}
	return rows
}

// described says that some assay names its acaricide or unit.
func described(f *Fits) bool {
	return slices.ContainsFunc(f.Analyses, func(a *bioassay.Analysis) bool { return a.Assay.Acaricide != "" || a.Assay.Unit != "" })
}

// label is the name of an assay, with its file where two assays share a name.
func (f *Fits) label(a *bioassay.Analysis) string {
	if f.names == nil {
		f.names = nameCount{}
		for _, b := range f.Analyses {
			f.names[b.Assay.Name]++
		}
	}
	return f.names.label(a.Assay)
}

func naturalCell(r *doseresp.Result) string {
	n := r.Natural
	if math.IsNaN(n.Estimate) || n.Mode == doseresp.None {
		return absent
	}
	cell := fixed(100*n.Estimate, 1)
	if !math.IsNaN(n.StdErr) {
		cell += " ± " + fixed(100*n.StdErr, 1)
	}
	return cell
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
	cell := strings.Replace(fixed(r.Slope, 3), "-", "−", 1) + " ± " + fixed(r.SlopeStdErr, 3)
	if r.Status != doseresp.Converged {
		cell += " (" + r.Status.String() + ")"
	}
	return cell
}

// dagger marks limits of the posterior that stand in for fiducial ones.
const dagger = "†"

// doubleDagger marks a resistant fraction that tells of no minority.
const doubleDagger = "‡"

// reportedCell shows the default answer.
func reportedCell(a *bioassay.Analysis, i int) string {
	r := a.Report(i)
	if math.IsNaN(r.Estimate) {
		return absent
	}
	mark := ""
	if r.Posterior {
		mark = dagger
	}
	return dose(r.Estimate) + mark + " (" + dose(r.Lower) + "–" + dose(r.Upper) + ")"
}

// robustCell shows the limits that allow for variation between containers.
func robustCell(r bioassay.Robust) string {
	switch r.From {
	case bioassay.RobustNone:
		return absent
	case bioassay.RobustPosterior:
		return dose(r.Lower) + "–" + dose(r.Upper) + dagger
	}
	return dose(r.Lower) + "–" + dose(r.Upper)
}

// estimateCell shows a maximum likelihood estimate with some limits.
func estimateCell(a *bioassay.Analysis, i int, l doseresp.Limits) string {
	lc := a.Fit.LC[i]
	if math.IsNaN(lc.Estimate) && l.Kind == doseresp.Unbounded {
		return absent
	}
	estimate := absent
	if !math.IsNaN(lc.Estimate) {
		estimate = dose(lc.Estimate)
	}
	return estimate + " (" + limitsCell(l) + ")"
}

func limitsCell(l doseresp.Limits) string { return limitsOf(l, dose) }

// limitsOf shows limits with their numbers in a format.
func limitsOf(l doseresp.Limits, format func(float64) string) string {
	switch l.Kind {
	case doseresp.UnboundedAbove:
		return format(l.Lower) + "–∞"
	case doseresp.UnboundedBelow:
		return "0–" + format(l.Upper)
	case doseresp.Unbounded:
		return "no limits"
	case doseresp.ExcludedRegion:
		return "outside " + format(l.Excluded.Lower) + "–" + format(l.Excluded.Upper)
	}
	return format(l.Lower) + "–" + format(l.Upper)
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

// LC50 is the default answer for LC50, as the standard table shows it. It
// panics unless LC50 was computed.
func LC50(a *bioassay.Analysis) string {
	return reportedCell(a, slices.IndexFunc(a.Fit.LC, func(lc doseresp.LC) bool { return lc.Percent == 50 }))
}
