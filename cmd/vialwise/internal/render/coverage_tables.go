package render

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strings"

	"vialwise/bioassay"
	"vialwise/doseresp"
	"vialwise/doseresp/sim"
)

// percentOf formats a share in per cent without the sign.
func percentOf(x float64, decimals int) string { return fixed(100*x, decimals) }

func plusMinus(p sim.Pooled) string {
	return percentOf(p.Mean, 1) + " ± " + percentOf(p.StdErr, 1)
}

// byMethod writes a table for each LCp: a row for each method and correlation.
func (c *Coverage) byMethod(b *bytes.Buffer) error {
	for i, p := range sim.StudyPercents() {
		t := &table{
			header:  []string{lcName(p), "ρ", "Mean coverage, %", "Lowest cell, %", "Truth below, %", "Truth above, %", "Given, %", "Finite, %", "Median fold width"},
			numeric: []bool{false, true, true, true, true, true, true, true, true},
		}
		for _, m := range sim.Methods() {
			for _, rho := range c.rhos() {
				if q := sim.Pool(c.Results, m, p, atRho(rho)); q.Cells > 0 {
					t.rows = append(t.rows, []string{
						m.String(), fmt.Sprint(rho), plusMinus(q), percentOf(q.Lowest, 1), percentOf(q.TruthBelow, 1), percentOf(q.TruthAbove, 1),
						percentOf(q.Given, 1), percentOf(q.Finite, 1), fixed(q.MedianFold, 2),
					})
				}
			}
		}
		if i > 0 {
			b.WriteString("\n")
		}
		if err := writeMarkdown(b, t); err != nil {
			return err
		}
	}
	return nil
}

// judged are the methods that have a band.
func judged() []sim.Method {
	var methods []sim.Method
	for _, band := range sim.Bands() {
		methods = append(methods, band.Method)
	}
	return methods
}

// bySize writes the judged methods by mites per dose and correlation.
func (c *Coverage) bySize(b *bytes.Buffer) error {
	t := &table{header: []string{"Method", "LCp", "Mites per dose"}, numeric: []bool{false, false, true}}
	for _, rho := range c.rhos() {
		t.header = append(t.header, fmt.Sprintf("ρ = %g: mean, %%", rho), "lowest, %", "fold width")
		t.numeric = append(t.numeric, true, true, true)
	}
	for _, m := range judged() {
		for _, p := range sim.StudyPercents() {
			for _, size := range sim.Levels(c.Results, sim.Cell.PerDose) {
				row := []string{m.String(), lcName(p), fmt.Sprint(size)}
				for _, rho := range c.rhos() {
					q := sim.Pool(c.Results, m, p, func(c sim.Cell) bool { return c.Rho == rho && c.PerDose() == size })
					row = append(row, plusMinus(q), percentOf(q.Lowest, 1), fixed(q.MedianFold, 2))
				}
				t.rows = append(t.rows, row)
			}
		}
	}
	return writeMarkdown(b, t)
}

// weakestCells is how many cells the report lists for each method.
const weakestCells = 8

func (c *Coverage) weakest(b *bytes.Buffer) error {
	t := &table{
		header:  []string{"Method", "LCp", "Doses", "Mites per dose", "Slope", "C", "ρ", "Coverage, %", "Truth below, %", "Truth above, %"},
		numeric: []bool{false, false, true, true, true, true, true, true, true, true},
	}
	for _, m := range judged() {
		for _, k := range sim.Weakest(c.Results, m, weakestCells) {
			n := float64(k.Given)
			t.rows = append(t.rows, []string{
				m.String(), lcName(k.Percent), fmt.Sprint(k.Doses), fmt.Sprint(k.PerDose()), fmt.Sprint(k.Slope), fmt.Sprint(k.Natural), fmt.Sprint(k.Rho),
				percentOf(k.Coverage(), 1) + " ± " + percentOf(k.StdErr(), 1), percentOf(float64(k.TruthBelow)/n, 1), percentOf(float64(k.TruthAbove)/n, 1),
			})
		}
	}
	t.notes = []string{fmt.Sprintf("Of %d coverages the lowest are low in part by chance.", len(sim.StudyPercents())*len(c.Results))}
	return writeMarkdown(b, t)
}

// bands lists what the program's own test demands and what fails it.
func (c *Coverage) bands(b *bytes.Buffer) error {
	for _, band := range sim.Bands() {
		fmt.Fprintf(b, "- %s: mean over the cells of each ρ at least %s, each cell at least %s, less three Monte Carlo standard errors; bounded in every data set.\n",
			band.Method, percent(band.Mean), percent(band.Cell))
	}
	breaches := sim.Breaches(c.Results, sim.Bands())
	if len(breaches) == 0 {
		b.WriteString("\nAll of this held.\n")
		return nil
	}
	t := &table{
		header:  []string{"Outside its band", "LCp", "What", "Where", "Found, %", "Least, %"},
		numeric: []bool{false, false, false, false, true, true},
	}
	for _, x := range breaches {
		where := fmt.Sprintf("ρ = %g", x.Rho)
		if x.What != sim.MeanTooLow {
			where = cellWords(x.Cell)
		}
		t.rows = append(t.rows, []string{x.Method.String(), lcName(x.Percent), x.What.String(), where, percentOf(x.Found, 1), percentOf(x.Least, 1)})
	}
	b.WriteString("\n")
	return writeMarkdown(b, t)
}

func cellWords(c sim.Cell) string {
	return fmt.Sprintf("%d doses, %d mites per dose, slope %g, C = %g, ρ = %g", c.Doses, c.PerDose(), c.Slope, c.Natural, c.Rho)
}

// findings puts the main numbers into a paragraph for each LCp.
func (c *Coverage) findings(b *bytes.Buffer) error {
	first := c.rhos()[0]
	last := slices.Max(c.rhos())
	for _, p := range sim.StudyPercents() {
		var said []string
		for _, m := range judged() {
			low, high := sim.Pool(c.Results, m, p, atRho(first)), sim.Pool(c.Results, m, p, atRho(last))
			all := sim.Pool(c.Results, m, p, everyCell)
			said = append(said, fmt.Sprintf("The %s held the true %s in %s %% of the data sets at ρ = %g and in %s %% at ρ = %g; in its weakest cell (%s) in %s %%. Its upper limit was a median %s times the lower.",
				strings.ReplaceAll(m.String(), "-", " "), lcName(p), percentOf(low.Mean, 1), first, percentOf(high.Mean, 1), last,
				cellWords(all.LowestCell), percentOf(all.Lowest, 1), fixed(all.MedianFold, 1)))
		}
		said = append(said, c.extremes(p, last))
		b.WriteString(strings.Join(said, " ") + "\n\n")
	}
	fmt.Fprintf(b, "Of the %d data sets, %s %% gave no finite rising line; there only the posterior, and for some the profile, could answer. ", c.dataSets(), percentOf(c.lineless(), 1))
	if n := len(sim.Breaches(c.Results, sim.Bands())); n > 0 {
		fmt.Fprintf(b, "Outside the bands below: %s.\n", bioassay.Plural(n, "number"))
	} else {
		b.WriteString("No number lies outside the bands below.\n")
	}
	return nil
}

func everyCell(sim.Cell) bool { return true }

// extremes names the methods with the highest and lowest mean at a correlation.
func (c *Coverage) extremes(p, rho float64) string {
	best, worst := sim.Pooled{Mean: math.Inf(-1)}, sim.Pooled{Mean: math.Inf(1)}
	for _, m := range sim.Methods() {
		q := sim.Pool(c.Results, m, p, atRho(rho))
		if q.Mean > best.Mean {
			best = q
		}
		if q.Mean < worst.Mean {
			worst = q
		}
	}
	return fmt.Sprintf("At ρ = %g the mean coverage of all methods ran from %s %% (%s) to %s %% (%s).",
		rho, percentOf(worst.Mean, 1), worst.Method, percentOf(best.Mean, 1), best.Method)
}

func (c *Coverage) dataSets() int {
	n := 0
	for _, r := range c.Results {
		n += r.DataSets
	}
	return n
}

// lineless is the share of data sets without a finite rising line.
func (c *Coverage) lineless() float64 {
	lines := 0
	for _, r := range c.Results {
		lines += r.Statuses[doseresp.Converged]
	}
	return 1 - float64(lines)/float64(c.dataSets())
}
