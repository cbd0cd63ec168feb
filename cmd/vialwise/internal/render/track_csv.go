package render

import (
	"encoding/csv"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"vialwise/bioassay"
	"vialwise/bioassay/track"
)

// monthDay writes the first day of a season of a programme.
func monthDay(s bioassay.SeasonStart) string { return fmt.Sprintf("%02d-%02d", s.Month, s.Day) }

var trackHeader = []string{
	"apiary", "region", "acaricide", "protocol", "baseline", "baseline_version", "season", "begins_on", "assays", "mites",
	"lc50", "lc50_lower", "lc50_upper", "log10_se", "ratio", "ratio_lower", "ratio_upper", "censored", "difference", "susceptible_place",
	"pooled_ratio", "pooled_lower", "pooled_upper", "q", "q_lower", "q_upper", "p_q", "whole_shift", "single_concentration",
}

var trackTail = []string{
	"trend", "trend_seasons", "fold_per_year", "fold_lower", "fold_upper", "trend_p", "level",
}

// writeTracksCSV writes one row for each season of each series, in full
// precision. What is known of regions and of apiaries without a result stands
// in the JSON and the workbook.
func writeTracksCSV(w io.Writer, t *Tracks) error {
	out := csv.NewWriter(w)
	if err := out.Write(slices.Concat(trackHeader, bandHeader(t.Tracking.Bands, "p_%s"), trackTail)); err != nil {
		return err
	}
	pooled := pooledBySeason(t.Tracking.Regions)
	for _, s := range t.Tracking.Series {
		for _, season := range s.Seasons {
			if err := out.Write(trackCSVRow(t.Tracking, s, season, pooled)); err != nil {
				return err
			}
		}
	}
	out.Flush()
	return out.Error()
}

func trackCSVRow(k *track.Tracking, s track.Series, season track.Season, pooled map[pooledKey]track.Pooled) []string {
	whole := strconv.Itoa
	base := k.Baselines[s.Baseline]
	var names []string
	for _, a := range season.Assays {
		names = append(names, cellSafe(a.Assay))
	}
	row := []string{
		cellSafe(s.Apiary), cellSafe(s.Region), cellSafe(s.Acaricide), cellSafe(s.Protocol), cellSafe(base.Name), wholeOrBlank(base.Version),
		season.Season.String(), season.Begins.String(), strings.Join(names, "; "), whole(season.Mites),
		bound(season.LC50.Estimate), bound(season.LC50.Lower), bound(season.LC50.Upper), full(season.LogSE),
		bound(season.Ratio.Estimate), bound(season.Ratio.Lower), bound(season.Ratio.Upper),
		season.Censored.String(), season.Difference.String(), season.Natural.String(),
	}
	p, ok := pooled[pooledKey{s.Apiary, s.Region, s.Acaricide, s.Baseline, season.Season}]
	if ok {
		row = append(row, bound(p.Ratio.Estimate), bound(p.Ratio.Lower), bound(p.Ratio.Upper))
	} else {
		row = append(row, "", "", "")
	}
	row = append(row, full(season.Fraction.Estimate), full(season.Fraction.Lower), full(season.Fraction.Upper), full(season.FractionP),
		strconv.FormatBool(season.WholeShift), strconv.FormatBool(season.Single))
	if k.Bands != nil {
		for i := range k.Bands.Bands {
			cell := ""
			if i < len(season.Bands) {
				cell = full(season.Bands[i])
			}
			row = append(row, cell)
		}
	}
	r := s.Trend
	return append(row, DirectionWords[r.Direction], whole(r.Seasons), bound(r.FoldPerYear.Estimate), bound(r.FoldPerYear.Lower), bound(r.FoldPerYear.Upper), full(r.P), full(k.Level))
}
