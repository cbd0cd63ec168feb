package render

import (
	"fmt"
	"math"
	"slices"

	"vialwise/bioassay"
	"vialwise/doseresp"
)

// lineTable compares the line of each population with that of its baseline.
func lineTable(c *Comparisons) *table {
	t := &table{title: "Lines against the baseline's"}
	t.column("Assay", false)
	for _, name := range []string{"Slope", "Baseline slope", "χ² parallel (df)", "P", "Holm P", "χ² equal (df)", "P", "Holm P",
		"RR, one slope (" + percent(level(c.Options.Analysis.Fit)) + ")", "Lines cross at"} {
		t.column(name, true)
	}
	for _, r := range c.Compared {
		if r.Single == nil {
			t.rows = append(t.rows, lineRow(c, r))
		}
	}
	t.notes = []string{
		"Likelihood-ratio tests: parallel, one slope for both; equal, one line for both; each assay keeps its own natural mortality. " +
			"P is that of " + testForm(c.Options.Analysis.Fit.Heterogeneity) + "; Holm P is adjusted for the number of populations compared with one baseline. " +
			"RR, one slope: the ratio at every p if the slopes are the same, with profile limits. " +
			"Lines cross at: dose and response, where the slopes differ (P < 0.05). " + "~: a population has no finite line, so that χ² and P are a rough guide. " + absent + ": no test, or no finite line.",
	}
	if slices.ContainsFunc(c.Baselines, func(b *bioassay.Baseline) bool { return len(b.Assays) > 1 }) {
		t.notes = append(t.notes, "The assays of a baseline share one line here, and the variation between them enters through h alone. That makes the test of equal lines reject too often, so that no P is shown for it; the ratios above and the column Among susceptible carry the variation in full, and decide.")
	}
	return t
}

func testForm(rule doseresp.HeterogeneityRule) string {
	switch rule {
	case doseresp.Never:
		return "chi-squared"
	case doseresp.WhenSignificant:
		return "F with the pooled h = χ²/df by container, corrected for sparse counts, where that is significant, else of chi-squared"
	}
	return "F with the pooled h = χ²/df by container, corrected for sparse counts, where that is above 1, else of chi-squared"
}

func lineRow(c *Comparisons, r *bioassay.Comparison) []string {
	t := r.Lines
	row := []string{c.label(r.Field.Assay)}
	for _, k := range []int{1, 0} {
		row = append(row, signed(t.Populations[k].Slope))
	}
	row = append(row, testCells(t.Parallelism, r.Adjusted.Parallelism)...)
	equal := testCells(t.Equality, r.Adjusted.Equality)
	if len(r.Baseline.Assays) > 1 { // the variation between them is in neither P
		equal[1], equal[2] = absent, absent
	}
	row = append(row, equal...)
	common := absent
	if len(t.Parallel.Ratios) > 1 && !math.IsNaN(t.Parallel.Ratios[1].Estimate) {
		ratio := t.Parallel.Ratios[1]
		common = fold(ratio.Estimate) + " (" + limitsOf(ratio.Profile, fold) + ")"
	}
	cross := absent
	if t.Parallelism.Verdict < notParallel && !math.IsNaN(r.Crossing.Dose) {
		cross = fmt.Sprintf("%s (%.0f %%)", dose(r.Crossing.Dose), 100*r.Crossing.Response)
	}
	return append(row, common, cross)
}

// notParallel is the P below which slopes are said to differ.
const notParallel = 0.05

func signed(x float64) string {
	if math.IsNaN(x) {
		return absent
	}
	if x < 0 {
		return "−" + fixed(-x, 2)
	}
	return fixed(x, 2)
}

func testCells(t doseresp.LineTest, adjusted float64) []string {
	if t.Reason != doseresp.Tested {
		return []string{absent, absent, absent}
	}
	mark := ""
	if t.AtBound {
		mark = "~"
	}
	return []string{fmt.Sprintf("%s%s (%d)", mark, fixed(t.X2, 2), t.DF), chanceOrAbsent(t.Verdict), chanceOrAbsent(adjusted)}
}

func chanceOrAbsent(p float64) string {
	if math.IsNaN(p) {
		return absent
	}
	return chance(p)
}

// fractionTable shows the resistant fraction of each population.
func fractionTable(c *Comparisons) *table {
	t := &table{title: "Resistant fraction q, a minority that tolerates more than the baseline"}
	level := percent(level(c.Options.Analysis.Fit))
	t.column("Assay", false)
	for _, name := range []string{"q % (" + level + ")", "Posterior q % (" + level + ")", "Shift", "q ≥, plateau", "P, test of q = 0", "Holm P", "Told by dose", "Test further"} {
		t.column(name, true)
	}
	for _, r := range c.Compared {
		if r.Fraction != nil {
			t.rows = append(t.rows, fractionRow(r, c))
		}
	}
	t.notes = []string{
		"q: share of mites whose line is shifted to higher doses, with profile limits of the model in which the shift is free. " +
			"Shift: that of the resistant part, as a ratio of doses; the smallest one allowed is also what a population looks like that is a little hardier throughout. " +
			"q ≥, plateau: the estimate if no dose killed them, a lower bound. P: one-sided likelihood-ratio test of the plateau form against q = 0, half chi-squared; q and its limits are of the free shift, so that the two can differ; where containers vary more than binomial counts, h widens test and limits. " +
			"Told by dose: the dose with most of the information on q, and its share. Test further: a dose, and how many mites there by themselves would find such a fraction with probability 0.8.",
	}
	if slices.ContainsFunc(c.Compared, func(r *bioassay.Comparison) bool { return r.WholeShift }) {
		t.notes = append(t.notes, doubleDagger+" The counts do not tell a resistant part from a shift of the whole population: limits of q reach 1, which is such a shift, or a small one explains the counts no worse (Akaike's criterion).")
	}
	return t
}

func fractionRow(r *bioassay.Comparison, c *Comparisons) []string {
	f := r.Fraction
	row := []string{c.label(r.Field.Assay), absent, absent, absent, hundred(f.Plateau.Fraction), chanceOrAbsent(f.Test.P), chanceOrAbsent(r.Adjusted.Fraction), absent, absent}
	if f.Identified {
		row[1] = hundred(f.Fraction.Estimate) + wholeMark(r) + " (" + hundred(f.Fraction.Lower) + "–" + hundred(f.Fraction.Upper) + ")"
		switch {
		case math.IsNaN(f.Shifted.Fold) || f.Shifted.Fraction == 0:
		case f.Unbounded():
			row[3] = "∞"
		default:
			row[3] = fold(f.Shifted.Fold)
		}
	}
	if f.Posterior != nil {
		q := f.Posterior.Limits(level(c.Options.Analysis.Fit))
		row[2] = hundred(q.Estimate) + " (" + hundred(q.Lower) + "–" + hundred(q.Upper) + ")"
	}
	if k := mostTelling(r); k >= 0 {
		row[7] = fmt.Sprintf("%s (%.0f %%)", dose(f.Doses[k].Dose), 100*f.Doses[k].Share)
	}
	if a := f.Advice; a != nil && a.Mites > 0 {
		row[8] = fmt.Sprintf("%s: %d mites", dose(a.Dose), a.Mites)
	}
	return row
}

// wholeMark marks a fraction that a shift of the whole population explains as
// well.
func wholeMark(r *bioassay.Comparison) string {
	if r.WholeShift {
		return doubleDagger
	}
	return ""
}

// mostTelling is the dose with most of the information on q, -1 without one.
func mostTelling(r *bioassay.Comparison) int {
	best := -1
	for i, d := range r.Fraction.Doses {
		if d.Share > 0 && (best < 0 || d.Share > r.Fraction.Doses[best].Share) {
			best = i
		}
	}
	return best
}

// hundred formats a proportion in percent for a column that says so.
func hundred(p float64) string {
	if math.IsNaN(p) {
		return absent
	}
	return fixed(100*p, 1)
}

// survivorTable shows assays of one concentration.
func survivorTable(c *Comparisons) *table {
	t := &table{title: "One concentration: survivors, not a resistant fraction"}
	level := percent(level(c.Options.Analysis.Fit))
	t.column("Assay", false)
	for _, name := range []string{"Dose", "Survivors", "Survival % (" + level + ")", "Susceptible % (up to)", "P", "Holm P", "Needed for P ≤ 0.05"} {
		t.column(name, true)
	}
	for _, r := range c.Compared {
		s := r.Survivors
		if s == nil {
			if x := r.Single; x != nil {
				t.rows = append(t.rows, []string{
					c.label(r.Field.Assay), dose(x.Dose), fmt.Sprintf("%d/%d", x.Survivors, x.Exposed),
					hundred(x.Survival.Estimate) + " (" + hundred(x.Survival.Lower) + "–" + hundred(x.Survival.Upper) + ")",
					absent, absent, absent, absent,
				})
			}
			continue
		}
		needed := "none would do"
		if s.Critical <= s.Exposed {
			needed = fmt.Sprint(s.Critical)
		}
		t.rows = append(t.rows, []string{
			c.label(r.Field.Assay), dose(s.Dose), fmt.Sprintf("%d/%d", s.Survived, s.Exposed),
			hundred(s.Share) + " (" + hundred(s.Lower) + "–" + hundred(s.Upper) + ")",
			hundred(s.Predicted) + " (" + hundred(s.PredictedUpper) + ")",
			chanceOrAbsent(s.P), chanceOrAbsent(r.Adjusted.Fraction), needed,
		})
	}
	t.notes = []string{
		"Survival: with exact binomial limits. Susceptible: the survival that the baseline predicts at this dose, and its upper limit; its uncertainty is in P, the probability of so many survivors or more among susceptible mites.",
	}
	if slices.ContainsFunc(c.Compared, func(r *bioassay.Comparison) bool { return r.Survivors != nil && r.Survivors.Extrapolated }) {
		t.notes = append(t.notes, "A dose above all of the baseline's is judged by the shape of its line alone.")
	}
	return t
}

// baselineTable names what was compared with.
func baselineTable(baselines []*bioassay.Baseline) *table {
	t := &table{title: "Baseline"}
	for _, name := range []string{"Baseline", "Acaricide", "Protocol", "Unit"} {
		t.column(name, false)
	}
	t.column("Assays", true)
	t.column("n", true)
	t.column("Slope", true)
	for _, lc := range baselines[0].LC {
		t.column(fmt.Sprintf("%s (%s)", lcName(lc.Percent), percent(baselines[0].Level)), true)
	}
	t.column("Between sd", true)
	t.column("Susceptible LC50", true)
	for _, b := range baselines {
		t.rows = append(t.rows, baselineRow(b))
	}
	t.notes = []string{
		"Limits: of one assay those that let containers vary, of four assays or more those of a random-effects mean of log10 LCp; two or three assays show none. " +
			"Between sd: standard deviation of log10 LC50 between assays. Susceptible LC50: where that of a further susceptible population may lie, as a multiple of the baseline's.",
	}
	return t
}

func baselineRow(b *bioassay.Baseline) []string {
	n := 0
	for _, a := range b.Assays {
		n += a.Fit.TreatedExposed
	}
	row := []string{b.Name, orAbsent(b.Acaricide), orAbsent(b.Protocol), orAbsent(b.Unit), fmt.Sprint(len(b.Assays)), fmt.Sprint(n), signed(b.Slope.Estimate)}
	for i := range b.LC {
		row = append(row, baselineCell(&b.LC[i]))
	}
	sd, band := absent, absent
	if lc, ok := b.At(50); ok {
		switch {
		case len(b.Assays) == 2 && !b.BetweenSD.Known:
		case lc.BetweenSD == 0:
			sd = "none seen"
		case !math.IsNaN(lc.BetweenSD):
			sd = fixed(lc.BetweenSD, 2)
		}
		if lc.Band.From != bioassay.BandNone {
			band = "× " + fold(lc.Band.LowerFold) + " to " + fold(lc.Band.UpperFold)
		}
	}
	return append(row, sd, band)
}

func baselineCell(lc *bioassay.BaselineLC) string {
	estimate := absent
	switch {
	case !math.IsNaN(lc.Log.Estimate):
		estimate = dose(lc.Estimate())
	case !math.IsInf(lc.Log.To, 1):
		estimate = "< " + dose(math.Pow(10, lc.Log.To))
	}
	lower, upper := lc.Lower > 0, !math.IsInf(lc.Upper, 1)
	switch {
	case lower && upper:
		return estimate + " (" + dose(lc.Lower) + "–" + dose(lc.Upper) + ")"
	case upper:
		return estimate + " (0–" + dose(lc.Upper) + ")"
	case lower:
		return estimate + " (" + dose(lc.Lower) + "–∞)"
	}
	return estimate
}
