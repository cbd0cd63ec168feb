package track

import (
	"fmt"
	"math"
	"runtime"
	"slices"
	"testing"

	"vialwise/bioassay"
)

// TestProcessorsDoNotMatter: one goroutine and many give the same tracking.
func TestProcessorsDoNotMatter(t *testing.T) {
	all := programme()
	before := runtime.GOMAXPROCS(1)
	defer runtime.GOMAXPROCS(before)
	one := tracked(t, places, Options{}, all...)
	runtime.GOMAXPROCS(5)
	if !sameTracking(one, tracked(t, places, Options{}, all...)) {
		t.Error("another tracking by five processors")
	}
}

// TestNothingToTrack: no assay, with and without apiaries.
func TestNothingToTrack(t *testing.T) {
	k := tracked(t, nil, Options{})
	if len(k.Series)+len(k.Regions)+len(k.Lacking)+len(k.LeftOut) != 0 {
		t.Errorf("%+v", k)
	}
	if k = tracked(t, places, Options{}); len(k.Lacking) != 0 { // of which acaricide?
		t.Errorf("lacking %+v", k.Lacking)
	}
}

// TestNoRegion: apiaries without a region, or without a row, are followed and make
// no region.
func TestNoRegion(t *testing.T) {
	k := tracked(t, places, Options{}, field("a", "A9", "2031-04-10", 1, 1), field("b", "stranger", "2031-04-11", 1, 2), field("c", "A1", "2031-04-12", 1, 3))
	if len(k.Regions) != 1 || k.Regions[0].Region != "north" || len(k.Series) != 3 {
		t.Errorf("%+v", k.Regions)
	}
}

// TestSameNameTwice: two assays of one name are two.
func TestSameNameTwice(t *testing.T) {
	s := tracked(t, nil, Options{}, field("a", "A1", "2031-04-10", 1, 1), field("a", "A1", "2031-04-10", 2, 2)).Series[0].Seasons[0]
	if len(s.Assays) != 2 || s.Mites != 420 {
		t.Errorf("%d assays, %d mites", len(s.Assays), s.Mites)
	}
}

// names are the seasons of a series in words.
func names(s Series) (out []string) {
	for _, season := range s.Seasons {
		out = append(out, season.Season.String())
	}
	return out
}

// TestSeasonsOfTheSouth: January is summer there, and belongs to the year before.
func TestSeasonsOfTheSouth(t *testing.T) {
	days := []string{"2032-01-15", "2031-12-02", "2032-07-01", "2032-03-01"}
	want := map[bioassay.Hemisphere][]string{
		bioassay.South: {"2031-summer", "2032-autumn", "2032-winter"},
		bioassay.North: {"2031-winter", "2032-spring", "2032-summer"},
	}
	for h, seasons := range want {
		var all []bioassay.Assay
		for i, day := range days {
			all = append(all, field(fmt.Sprint("a", i), "A1", day, 1, uint64(i)))
		}
		s := tracked(t, nil, Options{Calendar: bioassay.Calendar{Hemisphere: h}}, all...).Series[0]
		if !slices.Equal(names(s), seasons) || len(s.Seasons[0].Assays) != 2 || s.Seasons[0].Begins.String() != "2031-12-01" {
			t.Errorf("%v: %v", h, names(s))
		}
	}
}

// TestSeasonsOfAProgramme: one that runs over New Year is one season.
func TestSeasonsOfAProgramme(t *testing.T) {
	calendar := bioassay.Calendar{Starts: []bioassay.SeasonStart{{Name: "early", Month: 2, Day: 15}, {Name: "late", Month: 10, Day: 1}}}
	var all []bioassay.Assay
	for i, day := range []string{"2031-10-01", "2032-02-14", "2032-02-15", "2031-09-30"} {
		all = append(all, field(fmt.Sprint("a", i), "A1", day, 1, uint64(i)))
	}
	s := tracked(t, nil, Options{Calendar: calendar}, all...).Series[0]
	if want := []string{"2031-early", "2031-late", "2032-early"}; !slices.Equal(names(s), want) || len(s.Seasons[1].Assays) != 2 {
		t.Errorf("%v, want %v", names(s), want)
	}
}

// TestGapYears: time is counted in years and not in seasons, so that years without
// an assay lie between the points of a trend.
func TestGapYears(t *testing.T) {
	const tolerance = 1e-9
	w := testWork(t)
	var apart, close []point
	for i, x := range []float64{0.1, 0.4, 0.6, 1.0} {
		apart = append(apart, point{begins: bioassay.Date{Year: 2004 + 400*i, Month: 3, Day: 1}, log: x, se: 0.1})
		close = append(close, point{begins: bioassay.Date{Year: 2004 + 4*i, Month: 3, Day: 1}, log: x, se: 0.1})
	}
	a, c := w.trend(apart, 0), w.trend(close, 0)
	if rate := math.Log(c.FoldPerYear.Estimate) / math.Log(a.FoldPerYear.Estimate); math.Abs(rate-100) > 1e-2 {
		t.Errorf("a hundred times the gaps: 1/%g of the change", rate)
	}
	if math.Abs(a.P-c.P) > 1e-4 || a.Seasons != 4 {
		t.Errorf("%+v and %+v", a, c)
	}
	// Backwards, a rise is as large a fall.
	for i := range close {
		close[i].log *= -1
	}
	if f := w.trend(close, 0); math.Abs(f.FoldPerYear.Estimate*c.FoldPerYear.Estimate-1) > tolerance || math.Abs(f.P-c.P) > tolerance {
		t.Errorf("%+v and %+v", f.FoldPerYear, c.FoldPerYear)
	}
}

// TestDirections by limits that exclude no change, or do not.
func TestDirections(t *testing.T) {
	w := testWork(t)
	steps := func(step, scatter float64, n int) (out []point) {
		for i := range n {
			out = append(out, point{begins: bioassay.Date{Year: 2031 + i, Month: 3, Day: 1}, log: step*float64(i) + scatter*float64(i%2), se: 0.05})
		}
		return out
	}
	for name, k := range map[string]struct {
		points []point
		want   Direction
	}{
		"up":       {steps(0.3, 0, 6), Rising},
		"down":     {steps(-0.3, 0, 6), Falling},
		"scatter":  {steps(0.02, 0.6, 6), NoClearChange},
		"three":    {steps(1, 0, 3), TooFewSeasons},
		"one":      {steps(1, 0, 1), TooFewSeasons},
		"nowhere":  {nil, TooFewSeasons},
		"one lost": {append(steps(1, 0, 3), point{log: math.NaN()}), TooFewSeasons},
	} {
		trend := w.trend(k.points, 0)
		if trend.Direction != k.want {
			t.Errorf("%s: %v, want %v", name, trend.Direction, k.want)
		}
		if none := k.want == TooFewSeasons; none != math.IsNaN(trend.FoldPerYear.Estimate) || none != (trend.Line == nil) {
			t.Errorf("%s: %+v", name, trend)
		}
	}
}

// TestPoolOfFew: one apiary has its own mean without limits, none has nothing, and
// four that agree have narrower limits than any of them alone.
func TestPoolOfFew(t *testing.T) {
	c := testWork(t).comparers[0]
	if p := Pool(nil, nil, c, 0.95); !math.IsNaN(p.Ratio.Estimate) || !math.IsNaN(p.Log) {
		t.Errorf("none: %+v", p)
	}
	one := Pool([]float64{0.5}, []float64{0.01}, c, 0.95)
	if one.Log != 0.5 || one.Ratio.Lower != 0 || !math.IsInf(one.Ratio.Upper, 1) || !math.IsNaN(one.BetweenSD) || one.shrunk != nil {
		t.Errorf("one: %+v", one)
	}
	four := Pool([]float64{0.5, 0.52, 0.48, 0.5}, []float64{0.01, 0.01, 0.01, 0.01}, c, 0.95)
	if width := math.Log10(four.Ratio.Upper / four.Ratio.Lower); math.IsInf(width, 1) || width > 2*1.96*math.Hypot(0.1, 0.1) {
		t.Errorf("four: %+v", four.Ratio)
	}
	for _, s := range four.shrunk {
		if s.Estimate < 0.48 || s.Estimate > 0.52 || s.Weight < 0 || s.Weight > 1 {
			t.Errorf("%+v", s)
		}
	}
}
