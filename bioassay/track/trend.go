package track

import (
	"fmt"
	"math"
	"strings"

	"vialwise/bioassay"
	"vialwise/doseresp"
	"vialwise/doseresp/meta"
)

// point is one season of a trend: log10 LC50 with its standard error, or a bound.
type point struct {
	season  bioassay.Season
	begins  bioassay.Date
	log, se float64
	bound   string // in words, where there is no log
}

func pointsOf(seasons []Season) []point {
	out := make([]point, len(seasons))
	for i, s := range seasons {
		out[i] = point{season: s.Season, begins: s.Begins, log: s.Log, se: s.LogSE, bound: boundWords(s)}
	}
	return out
}

// boundWords says what is known of a season without an estimate.
func boundWords(s Season) string {
	switch s.Censored {
	case doseresp.CensoredLow:
		return fmt.Sprintf("LC50 above %.4g", s.LC50.Estimate)
	case doseresp.CensoredHigh:
		return fmt.Sprintf("LC50 below %.4g", s.LC50.Estimate)
	}
	return "no bound"
}

// years counts from a day that is the same for all, so that a trend does not
// depend on when a series begins.
func years(d bioassay.Date) float64 {
	const secondsInDay, daysInYear = 24 * 60 * 60, 365.2425
	return float64(d.Time().Unix()/secondsInDay) / daysInYear
}

// WarnLeftOut is about seasons that a trend lacks since only a bound is known.
const WarnLeftOut bioassay.WarningCode = "trend-without-bounds"

// trend regresses log10 LC50, which is log10 of the ratio but for a constant, on
// the time at which seasons begin, in years:
//
//	y = a + b x + u + e,   u ~ N(0, τ²),   e ~ N(0, v)
//
// with τ² between seasons by Paule & Mandel and limits by Knapp & Hartung whose
// variance factor is never below 1 (meta.Regress). The baseline moves y by a
// constant and has no part in b. Below FewestSeasons no number is given. With 3
// to 8 seasons the limits of b were simulated (trend_coverage.md). Of a region,
// whose apiaries come and go and keep levels of their own, y are the means of its
// seasons; the limits then hold the change in 95 to 100 % (TestRegionTrendCoverage).
//
// The line is the fitted ratio with limits of the fit alone: the baseline's error
// would move it as a whole.
func (w *work) trend(points []point, baseline int) Trend {
	nan := math.NaN()
	t := Trend{FoldPerYear: bioassay.NoInterval(), P: nan, BetweenSD: nan}
	var y, v []float64
	var x [][]float64
	var kept []point
	var bounds []string
	for _, p := range points {
		if !isPlaced(p.log, p.se) {
			t.LeftOut++
			bounds = append(bounds, fmt.Sprintf("%v (%s)", p.season, p.bound))
			continue
		}
		kept = append(kept, p)
		y, v = append(y, p.log), append(v, p.se*p.se)
	}
	if t.Seasons = len(kept); len(bounds) > 0 && t.Seasons > 0 {
		t.Warnings = append(t.Warnings, bioassay.Warning{
			Code:    WarnLeftOut,
			Message: "no estimate in " + strings.Join(bounds, ", ") + ", so that the trend leaves it out and understates a change that led there",
			Cure:    "test these mites again at doses that kill some but not all",
		})
	}
	if t.Seasons < FewestSeasons {
		return t
	}
	middle := 0.0
	for _, p := range kept {
		middle += years(p.begins) / float64(len(kept))
	}
	for _, p := range kept {
		x = append(x, []float64{years(p.begins) - middle})
	}
	r, err := meta.Regress(y, v, x, meta.Options{Level: w.level})
	if err != nil { // seasons differ in time and their errors are finite
		panic("track: " + err.Error())
	}
	b := r.Coefficients[1]
	t.FoldPerYear = unlog(b.Estimate, b.Limits.Lower, b.Limits.Upper)
	t.P, t.BetweenSD = b.P, r.SD()
	t.Direction = directionOf(b.Limits)
	base := w.logBaseline(baseline)
	for i, p := range kept {
		at := r.At(x[i]...)
		t.Line = append(t.Line, TrendPoint{p.season, unlog(at.Estimate-base, at.Limits.Lower-base, at.Limits.Upper-base)})
	}
	return t
}

func directionOf(l meta.Interval) Direction {
	switch {
	case l.Lower > 0:
		return Rising
	case l.Upper < 0:
		return Falling
	}
	return NoClearChange
}

// logBaseline is log10 LC50 of a baseline.
func (w *work) logBaseline(baseline int) float64 {
	lc, ok := w.comparers[baseline].Baseline().At(50)
	if !ok {
		panic("track: a baseline without LC50")
	}
	return lc.Log.Estimate
}
