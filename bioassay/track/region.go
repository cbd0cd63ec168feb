package track

import (
	"cmp"
	"math"
	"slices"

	"vialwise/bioassay"
	"vialwise/doseresp"
	"vialwise/doseresp/meta"
)

// of is one apiary in one season, as a region sees it.
type of struct {
	series Series
	Season
}

// regional sums up the apiaries of each region, acaricide and baseline.
func (w *work) regional(series []Series) (out []Region) {
	var all []of
	for _, s := range series {
		for _, season := range s.Seasons {
			all = append(all, of{s, season})
		}
	}
	slices.SortStableFunc(all, func(a, b of) int {
		return cmp.Or(cmp.Compare(a.series.Region, b.series.Region), cmp.Compare(a.series.Acaricide, b.series.Acaricide),
			cmp.Compare(a.series.Baseline, b.series.Baseline), w.calendar.Compare(a.Season.Season, b.Season.Season), cmp.Compare(a.series.Apiary, b.series.Apiary))
	})
	sameRegion := func(a, b of) bool {
		return a.series.Region == b.series.Region && a.series.Acaricide == b.series.Acaricide && a.series.Baseline == b.series.Baseline
	}
	for _, run := range runs(all, sameRegion) {
		r := Region{Region: run[0].series.Region, Acaricide: run[0].series.Acaricide, Baseline: run[0].series.Baseline}
		var points []point
		for _, season := range runs(run, func(a, b of) bool { return a.Season.Season == b.Season.Season }) {
			s, p := w.regionSeason(season, r.Baseline)
			r.Seasons = append(r.Seasons, s)
			points = append(points, p)
		}
		r.Trend = w.trend(points, r.Baseline)
		out = append(out, r)
	}
	return out
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
		if (point{log: a.Log, se: a.LogSE}).placed() {
			placed = append(placed, a)
			y, v = append(y, a.Log), append(v, a.LogSE*a.LogSE)
		}
	}
	summary := Pool(y, v, w.comparers[baseline], w.level)
	s.Apiaries, s.Censored = len(placed), len(apiaries)-len(placed)
	s.Ratio, s.BetweenSD, s.Prediction = summary.Ratio, summary.BetweenSD, summary.Prediction
	s.Bands, s.Shares = w.shares(chances)
	for i, shrunk := range summary.shrunk {
		s.Pooled = append(s.Pooled, w.pooled(placed[i], shrunk, baseline))
	}
	p := point{season: s.Season, begins: s.Begins, log: summary.Log, se: summary.LogSE, bound: "no apiary with an estimate"}
	return s, p
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
