package render

import (
	"fmt"
	"io"
	"math"

	"vialwise/bioassay"
	"vialwise/bioassay/tables/workbook"
	"vialwise/bioassay/track"
)

// WriteTracksBook writes the results as a workbook: seasons, trends, regions,
// pooled ratios, baselines, what is lacking, methods.
func WriteTracksBook(w io.Writer, t *Tracks) error {
	k := t.Tracking
	sheets := []*sheet{trackSheet(k), trackTrendSheet(k), regionSheet(k), pooledSheet(k), lackingSheet(k), leftOutSheet(k)}
	if len(k.Baselines) > 0 {
		sheets = append(sheets, baselineSheet(namedBaselines(k)))
	}
	return writeBook(w, append(sheets, methodSheet(t.Methods()))...)
}

// rangeHeader names an estimate and its limits.
func rangeHeader(name string) []string { return []string{name, name + "_lower", name + "_upper"} }

// rangeCells are an estimate with its limits, where 0 is no limit.
func rangeCells(i bioassay.Interval) []workbook.Value {
	return []workbook.Value{boundCell(i.Estimate), boundCell(i.Lower), boundCell(i.Upper)}
}

// shareCells are a share with its limits.
func shareCells(i bioassay.Interval) []workbook.Value {
	return []workbook.Value{shownAs(i.Estimate, shareFormat), shownAs(i.Lower, shareFormat), shownAs(i.Upper, shareFormat)}
}

// trackSheet has a row for each season of each series.
func trackSheet(k *track.Tracking) *sheet {
	s := &sheet{name: "seasons", header: []string{"apiary", "region", "acaricide", "protocol", "baseline", "season", "begins_on", "assays", "mites"}}
	for _, name := range []string{"LC50", "RR50"} {
		s.header = append(s.header, rangeHeader(name)...)
	}
	s.header = append(append(s.header, "only_a_bound", "RR50_differs", "RR50_among_susceptible"), rangeHeader("resistant_fraction")...)
	s.header = append(append(s.header, "p_fraction", "whole_shift", "one_concentration"), bandHeader(k.Bands, "P(%s)")...)
	for _, x := range k.Series {
		for _, season := range x.Seasons {
			s.add(trackSeasonCells(k, x, season)...)
		}
	}
	return s
}

func trackSeasonCells(k *track.Tracking, x track.Series, season track.Season) []workbook.Value {
	row := []workbook.Value{
		textCell(x.Apiary), textCell(x.Region), textCell(x.Acaricide), textCell(x.Protocol), textCell(ReferenceName(k.Baselines[x.Baseline])),
		textCell(season.Season.String()), dayCell(season.Begins), wholeCell(len(season.Assays)), wholeCell(season.Mites),
	}
	row = append(append(row, rangeCells(season.LC50)...), rangeCells(season.Ratio)...)
	row = append(row, textCell(season.Censored.String()), textCell(differsWords[season.Difference]), textCell(amongWords[season.Natural]))
	row = append(append(row, shareCells(season.Fraction)...), shownAs(season.FractionP, chanceFormat), yesCell(season.WholeShift), yesCell(season.Single))
	return append(row, bandValues(k.Bands, season.Bands, chanceFormat)...)
}

// bandValues are a number for each band, blank where there is none.
func bandValues(bands *bioassay.RatioBands, shares []float64, format string) []workbook.Value {
	if bands == nil {
		return nil
	}
	row := make([]workbook.Value, len(bands.Bands))
	for i := range row {
		if i < len(shares) {
			row[i] = shownAs(shares[i], format)
		}
	}
	return row
}

var trendHeader = []string{"trend", "trend_seasons", "left_out", "change_per_year", "change_lower", "change_upper", "p", "between_sd"}

func trendValues(r track.Trend) []workbook.Value {
	row := append([]workbook.Value{textCell(DirectionWords[r.Direction]), wholeCell(r.Seasons), wholeCell(r.LeftOut)}, rangeCells(r.FoldPerYear)...)
	return append(row, shownAs(r.P, chanceFormat), shownAs(r.BetweenSD, threeDecimal))
}

// trackTrendSheet has a row for each series and each region.
func trackTrendSheet(k *track.Tracking) *sheet {
	s := &sheet{name: "trends", header: append([]string{"apiary", "region", "acaricide", "baseline"}, trendHeader...)}
	for _, x := range k.Series {
		s.add(append([]workbook.Value{textCell(x.Apiary), textCell(x.Region), textCell(x.Acaricide), textCell(ReferenceName(k.Baselines[x.Baseline]))}, trendValues(x.Trend)...)...)
	}
	for _, r := range k.Regions {
		s.add(append([]workbook.Value{textCell("all of the region"), textCell(RegionName(r.Region)), textCell(r.Acaricide), textCell(ReferenceName(k.Baselines[r.Baseline]))}, trendValues(r.Trend)...)...)
	}
	return s
}

// regionSheet has a row for each region, acaricide and season.
func regionSheet(k *track.Tracking) *sheet {
	s := &sheet{name: "regions", header: append([]string{"region", "acaricide", "baseline", "season", "apiaries", "bounds_only", "mites"}, rangeHeader("RR50_mean")...)}
	s.header = append(append(s.header, "between_sd", "further_apiary_from", "further_apiary_to"), bandHeader(k.Bands, "share(%s)")...)
	for _, v := range sharesOf(k) {
		s.header = append(s.header, rangeHeader(fmt.Sprintf("above_%g", v.Above))...)
	}
	for _, r := range k.Regions {
		for _, season := range r.Seasons {
			row := []workbook.Value{
				textCell(RegionName(r.Region)), textCell(r.Acaricide), textCell(ReferenceName(k.Baselines[r.Baseline])), textCell(season.Season.String()),
				wholeCell(season.Apiaries), wholeCell(season.Censored), wholeCell(season.Mites),
			}
			row = append(row, rangeCells(season.Ratio)...)
			row = append(row, shownAs(season.BetweenSD, threeDecimal), boundCell(season.Prediction.Lower), boundCell(season.Prediction.Upper))
			row = append(row, bandValues(k.Bands, season.Bands, shareFormat)...)
			for i := range sharesOf(k) {
				v := bioassay.Interval{Estimate: math.NaN(), Lower: math.NaN(), Upper: math.NaN()}
				if i < len(season.Shares) {
					v = season.Shares[i].Interval
				}
				row = append(row, shareCells(v)...)
			}
			s.add(row...)
		}
	}
	return s
}

// pooledSheet has a row for each apiary of each region and season.
func pooledSheet(k *track.Tracking) *sheet {
	s := &sheet{name: "pooled", header: append([]string{"region", "acaricide", "season", "apiary", "RR50_own"}, append(rangeHeader("RR50_pooled"), "weight_of_own")...)}
	for _, r := range k.Regions {
		for _, season := range r.Seasons {
			for _, p := range season.Pooled {
				row := []workbook.Value{textCell(RegionName(r.Region)), textCell(r.Acaricide), textCell(season.Season.String()), textCell(p.Apiary), boundCell(p.Own)}
				s.add(append(append(row, rangeCells(p.Ratio)...), shownAs(p.Weight, twoDecimals))...)
			}
		}
	}
	return s
}

func lackingSheet(k *track.Tracking) *sheet {
	s := &sheet{name: "need a test", header: []string{"apiary", "region", "acaricide", "last_tested", "reason"}}
	for _, l := range k.Lacking {
		s.add(textCell(l.Apiary), textCell(l.Region), textCell(l.Acaricide), textCell(seasonWord(l.Last)), textCell(l.Reason))
	}
	return s
}

func leftOutSheet(k *track.Tracking) *sheet {
	s := &sheet{name: "in no series", header: []string{"assay", "file", "apiary", "acaricide", "season", "reason"}}
	for _, m := range k.LeftOut {
		s.add(textCell(m.Assay), textCell(m.Origin.File), textCell(m.Apiary), textCell(m.Acaricide), textCell(seasonWord(m.Season)), textCell(m.LeftOut))
	}
	return s
}
