package render

import (
	"fmt"
	"math"

	"vialwise/bioassay"
	"vialwise/bioassay/track"
)

// DirectionWords are what tables and figures call the directions of a trend.
var DirectionWords = map[track.Direction]string{
	track.TooFewSeasons: "too few seasons", track.NoClearChange: "no clear change", track.Rising: "rising", track.Falling: "falling",
}

// trendTable has a row for each apiary and acaricide.
func trendTable(t *Tracks) *table {
	x := &table{title: "Trend of the resistance ratio, by apiary"}
	for _, name := range []string{"Apiary", "Region", "Acaricide"} {
		x.column(name, false)
	}
	trendColumns(x, t.Tracking.Level)
	for _, s := range t.Tracking.Series {
		x.rows = append(x.rows, append([]string{s.Apiary, orAbsent(s.Region), t.against(s.Acaricide, s.Baseline)}, trendCells(s.Trend)...))
	}
	x.notes = []string{
		"Trend: whether the limits of the change exclude none; below four seasons with an estimate there are too few. " +
			"Change per year: factor by which the ratio at LC50 grows, from a weighted regression of log10 of its season means with variation between seasons (Paule & Mandel 1982) and limits of Knapp & Hartung (2003) that are never narrower than those without it. " +
			"The baseline moves all ratios of a series alike, so that its error is not in the trend. Between sd: standard deviation of log10 of the ratio between seasons beside the trend. Not adjusted for the number of series.",
	}
	return x
}

// against is an acaricide, with its baseline where it has several.
func (t *Tracks) against(acaricide string, baseline int) string {
	several := 0
	for _, r := range t.Tracking.Baselines {
		if r.Acaricide == acaricide {
			several++
		}
	}
	if several < 2 {
		return orAbsent(acaricide)
	}
	return orAbsent(acaricide) + ", against " + ReferenceWords(t.Tracking.Baselines[baseline])
}

func trendColumns(x *table, level float64) {
	x.column("Trend", false)
	x.column("Seasons", true)
	x.column("Left out", true)
	x.column(fmt.Sprintf("Change per year (%s)", percent(level)), true)
	x.column("P", true)
	x.column("Between sd", true)
}

func trendCells(r track.Trend) []string {
	sd := absent
	if !math.IsNaN(r.BetweenSD) {
		sd = fixed(r.BetweenSD, 2)
	}
	return []string{
		DirectionWords[r.Direction], fmt.Sprint(r.Seasons), fmt.Sprint(r.LeftOut),
		PerYear(r), chanceOrAbsent(r.P), sd,
	}
}

// PerYear is the change of a trend in a year with its limits.
func PerYear(r track.Trend) string { return intervalCell(r.FoldPerYear, 0, timesFold) }

// timesFold writes a factor.
func timesFold(x float64) string { return "×" + fold(x) }

// seasonTable has a row for each season of each series.
func seasonTable(t *Tracks) *table {
	x := &table{title: "Season by season"}
	level := percent(t.Tracking.Level)
	for _, name := range []string{"Apiary", "Acaricide", "Season"} {
		x.column(name, false)
	}
	x.column("Assays", true)
	x.column("n", true)
	x.column("LC50 ("+level+")", true)
	x.column("RR50 ("+level+")", true)
	x.column("Differs", false)
	x.column("Among susceptible", false)
	x.column("RR50 pooled ("+level+")", true)
	x.column("q % ("+level+")", true)
	for _, name := range bandHeader(t.Tracking.Bands, "P(%s)") {
		x.column(name, true)
	}
	pooled := pooledBySeason(t.Tracking.Regions)
	for _, s := range t.Tracking.Series {
		for i, season := range s.Seasons {
			x.rows = append(x.rows, seasonRow(t, s, season, i == 0, pooled))
		}
	}
	x.notes = seasonNotes(t)
	return x
}

// bandHeader names a column for each band, as the format says.
func bandHeader(bands *bioassay.RatioBands, format string) (names []string) {
	if bands == nil {
		return nil
	}
	for _, b := range bands.Bands {
		names = append(names, fmt.Sprintf(format, b.Name))
	}
	return names
}

// pooledKey finds the pooled ratio of an apiary.
type pooledKey struct {
	apiary, region, acaricide string
	baseline                  int
	season                    bioassay.Season
}

func pooledBySeason(regions []track.Region) map[pooledKey]track.Pooled {
	out := map[pooledKey]track.Pooled{}
	for _, r := range regions {
		for _, s := range r.Seasons {
			for _, p := range s.Pooled {
				out[pooledKey{p.Apiary, r.Region, r.Acaricide, r.Baseline, s.Season}] = p
			}
		}
	}
	return out
}

func seasonRow(t *Tracks, s track.Series, season track.Season, first bool, pooled map[pooledKey]track.Pooled) []string {
	row := []string{s.Apiary, t.against(s.Acaricide, s.Baseline), season.Season.String(), fmt.Sprint(len(season.Assays)), fmt.Sprint(season.Mites)}
	if !first {
		row[0], row[1] = "", ""
	}
	drawn := absent
	if p, ok := pooled[pooledKey{s.Apiary, s.Region, s.Acaricide, s.Baseline, season.Season}]; ok {
		drawn = intervalCell(p.Ratio, 0, fold)
	}
	row = append(row,
		boundOrInterval(season.LC50, season.Censored, dose), intervalCell(season.Ratio, season.Censored, fold),
		differsWords[season.Difference], amongWords[season.Natural], drawn, shareCell(season))
	return append(row, bandCells(t.Tracking.Bands, season.Bands, chance)...)
}

// bandCells shows a number for each band.
func bandCells(bands *bioassay.RatioBands, shares []float64, format func(float64) string) []string {
	if bands == nil {
		return nil
	}
	cells := make([]string, len(bands.Bands))
	for i := range cells {
		cells[i] = absent
		if i < len(shares) && !math.IsNaN(shares[i]) {
			cells[i] = format(shares[i])
		}
	}
	return cells
}

// shareCell shows the resistant fraction or, of one concentration, the share
// that survived there.
func shareCell(s track.Season) string {
	if math.IsNaN(s.Fraction.Estimate) {
		return absent
	}
	mark := ""
	switch {
	case s.Single:
		mark = "*"
	case s.WholeShift:
		mark = doubleDagger
	}
	return hundred(s.Fraction.Estimate) + mark + " (" + hundred(s.Fraction.Lower) + "–" + hundred(s.Fraction.Upper) + ")"
}

func seasonNotes(t *Tracks) []string {
	notes := []string{
		"n: mites, treated and untreated. LC50, RR50: of the season's only assay or the mean of several, each weighted by its precision; > and < are inequalities from doses that killed none or all. " +
			"Differs: whether the limits of RR50 exclude 1. Among susceptible: whether the population may be a further susceptible one. " +
			"RR50 pooled: drawn towards the mean of the region's apiaries in that season by as much as chance has its part in it, with limits that take the variation between apiaries as known. " +
			"q: share of mites whose line is shifted to higher doses, with profile limits, of the assay with the most mites; * of one concentration the share that survived there. " +
			doubleDagger + " the counts do not tell a resistant part from a shift of the whole population.",
	}
	if b := t.Tracking.Bands; b != nil {
		notes = append(notes, bandNote(b))
	}
	return notes
}

// regionTable has a row for each region, acaricide and season.
func regionTable(t *Tracks) *table {
	x := &table{title: "Regions, season by season"}
	level := percent(t.Tracking.Level)
	for _, name := range []string{"Region", "Acaricide", "Season"} {
		x.column(name, false)
	}
	x.column("Apiaries", true)
	x.column("Bounds", true)
	x.column("n", true)
	x.column("Mean RR50 ("+level+")", true)
	x.column("Between sd", true)
	x.column("A further apiary", true)
	for _, share := range sharesOf(t.Tracking) {
		x.column(fmt.Sprintf("%% above %g (%s)", share.Above, level), true)
	}
	for _, r := range t.Tracking.Regions {
		for i, s := range r.Seasons {
			x.rows = append(x.rows, regionRow(t, r, s, i == 0))
		}
	}
	x.notes = []string{
		"Mean RR50: random-effects mean of log10 over the apiaries (Paule & Mandel 1982), with limits of Knapp & Hartung (2003) that are never narrower than those without between-apiary variation, none below four apiaries; the error of the baseline enters it once. " +
			"Bounds: further apiaries, of which only a bound of LC50 is known, and which are not in the mean. A further apiary: where the ratio of one more of the region may be expected. " +
			"% above: share of the region's apiaries whose ratio is above the bound of a band, the mean of their probabilities; limits allow for the doubt about each and, with the tested ones as a random sample, for those that were not tested.",
	}
	return x
}

// sharesOf are the bounds that shares are about, the same in every region.
func sharesOf(t *track.Tracking) []track.Share {
	for _, r := range t.Regions {
		for _, s := range r.Seasons {
			if len(s.Shares) > 0 {
				return s.Shares
			}
		}
	}
	return nil
}

func regionRow(t *Tracks, r track.Region, s track.RegionSeason, first bool) []string {
	row := []string{RegionName(r.Region), t.against(r.Acaricide, r.Baseline), s.Season.String(), fmt.Sprint(s.Apiaries), fmt.Sprint(s.Censored), fmt.Sprint(s.Mites)}
	if !first {
		row[0], row[1] = "", ""
	}
	sd, further := absent, absent
	if !math.IsNaN(s.BetweenSD) && s.Apiaries > 1 {
		sd = fixed(s.BetweenSD, 2)
	}
	if s.Prediction.Lower > 0 && !math.IsInf(s.Prediction.Upper, 1) {
		further = fold(s.Prediction.Lower) + "–" + fold(s.Prediction.Upper)
	}
	row = append(row, intervalCell(s.Ratio, 0, fold), sd, further)
	for i := range sharesOf(t.Tracking) {
		cell := absent
		if i < len(s.Shares) && !math.IsNaN(s.Shares[i].Estimate) {
			v := s.Shares[i]
			cell = hundred(v.Estimate) + " (" + hundred(v.Lower) + "–" + hundred(v.Upper) + ")"
		}
		row = append(row, cell)
	}
	return row
}

func regionTrendTable(t *Tracks) *table {
	x := &table{title: "Trend of the mean resistance ratio, by region"}
	x.column("Region", false)
	x.column("Acaricide", false)
	trendColumns(x, t.Tracking.Level)
	for _, r := range t.Tracking.Regions {
		x.rows = append(x.rows, append([]string{RegionName(r.Region), t.against(r.Acaricide, r.Baseline)}, trendCells(r.Trend)...))
	}
	return x
}

func lackingTable(t *Tracks) *table {
	x := &table{title: "Apiaries that need a test", wrapped: map[int]int{4: 60}}
	for _, name := range []string{"Apiary", "Region", "Acaricide", "Last tested", "Why"} {
		x.column(name, false)
	}
	for _, l := range t.Tracking.Lacking {
		x.rows = append(x.rows, []string{l.Apiary, orAbsent(l.Region), orAbsent(l.Acaricide), orAbsent(seasonWord(l.Last)), l.Reason})
	}
	return x
}

func leftOutTable(t *Tracks) *table {
	x := &table{title: "Assays in no series", wrapped: map[int]int{4: 80}}
	for _, name := range []string{"Assay", "Apiary", "Acaricide", "Season", "Why"} {
		x.column(name, false)
	}
	for _, m := range t.Tracking.LeftOut {
		x.rows = append(x.rows, []string{m.Assay, orAbsent(m.Apiary), orAbsent(m.Acaricide), orAbsent(seasonWord(m.Season)), m.LeftOut})
	}
	return x
}
