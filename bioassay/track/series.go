package track

import (
	"cmp"
	"math"
	"slices"

	"vialwise/bioassay"
	"vialwise/doseresp"
	"vialwise/doseresp/meta"
)

// work is what all steps of arranging share.
type work struct {
	comparers []*bioassay.Comparer
	calendar  bioassay.Calendar
	level     float64
	bands     *bioassay.RatioBands
	regions   map[string]string // by apiary
	window    bool              // seasons were left out
}

// byPlace orders results by apiary, acaricide, baseline, season, day and assay, so
// that the order in which they came does not matter.
func byPlace(calendar bioassay.Calendar) func(a, b Measured) int {
	return func(a, b Measured) int {
		return cmp.Or(
			cmp.Compare(a.Apiary, b.Apiary), cmp.Compare(a.Acaricide, b.Acaricide), cmp.Compare(a.Baseline, b.Baseline),
			calendar.Compare(a.Season, b.Season), a.Collected.Compare(b.Collected), cmp.Compare(a.Assay, b.Assay),
			cmp.Compare(a.Origin.File, b.Origin.File), cmp.Compare(a.Origin.Line, b.Origin.Line),
		)
	}
}

// series divides sorted results into those of one apiary, acaricide and baseline.
func (w *work) series(all []Measured) (out []Series) {
	same := func(a, b Measured) bool {
		return a.Apiary == b.Apiary && a.Acaricide == b.Acaricide && a.Baseline == b.Baseline
	}
	for _, run := range runs(all, same) {
		s := Series{Apiary: run[0].Apiary, Region: w.regions[run[0].Apiary], Acaricide: run[0].Acaricide, Protocol: run[0].Protocol, Baseline: run[0].Baseline}
		for _, season := range runs(run, func(a, b Measured) bool { return a.Season == b.Season }) {
			s.Seasons = append(s.Seasons, w.season(season))
		}
		s.Trend = w.trend(pointsOf(s.Seasons), s.Baseline)
		out = append(out, s)
	}
	slices.SortStableFunc(out, func(a, b Series) int {
		return cmp.Or(cmp.Compare(a.Region, b.Region), cmp.Compare(a.Apiary, b.Apiary), cmp.Compare(a.Acaricide, b.Acaricide), cmp.Compare(a.Baseline, b.Baseline))
	})
	return out
}

// runs divides a list into stretches of equal neighbours.
func runs[T any](list []T, same func(a, b T) bool) (out [][]T) {
	for from := 0; from < len(list); {
		to := from + 1
		for to < len(list) && same(list[from], list[to]) {
			to++
		}
		out = append(out, list[from:to:to])
		from = to
	}
	return out
}

// season sums up the assays of a season. A single one keeps its own numbers. Of
// several, those with an LC50 are averaged; where none has one, that with the most
// mites stands for all.
func (w *work) season(assays []Measured) Season {
	largest, mites := assays[0], 0
	var placed []Measured
	for _, a := range assays {
		mites += a.Brief.Mites
		if a.Brief.Mites > largest.Brief.Mites {
			largest = a
		}
		if isPlaced(a.Brief) {
			placed = append(placed, a)
		}
	}
	var s Season
	switch len(placed) {
	case 0:
		s = seasonOf(largest.Brief)
	case 1:
		s = seasonOf(placed[0].Brief)
	default:
		s = w.mean(placed)
	}
	if len(placed) > 0 {
		s.Bounds = len(assays) - len(placed)
	}
	s.Season, s.Begins, s.Assays, s.Mites = assays[0].Season, w.calendar.Begin(assays[0].Season), assays, mites
	b := largest.Brief
	s.Fraction, s.FractionP, s.WholeShift, s.Single = b.Fraction, b.FractionP, b.WholeShift, b.Single
	return s
}

func isPlaced(b *bioassay.Brief) bool {
	return !math.IsNaN(b.Log) && b.LogSE > 0 && !math.IsInf(b.LogSE, 1)
}

// seasonOf is a season with one assay.
func seasonOf(b *bioassay.Brief) Season {
	return Season{
		LC50: b.LC50, Censored: b.Censored, Log: b.Log, LogSE: b.LogSE, Ratio: b.Ratio,
		Difference: b.Difference, Natural: b.Natural, Bands: b.Bands,
	}
}

// mean averages log10 LC50 of several assays with weights w = 1/v:
//
//	m = Σwy/Σw,   SE² = max(1, Σw(y-m)²/(k-1)) / Σw
//
// the scatter of the assays standing in for their own errors where it is larger,
// as Birge's ratio does (Birge 1932, Physical Review 40:207-227, from memory).
// Limits take Student's t on the degrees of freedom of the heterogeneity of all
// assays, if any has it, else the normal quantile.
func (w *work) mean(placed []Measured) Season {
	sum, weights, df := 0.0, 0.0, 0
	for _, a := range placed {
		weight := 1 / (a.Brief.LogSE * a.Brief.LogSE)
		weights += weight
		sum += weight * a.Brief.Log
		df += a.Brief.DF
	}
	m, q := sum/weights, 0.0
	for _, a := range placed {
		d := (a.Brief.Log - m) / a.Brief.LogSE
		q += d * d
	}
	se := math.Sqrt(max(1, q/float64(len(placed)-1)) / weights)
	half := meta.Quantile((1+w.level)/2, freedom(df)) * se
	own := doseresp.NewLogDose(m, se, df, m-half, m+half)
	comparer := w.comparers[placed[0].Baseline]
	ratio := comparer.RatioOf(own)
	s := Season{
		LC50: bioassay.Interval{Estimate: pow10(m), Lower: pow10(m - half), Upper: pow10(m + half)}, Log: m, LogSE: se,
		Ratio:      bioassay.Interval{Estimate: ratio.Estimate, Lower: ratio.Mover.Lower, Upper: ratio.Mover.Upper},
		Difference: ratio.Difference, Natural: ratio.Natural,
	}
	if w.bands != nil && w.bands.Percent == 50 { // the mean tells of no other LCp
		for _, b := range comparer.BandsOf(doseresp.StudentDistribution(m, se, df)) {
			s.Bands = append(s.Bands, b.Probability)
		}
	}
	return s
}

// freedom is infinite for no degrees of freedom, where limits are normal.
func freedom(df int) float64 {
	if df == 0 {
		return math.Inf(1)
	}
	return float64(df)
}

func pow10(x float64) float64 { return math.Pow(10, x) }
