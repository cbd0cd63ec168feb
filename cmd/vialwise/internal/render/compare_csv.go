package render

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"strings"

	"vialwise/bioassay"
)

var compareHeader = []string{
	"file", "assay", "apiary", "population", "collected_on", "acaricide", "protocol", "unit", "baseline", "exposed", "status",
	"p", "ratio", "ratio_lower", "ratio_upper", "ratio_kind", "difference", "basis", "censored", "above", "below",
	"log10_se", "delta_lower", "delta_upper", "posterior_median", "posterior_lower", "posterior_upper", "extrapolated",
	"susceptible_place", "level",
	"x2_parallelism", "df_parallelism", "p_parallelism", "f_parallelism", "df2", "pf_parallelism", "holm_parallelism",
	"x2_equality", "df_equality", "p_equality", "f_equality", "pf_equality", "holm_equality",
	"q", "q_lower", "q_upper", "q_plateau", "p_q", "holm_q", "survivor_dose", "survived", "survivor_exposed",
	"band", "band_probability", "band_rule_set", "overrides", "findings", "not_compared",
}

// writeComparisonsCSV writes one row for each population and percent, in full
// precision. Of the bands the likeliest one is named.
func writeComparisonsCSV(w io.Writer, c *Comparisons) error {
	out := csv.NewWriter(w)
	if err := out.Write(compareHeader); err != nil {
		return err
	}
	for _, r := range c.Compared {
		head, tail := compareCSVHead(r), compareCSVTail(r)
		for _, ratio := range r.Ratios {
			row := append(head[:len(head):len(head)], compareCSVRatio(ratio)...)
			if err := out.Write(append(row, tail...)); err != nil {
				return err
			}
		}
	}
	for _, r := range c.Refused {
		if err := out.Write(compareCSVRefused(r)); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// compareCSVRefused is the row of an assay that was not compared: what it is,
// and why.
func compareCSVRefused(r bioassay.Refusal) []string {
	row := make([]string, len(compareHeader))
	a := r.Assay
	copy(row, []string{
		cellSafe(a.File()), cellSafe(a.Name), cellSafe(a.Apiary), cellSafe(a.Population), a.CollectedOn.String(), cellSafe(a.Acaricide),
		cellSafe(a.Protocol), cellSafe(a.Unit),
	})
	row[len(row)-1] = cellSafe(r.Err.Error())
	return row
}

func compareCSVHead(r *bioassay.Comparison) []string {
	a := r.Field.Assay
	return []string{
		cellSafe(a.File()), cellSafe(a.Name), cellSafe(a.Apiary), cellSafe(a.Population), a.CollectedOn.String(), cellSafe(a.Acaricide),
		cellSafe(a.Protocol), cellSafe(a.Unit), cellSafe(r.Baseline.Name), strconv.Itoa(r.Field.Fit.TreatedExposed), r.Field.Fit.Status.String(),
	}
}

func compareCSVRatio(r bioassay.RatioAt) []string {
	return []string{
		full(r.Percent), bound(r.Estimate), bound(r.Mover.Lower), bound(r.Mover.Upper), r.Mover.Kind.String(), r.Difference.String(), r.Basis.String(),
		r.Censored.String(), bound(r.Bracket.Lower), bound(r.Bracket.Upper),
		full(r.Log10SE), bound(r.Delta.Lower), bound(r.Delta.Upper), bound(r.Posterior.Median), bound(r.Posterior.Lower), bound(r.Posterior.Upper),
		strconv.FormatBool(r.Extrapolated), r.Natural.String(), full(r.Level),
	}
}

func compareCSVTail(r *bioassay.Comparison) []string {
	whole := strconv.Itoa
	p, e := r.Lines.Parallelism, r.Lines.Equality
	cells := []string{
		full(p.X2), whole(p.DF), full(p.P), full(p.F), whole(p.DF2), full(p.PF), full(r.Adjusted.Parallelism),
		full(e.X2), whole(e.DF), full(e.P), full(e.F), full(e.PF), full(r.Adjusted.Equality),
	}
	if f := r.Fraction; f != nil {
		cells = append(cells, full(f.Fraction.Estimate), full(f.Fraction.Lower), full(f.Fraction.Upper), full(f.Plateau.Fraction), full(f.Test.P), full(r.Adjusted.Fraction))
	} else {
		cells = append(cells, make([]string, 6)...)
	}
	if s := r.Survivors; s != nil {
		cells[len(cells)-2], cells[len(cells)-1] = full(s.P), full(r.Adjusted.Fraction)
		cells = append(cells, full(s.Dose), whole(s.Survived), whole(s.Exposed))
	} else {
		cells = append(cells, "", "", "")
	}
	return append(append(cells, likeliestBand(r)...), compareOverrides(r), compareFindings(r), "")
}

func likeliestBand(r *bioassay.Comparison) []string {
	if len(r.Bands) == 0 {
		return []string{"", "", ""}
	}
	best := r.Bands[0]
	for _, b := range r.Bands {
		if b.Probability > best.Probability {
			best = b
		}
	}
	return []string{cellSafe(best.Name), full(best.Probability), cellSafe(r.Rules.Name)}
}

// compareOverrides names the findings that a recorded decision lifted, and who
// decided.
func compareOverrides(r *bioassay.Comparison) string {
	if r.Verdict == nil {
		return ""
	}
	var all []string
	for _, o := range r.Verdict.Lifted {
		all = append(all, fmt.Sprintf("%s by %s on %s", o.Code, o.By, o.On))
	}
	return cellSafe(strings.Join(all, "; "))
}

// compareFindings lists the codes of all warnings about a comparison.
func compareFindings(r *bioassay.Comparison) string {
	var codes []string
	for _, w := range append(append([]bioassay.Warning{}, r.Warnings...), r.Field.Warnings...) {
		codes = append(codes, string(w.Code))
	}
	return strings.Join(codes, " ")
}
