package render

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"vialwise/bioassay"
	"vialwise/doseresp"
)

// ratioTable has a row for each population: its ratios with the default limits,
// the published form beside them, and the bands.
func ratioTable(c *Comparisons) *table {
	t := &table{title: "Resistance ratios"}
	level := percent(level(c.Options.Analysis.Fit))
	t.column("Assay", false)
	if len(c.Baselines) > 1 {
		t.column("Baseline", false)
	}
	t.column("n", true)
	var percents []float64
	if len(c.Compared) > 0 {
		for _, r := range c.Compared[0].Ratios {
			percents = append(percents, r.Percent)
			t.column(fmt.Sprintf("%s (%s)", ratioName(r.Percent), level), true)
		}
		t.column("Differs", false)
		t.column("Among susceptible", false)
		for _, p := range percents {
			t.column(ratioName(p)+" delta", true)
		}
		for _, name := range bandHeader(c.Options.Bands, "P(%s)") {
			t.column(name, true)
		}
	}
	for _, r := range c.Compared {
		t.rows = append(t.rows, ratioRow(c, r))
	}
	t.notes = ratioNotes(c, percents)
	return t
}

func ratioRow(c *Comparisons, r *bioassay.Comparison) []string {
	row := []string{c.label(r.Field.Assay)}
	if len(c.Baselines) > 1 {
		row = append(row, r.Baseline.Name)
	}
	row = append(row, fmt.Sprint(r.Field.Fit.TreatedExposed))
	for _, ratio := range r.Ratios {
		row = append(row, ratioCell(ratio))
	}
	row = append(row, perRatio(r, differsWord), perRatio(r, amongWord))
	for _, ratio := range r.Ratios {
		row = append(row, deltaCell(ratio))
	}
	if c.Options.Bands != nil {
		for i := range c.Options.Bands.Bands {
			cell := absent
			if i < len(r.Bands) {
				cell = chance(r.Bands[i].Probability)
			}
			row = append(row, cell)
		}
	}
	return row
}

// perRatio says one word for all ratios, or a word for each.
func perRatio(r *bioassay.Comparison, word func(bioassay.RatioAt) string) string {
	var words []string
	for _, ratio := range r.Ratios {
		words = append(words, word(ratio))
	}
	if len(slices.Compact(slices.Clone(words))) == 1 {
		return words[0]
	}
	for i, ratio := range r.Ratios {
		words[i] = fmt.Sprintf("%g: %s", ratio.Percent, words[i])
	}
	return strings.Join(words, ", ")
}

func ratioName(p float64) string { return fmt.Sprintf("RR%g", p) }

// ratioCell shows a ratio with its default limits, or the inequality that the
// counts allow.
func ratioCell(r bioassay.RatioAt) string {
	limits := " (" + limitsOf(r.Mover, fold) + ")"
	if r.Mover.Kind == doseresp.Unbounded {
		limits = ""
		if !math.IsNaN(r.Posterior.Median) {
			limits = " (" + fold(r.Posterior.Lower) + "–" + fold(r.Posterior.Upper) + ")" + dagger
		}
	}
	switch r.Censored {
	case doseresp.CensoredLow:
		return "> " + fold(r.Bracket.Lower) + limits
	case doseresp.CensoredHigh:
		return "< " + fold(r.Bracket.Upper) + limits
	case doseresp.Interval:
		return fold(r.Bracket.Lower) + " to " + fold(r.Bracket.Upper) + limits
	case doseresp.Unplaced:
		return absent + limits
	}
	return fold(r.Estimate) + limits
}

func deltaCell(r bioassay.RatioAt) string {
	if math.IsNaN(r.Delta.Lower) || r.Delta.Kind == doseresp.Unbounded {
		return absent
	}
	return fold(r.Delta.Lower) + "–" + fold(r.Delta.Upper)
}

// fold formats a ratio.
func fold(x float64) string { return significant(x, 3) }

var differsWords = map[doseresp.Difference]string{
	doseresp.NotDifferent: "no", doseresp.Greater: "greater", doseresp.Smaller: "smaller", doseresp.Undecided: "cannot tell",
}

func differsWord(r bioassay.RatioAt) string {
	word := differsWords[r.Difference]
	if r.Basis == doseresp.ByPosterior {
		word += dagger
	}
	return word
}

var amongWords = map[bioassay.Natural]string{
	bioassay.NaturalUnknown: "unknown", bioassay.NaturalWithin: "may be", bioassay.NaturalBeyond: "no, above", bioassay.NaturalBelow: "no, below",
}

func amongWord(r bioassay.RatioAt) string { return amongWords[r.Natural] }

// chance formats a probability for a narrow column; none is rounded to
// certainty.
func chance(p float64) string {
	switch {
	case p < 0.001:
		return "< 0.001"
	case p > 0.999:
		return "> 0.999"
	}
	return fixed(p, 3)
}

func ratioNotes(c *Comparisons, percents []float64) []string {
	var names []string
	for _, p := range percents {
		names = append(names, fmt.Sprintf("%s: %s of the population over that of its baseline", ratioName(p), lcName(p)))
	}
	notes := []string{
		"n: treated mites. " + strings.Join(names, "; ") + "; > and < are inequalities from doses that killed none or all. " +
			"Limits combine the profile likelihood limits of both (Zou & Donner 2008), widened by one factor of heterogeneity that both share where the baseline is one assay. Differs: whether these limits exclude 1; not adjusted for the number of populations, as the P(band) are not. " +
			"delta: the published form of the limits (Robertson & Preisler 1992), with h and Student's t where the heterogeneity rule applies. " +
			"Among susceptible: whether the population may be a further susceptible one, by the variation between the assays of the baseline; unknown from one or two, and from two there are no limits of a ratio either.",
	}
	if slices.ContainsFunc(c.Compared, func(r *bioassay.Comparison) bool { return r.Field.Limits.Posterior != nil && usesRatioPosterior(r) }) {
		notes = append(notes, dagger+" By the posterior of the ratio, where the combined limits lack a bound.")
	}
	if b := c.Options.Bands; b != nil {
		notes = append(notes, bandNote(b))
	}
	return notes
}

func usesRatioPosterior(r *bioassay.Comparison) bool {
	return slices.ContainsFunc(r.Ratios, func(x bioassay.RatioAt) bool {
		return x.Basis == doseresp.ByPosterior || x.Mover.Kind == doseresp.Unbounded
	})
}

// bandNote says what the bands are and where they come from.
func bandNote(b *bioassay.RatioBands) string {
	var names []string
	for _, band := range b.Bands {
		sign := "at least"
		if band.Above {
			sign = "above"
		}
		if band.From == 0 && !band.Above {
			names = append(names, band.Name+" below that")
			continue
		}
		names = append(names, fmt.Sprintf("%s %s %g", band.Name, sign, band.From))
	}
	return fmt.Sprintf("P(band): posterior probability that %s lies in the band of rule set %s: %s.", ratioName(b.Percent), b.Basis, strings.Join(names, ", "))
}
