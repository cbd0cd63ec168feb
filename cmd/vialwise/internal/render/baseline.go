package render

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"vialwise/bioassay"
)

// Baselines is everything that a run of baseline found.
type Baselines struct {
	Version   string
	Options   bioassay.AnalysisOptions
	Inputs    []Input
	Reading   []bioassay.Warning
	Baselines []*bioassay.Baseline
	Verdicts  Verdicts // on the quality of their assays, for answers that tell it
}

type baselinesJSON struct {
	Software  softwareJSON   `json:"software"`
	Inputs    []Input        `json:"inputs"`
	Moribund  string         `json:"moribund"`
	Warnings  []warningJSON  `json:"warnings"`
	Baselines []baselineJSON `json:"baselines"`
}

// WriteBaselines writes the results in a format of Formats.
func WriteBaselines(w io.Writer, b *Baselines, format string) error {
	switch format {
	case "csv":
		return writeBaselinesCSV(w, b)
	case "json":
		out := baselinesJSON{
			Software: softwareJSON{"vialwise", b.Version}, Inputs: append([]Input{}, b.Inputs...),
			Moribund: moribundWord(b.Options.Moribund), Warnings: warningsJSON(b.Reading), Baselines: []baselineJSON{},
		}
		for _, x := range b.Baselines {
			out.Baselines = append(out.Baselines, newBaselineJSON(x))
		}
		return encodeJSON(w, out)
	}
	return writeTables(w, format, baselineTables(b))
}

func baselineTables(b *Baselines) []*table {
	tables := []*table{baselineTable(b.Baselines), discriminatingTable(b)}
	var all []noted
	for _, x := range b.Baselines {
		all = append(all, noted{x.Name, x.Warnings})
		for _, a := range x.Assays {
			all = append(all, noted{a.Assay.Name, a.Warnings})
		}
	}
	last := tables[1]
	last.notes = append(last.notes, settings(b.Options), laboratoryCaution)
	last.remarks = gather(all)
	return tables
}

func discriminatingTable(b *Baselines) *table {
	t := &table{title: "Candidates for a discriminating concentration"}
	t.column("Baseline", false)
	t.column("Link", false)
	t.column("Dose of", false)
	level := percent(level(b.Options.Fit))
	t.column("Dose ("+level+")", true)
	t.column("Susceptible survivors % ("+level+")", true)
	t.column("Log-likelihood", true)
	for _, x := range b.Baselines {
		for _, d := range x.Discriminating {
			t.rows = append(t.rows, discriminatingRow(x, d))
		}
	}
	t.notes = []string{
		"Susceptible survivors: mean and limits of the share that outlives the dose, in a further susceptible population where the variation between them is known, else in the baseline's own. " +
			"* The dose lies above all that were tested. Log-likelihood: the links have equally many parameters, so that the higher one fits better.",
		"Test the chosen dose on susceptible mites before use. It is a dose for a laboratory test and no advice on treatment.",
	}
	return t
}

func discriminatingRow(b *bioassay.Baseline, d bioassay.Discriminating) []string {
	of := lcName(d.Percent)
	if d.Times != 1 {
		of = fmt.Sprintf("%g × %s", d.Times, of)
	}
	cell, survivors := absent, absent
	if !math.IsNaN(d.Dose) {
		cell = dose(d.Dose)
		if d.Lower > 0 && !math.IsInf(d.Upper, 1) {
			cell += " (" + dose(d.Lower) + "–" + dose(d.Upper) + ")"
		}
		if d.Extrapolated {
			cell += "*"
		}
		if s := d.Survival; s.From != bioassay.SurvivalNone {
			survivors = hundred(s.Mean) + " (" + hundred(s.Lower) + "–" + hundred(s.Upper) + ")"
		}
	}
	return []string{b.Name, d.Link.String(), of, cell, survivors, fixed(d.LogLik, 2)}
}

var baselineHeader = []string{
	"baseline", "acaricide", "protocol", "unit", "assays", "exposed", "p", "lc", "log10_se", "lower", "upper", "from",
	"between_sd", "band_from", "band_lower", "band_upper", "band_lower_fold", "band_upper_fold", "level", "findings",
}

// writeBaselinesCSV writes one row for each baseline and percent.
func writeBaselinesCSV(w io.Writer, b *Baselines) error {
	out := csv.NewWriter(w)
	rows := [][]string{baselineHeader}
	for _, x := range b.Baselines {
		j := newBaselineJSON(x)
		var codes []string
		for _, warning := range x.Warnings {
			codes = append(codes, string(warning.Code))
		}
		head := []string{cellSafe(x.Name), cellSafe(x.Acaricide), cellSafe(x.Protocol), cellSafe(x.Unit), strconv.Itoa(len(x.Assays)), strconv.Itoa(j.Exposed)}
		for _, lc := range j.LC {
			row := slices.Clone(head)
			for _, x := range []number{lc.P, lc.Estimate, lc.Log10SE, lc.Lower, lc.Upper} {
				row = append(row, full(float64(x)))
			}
			row = append(row, lc.From, full(float64(lc.BetweenSD)), lc.Band.From)
			for _, x := range []number{lc.Band.Lower, lc.Band.Upper, lc.Band.LowerFold, lc.Band.UpperFold, j.Level} {
				row = append(row, full(float64(x)))
			}
			rows = append(rows, append(row, strings.Join(codes, " ")))
		}
	}
	if err := out.WriteAll(rows); err != nil {
		return err
	}
	return out.Error()
}
