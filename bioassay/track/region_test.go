package track

import (
	"math"
	"testing"
	"time"

	"gonum.org/v1/gonum/stat/distuv"

	"vialwise/bioassay"
	"vialwise/doseresp/sim"
)

// regionCell is one design: apiaries that each keep a level of their own, of whom a
// share is tested in a season that moves all of them.
type regionCell struct {
	apiaries, seasons   int
	tested              float64
	betweenApiaries     float64 // standard deviation of log10 LC50
	seasonal, perApiary float64 // of the effect of a season on all, and on one
}

// points draws a region: the trend of log10 LC50 is 0.15 a year.
func (c regionCell) points(w *work, s *sim.Source) (out []point) {
	normal := func() float64 { return distuv.UnitNormal.Quantile(s.Float64() + 0x1p-54) }
	level := make([]float64, c.apiaries)
	for i := range level {
		level[i] = c.betweenApiaries * normal()
	}
	for k := range c.seasons {
		begins := bioassay.Date{Year: 2031 + k/2, Month: time.Month(3 + 6*(k%2)), Day: 1}
		common := 0.15*(years(begins)-years(bioassay.Date{Year: 2031, Month: 3, Day: 1})) + c.seasonal*normal()
		var y, v []float64
		for _, l := range level {
			if s.Float64() < c.tested {
				se := 0.06 + 0.05*s.Float64()
				y, v = append(y, l+common+c.perApiary*normal()+se*normal()), append(v, se*se)
			}
		}
		p := Pool(y, v, w.comparers[0], w.level)
		out = append(out, point{begins: begins, log: p.Log, se: p.LogSE})
	}
	return out
}

// TestRegionTrendCoverage holds the limits of a region's trend to 93 %: apiaries
// come and go between seasons, and keep their levels.
func TestRegionTrendCoverage(t *testing.T) {
	sets := 200
	if testing.Short() {
		sets = 60
	}
	w := testWork(t)
	truth := pow10(0.15)
	for cell, c := range []regionCell{
		{2, 5, 1, 0.2, 0, 0.05}, {3, 4, 0.8, 0.2, 0.05, 0.05}, {5, 5, 0.7, 0.2, 0, 0}, {5, 6, 0.7, 0.3, 0.15, 0.05},
		{12, 4, 0.5, 0.3, 0.05, 0.1}, {12, 8, 0.3, 0.3, 0, 0.05}, {30, 6, 0.6, 0.2, 0.15, 0.05}, {30, 8, 0.2, 0.4, 0.05, 0.05},
	} {
		held, all := 0, 0
		for i := range sets {
			trend := w.trend(c.points(w, sim.NewSource(uint64(800+cell), uint64(i))), 0)
			if trend.Direction == TooFewSeasons {
				continue
			}
			all++
			if trend.FoldPerYear.Lower <= truth && truth <= trend.FoldPerYear.Upper {
				held++
			}
		}
		share := float64(held) / float64(all)
		t.Logf("%+v: %.3f of %d", c, share, all)
		if share < 0.93-3*math.Sqrt(0.93*0.07/float64(all)) {
			t.Errorf("%+v: limits hold the change in %.3f of %d", c, share, all)
		}
	}
}
