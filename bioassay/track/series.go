package track

import (
	"cmp"
	"math"
	"slices"

	"vialwise/bioassay"
	"vialwise/doseresp"
	"vialwise/doseresp/meta"
	"vialwise/internal/parallel"
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
func (w *work) series(all []Measured) []Series {
	same := func(a, b Measured) bool {
		return a.Apiary == b.Apiary && a.Acaricide == b.Acaricide && a.Baseline == b.Baseline
	}
	parts := runs(all, same)
	out := make([]Series, len(parts))
	parallel.Each(len(parts), func(i int) { out[i] = w.oneSeries(parts[i]) }, nil)
	slices.SortStableFunc(out, func(a, b Series) int {
		return cmp.Or(cmp.Compare(a.Region, b.Region), cmp.Compare(a.Apiary, b.Apiary), cmp.Compare(a.Acaricide, b.Acaricide), cmp.Compare(a.Baseline, b.Baseline))
	})
	return out
}

func (w *work) oneSeries(run []Measured) Series {
	s := Series{Apiary: run[0].Apiary, Region: w.regions[run[0].Apiary], Acaricide: run[0].Acaricide, Protocol: run[0].Protocol, Baseline: run[0].Baseline}
	for _, season := range runs(run, func(a, b Measured) bool { return a.Season == b.Season }) {
		s.Seasons = append(s.Seasons, w.season(season))
	}
	s.Trend = w.trend(pointsOf(s.Seasons), s.Baseline)
	return s
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
		if isPlaced(a.Brief.Log, a.Brief.LogSE) {
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

// isPlaced says that there is an estimate with a standard error.
func isPlaced(log, se float64) bool { return !math.IsNaN(log) && se > 0 && !math.IsInf(se, 1) }

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
// Limits take Student's t on the degrees of freedom of meanFreedom, or the normal
// quantile where it has none. Where assays of one season differ by chance alone
// they hold the truth in 96 %; where they truly differ, with a standard deviation
// as large as that of their errors, in 89 % for two assays and 91 % for four
// (TestMeanCoverage): no limits of two or three assays can do both that and tell
// something.
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
	factor := max(1, q/float64(len(placed)-1))
	se := math.Sqrt(factor / weights)
	df = meanFreedom(factor, len(placed), df)
	half := meta.Quantile((1+w.level)/2, freedom(df)) * se
	own := doseresp.NewLogDose(m, se, df, m-half, m+half)
	comparer := w.comparers[placed[0].Baseline]
	ratio := comparer.RatioOf(own)
	s := Season{
		LC50: unlog(m, m-half, m+half), Log: m, LogSE: se,
		Ratio: interval(ratio), Difference: ratio.Difference, Natural: ratio.Natural,
	}
	if w.bands != nil && w.bands.Percent == 50 { // the mean tells of no other LCp
		for _, b := range comparer.BandsOf(doseresp.StudentDistribution(m, se, df)) {
			s.Bands = append(s.Bands, b.Probability)
		}
	}
	return s
}

// meanFreedom are the degrees of freedom of the variance f/Σw of a mean of k assays
// by Satterthwaite's approximation (1946, Biometrics Bulletin 2:110-114): those of
// the heterogeneity of all assays for the part that is their own errors', k-1 for
// what f adds to it,
//
//	ν = f² / (1/ν_own + (f-1)²/(k-1))
//
// rounded down, at least 1; 0 where there is none, or so many that Student's t is
// normal.
func meanFreedom(f float64, k, own int) int {
	const normal = 10000
	inverse := (f - 1) * (f - 1) / float64(k-1)
	if own > 0 {
		inverse += 1 / float64(own)
	}
	if inverse*normal < f*f {
		return 0
	}
	return max(1, int(f*f/inverse))
}

// freedom is infinite for no degrees of freedom, where limits are normal.
func freedom(df int) float64 {
	if df == 0 {
		return math.Inf(1)
	}
	return float64(df)
}

func pow10(x float64) float64 { return math.Pow(10, x) }

// unlog is an estimate with limits of which log10 is given.
func unlog(estimate, lower, upper float64) bioassay.Interval {
	return bioassay.Interval{Estimate: pow10(estimate), Lower: pow10(lower), Upper: pow10(upper)}
}
