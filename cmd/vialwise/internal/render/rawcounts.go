package render

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"vialwise/bioassay"
)

// RawCounts lays out the counts of an assay, a row for each concentration with
// its containers in the order of the file.
func RawCounts(a bioassay.Assay) Table {
	t := Table{
		Header:  []string{concentrationHeader(a.Unit), "Containers, dead of exposed", "Dead", "Exposed"},
		Numeric: []bool{false, false, true, true},
	}
	var doses []float64
	rows := map[float64]*doseRow{}
	for _, c := range a.Containers {
		if rows[c.Concentration] == nil {
			rows[c.Concentration] = &doseRow{entered: c.ConcentrationText}
			doses = append(doses, c.Concentration)
		}
		rows[c.Concentration].add(c)
	}
	slices.Sort(doses)
	var moribund, missing bool
	for _, d := range doses {
		r := rows[d]
		t.Rows = append(t.Rows, []string{r.concentration(d), strings.Join(r.containers, ", "), withMoribund(r.dead, r.moribund), strconv.Itoa(r.exposed)})
		moribund, missing = moribund || r.moribund > 0, missing || r.missing
	}
	var said []string
	if moribund {
		said = append(said, "m: moribund mites, counted beside the dead.")
	}
	if missing {
		said = append(said, "−: mites not found at the reading, among the exposed.")
	}
	if said != nil {
		t.Notes = []string{strings.Join(said, " ")}
	}
	return t
}

func concentrationHeader(unit string) string {
	if unit == "" {
		return "Concentration"
	}
	return "Concentration, " + unit
}

// doseRow sums the containers of a concentration, as they were entered.
type doseRow struct {
	entered       string
	containers    []string
	dead, exposed int
	moribund      int
	missing       bool
}

func (r *doseRow) add(c bioassay.Container) {
	cell := withMoribund(c.Dead, c.Moribund) + "/" + strconv.Itoa(c.Exposed)
	if c.Missing > 0 {
		cell += fmt.Sprintf(" − %d", c.Missing)
		r.missing = true
	}
	r.containers = append(r.containers, cell)
	r.dead += c.Dead
	r.moribund += c.Moribund
	r.exposed += c.Exposed
}

func withMoribund(dead, moribund int) string {
	if moribund == 0 {
		return strconv.Itoa(dead)
	}
	return fmt.Sprintf("%d + %d m", dead, moribund)
}

// concentration is the concentration as entered, or the word for none.
func (r *doseRow) concentration(d float64) string {
	switch {
	case d == 0:
		return "control"
	case r.entered != "":
		return r.entered
	}
	return dose(d)
}
