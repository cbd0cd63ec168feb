package track

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"vialwise/bioassay"
	"vialwise/doseresp"
	"vialwise/doseresp/meta"
	"vialwise/internal/parallel"
)

// of is one apiary in one season, as a region sees it.
type of struct {
	series *Series
	*Season
}

func sameSeason(a, b of) bool { return a.Season.Season == b.Season.Season }

// regional sums up the apiaries of each region, acaricide and baseline.
func (w *work) regional(series []Series) []Region {
	var all []of
	for i := range series {
		s := &series[i]
		if s.Region == "" {
			continue // apiaries of which nobody told a region have nothing in common
		}
		for k := range s.Seasons {
			all = append(all, of{s, &s.Seasons[k]})
		}
	}
	slices.SortStableFunc(all, func(a, b of) int {
		return cmp.Or(cmp.Compare(a.series.Region, b.series.Region), cmp.Compare(a.series.Acaricide, b.series.Acaricide),
			cmp.Compare(a.series.Baseline, b.series.Baseline), w.calendar.Compare(a.Season.Season, b.Season.Season), cmp.Compare(a.series.Apiary, b.series.Apiary))
	})
	sameRegion := func(a, b of) bool {
		return a.series.Region == b.series.Region && a.series.Acaricide == b.series.Acaricide && a.series.Baseline == b.series.Baseline
	}
	parts := runs(all, sameRegion)
	out := make([]Region, len(parts))
	parallel.Each(len(parts), func(i int) { out[i] = w.region(parts[i]) }, nil)
	return out
}

// region sums up the apiaries of one region, acaricide and baseline.
func (w *work) region(run []of) Region {
	first := run[0].series
	r := Region{Region: first.Region, Acaricide: first.Acaricide, Baseline: first.Baseline}
	var points []point
	for _, season := range runs(run, sameSeason) {
		s, p := w.regionSeason(season, r.Baseline)
		r.Seasons = append(r.Seasons, s)
		points = append(points, p)
	}
	r.Trend = w.trend(points, r.Baseline)
	r.Trend.Warnings = append(r.Trend.Warnings, changing(run)...)
	return r
}

func (w *work) regionSeason(apiaries []of, baseline int) (RegionSeason, point) {
	first := apiaries[0]
	s := RegionSeason{Season: first.Season.Season, Begins: first.Begins}
	var y, v []float64
	var placed []of
	var chances [][]float64
	for _, a := range apiaries {
		s.Mites += a.Mites
		if a.Bands != nil {
			chances = append(chances, a.Bands)
		}
		if isPlaced(a.Log, a.LogSE) {
			placed = append(placed, a)
			y, v = append(y, a.Log), append(v, a.LogSE*a.LogSE)
		}
	}
	s.Apiaries, s.Censored = len(placed), len(apiaries)-len(placed)
	if s.Warnings = leftOut(apiaries); manyLeftOut(apiaries) {
		y, v = nil, nil
	}
	summary := Pool(y, v, w.comparers[baseline], w.level)
	s.Ratio, s.BetweenSD, s.Prediction = summary.Ratio, summary.BetweenSD, summary.Prediction
	s.Bands, s.Shares = w.shares(apiaries, chances, baseline)
	for i, shrunk := range summary.shrunk {
		s.Pooled = append(s.Pooled, w.pooled(placed[i], shrunk, baseline))
	}
	p := point{season: s.Season, begins: s.Begins, log: summary.Log, se: summary.LogSE, bound: "no apiary with an estimate"}
	return s, p
}

// Warnings about a region.
const (
	WarnBoundsLeftOut bioassay.WarningCode = "mean-without-bounds" // apiaries with only a bound are not in the mean
	WarnOtherApiaries bioassay.WarningCode = "apiaries-change"     // other apiaries are tested from season to season
)

// mostLeftOut is the share of apiaries with only a bound above which there is no
// mean: those that an acaricide no longer kills would be missing from it.
const mostLeftOut = 0.1

func boundedIn(apiaries []of) (n int) {
	for _, a := range apiaries {
		if a.Bounded() {
			n++
		}
	}
	return n
}

func manyLeftOut(apiaries []of) bool {
	return float64(boundedIn(apiaries)) > mostLeftOut*float64(len(apiaries))
}

// leftOut tells of apiaries that a mean leaves out.
func leftOut(apiaries []of) []bioassay.Warning {
	n := boundedIn(apiaries)
	if n == 0 {
		return nil
	}
	so := "; the mean leaves them out"
	if manyLeftOut(apiaries) {
		so = ", so that no mean of the others would speak for the region"
	}
	message := fmt.Sprintf("of %d of %s only a bound of LC50 is known%s", n, bioassay.Plural(len(apiaries), "apiary"), so)
	return []bioassay.Warning{{Code: WarnBoundsLeftOut, Message: message, Cure: "test these mites again at doses that kill some but not all; look at the share above each bound"}}
}

// fewestInCommon is the share of apiaries that two seasons must have in common for
// their difference to be one of the mites rather than of who was tested.
const fewestInCommon = 0.5

// changing warns where fewer than half of the apiaries of a season were tested in
// the one before.
func changing(run []of) []bioassay.Warning {
	var before map[string]bool
	for _, season := range runs(run, sameSeason) {
		now, common := map[string]bool{}, 0
		for _, a := range season {
			now[a.series.Apiary] = true
			if before[a.series.Apiary] {
				common++
			}
		}
		if fewer := min(len(now), len(before)); before != nil && float64(common) < fewestInCommon*float64(fewer) {
			return []bioassay.Warning{{
				Code:    WarnOtherApiaries,
				Message: fmt.Sprintf("in %v only %d of %s had been tested in the season before: a change of the mean may be one of who was tested", season[0].Season.Season, common, bioassay.Plural(len(now), "apiary")),
				Cure:    "look at the trends of single apiaries, and test the same ones every season",
			}}
		}
		before = now
	}
	return nil
}

// pooled is the ratio of one apiary drawn towards the mean.
func (w *work) pooled(a of, shrunk meta.Shrunk, baseline int) Pooled {
	half := meta.Quantile((1+w.level)/2, math.Inf(1)) * shrunk.StdErr
	r := w.comparers[baseline].RatioOf(doseresp.NewLogDose(shrunk.Estimate, shrunk.StdErr, 0, shrunk.Estimate-half, shrunk.Estimate+half))
	return Pooled{Apiary: a.series.Apiary, Own: a.Ratio.Estimate, Ratio: interval(r), Weight: shrunk.Weight}
}

func interval(r bioassay.RatioAt) bioassay.Interval {
	return bioassay.Interval{Estimate: r.Estimate, Lower: r.Mover.Lower, Upper: r.Mover.Upper}
}

// PooledRatio is the mean resistance ratio of several apiaries.
type PooledRatio struct {
	Ratio      bioassay.Interval // no limits below four apiaries
	Log, LogSE float64           // mean of log10 LC50 with its standard error, NaN for none
	BetweenSD  float64           // of log10 between apiaries, NaN for one
	Prediction bioassay.Interval // of a further apiary, NaN below three
	shrunk     []meta.Shrunk     // by apiary, none for one
}

// Pool summarises log10 LC50 of apiaries with their variances by a random-effects
// mean (meta.Summarise), and compares it with a baseline, whose error enters once
// and not for every apiary. Variances must be above 0 and finite.
func Pool(y, v []float64, c *bioassay.Comparer, level float64) PooledRatio {
	nan := math.NaN()
	out := PooledRatio{Ratio: bioassay.NoInterval(), Prediction: bioassay.NoInterval(), Log: nan, LogSE: nan, BetweenSD: nan}
	if len(y) == 0 {
		return out
	}
	s, err := meta.Summarise(y, v, meta.Options{Level: level})
	if err != nil {
		panic("track: " + err.Error())
	}
	out.Log, out.LogSE = s.Mean, s.StdErr
	out.Ratio = interval(c.RatioOf(logDose(s, s.Limits)))
	if len(y) < meta.FewestForLimits { // also of one, whose own limits are those of its series
		out.Ratio.Lower, out.Ratio.Upper = 0, math.Inf(1)
	}
	if len(y) > 1 {
		out.BetweenSD, out.shrunk = s.SD(), s.Shrunk
	}
	if p := s.Prediction.Interval; !math.IsInf(p.Lower, -1) && !math.IsNaN(p.Lower) {
		out.Prediction = interval(c.RatioOf(logDose(s, p)))
	}
	return out
}

func logDose(s *meta.Summary, l meta.Interval) doseresp.LogDose {
	df := 0
	if !math.IsInf(s.DF, 1) && !math.IsNaN(s.DF) {
		df = int(s.DF)
	}
	return doseresp.NewLogDose(s.Mean, s.StdErr, df, l.Lower, l.Upper)
}
