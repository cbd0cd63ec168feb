package track

import (
	"flag"
	"fmt"
	"math"
	"os"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"gonum.org/v1/gonum/stat/distuv"

	"vialwise/bioassay"
	"vialwise/doseresp"
	"vialwise/doseresp/meta"
	"vialwise/doseresp/sim"
)

// trendSets is the number of series of each cell of the coverage study. The kept
// table is of: go test ./bioassay/track -run TestTrendCoverage -trends 4000
var trendSets = flag.Int("trends", 0, "series in each cell of the coverage study of trends, which writes trend_coverage.md; 0 for a small one")

// trendCell is one design of the study.
type trendCell struct {
	seasons, assays int     // of each season
	tau             float64 // between seasons, of log10 LC50
	slope           float64 // of log10 LC50 a year
}

// trendCells are all designs: two seasons a year.
func trendCells() (out []trendCell) {
	for _, n := range []int{3, 4, 5, 6, 8} {
		for _, tau := range []float64{0, 0.05, 0.15, 0.3} {
			for _, assays := range []int{1, 3} {
				for _, slope := range []float64{0, 0.15} {
					out = append(out, trendCell{n, assays, tau, slope})
				}
			}
		}
	}
	return out
}

// covered counts the series whose limits hold the slope, by method.
type covered struct{ own, normal, fixed, sets int }

// drawSeason simulates the assays of one season and sums them up as a season is.
// Its effect is common to all its assays.
func (c trendCell) drawSeason(w *work, s *sim.Source, at float64) (Season, bool) {
	normal := func() float64 { return distuv.UnitNormal.Quantile(s.Float64() + 0x1p-54) }
	log := c.slope*at + c.tau*normal()
	var placed []Measured
	for range c.assays {
		var counts []doseresp.Container
		for _, dose := range []float64{0, 0.25, 0.5, 1, 2, 4} {
			p := 0.02
			if dose > 0 {
				p = 0.02 + 0.98*doseresp.Probit.CDF(2.8*(math.Log10(dose)-log))
			}
			for range 2 {
				dead := 0
				for range 12 {
					if s.Float64() < p {
						dead++
					}
				}
				counts = append(counts, doseresp.Container{Dose: dose, Exposed: 12, Dead: dead})
			}
		}
		r, err := doseresp.Fit(counts, doseresp.Options{Percents: []float64{50}})
		if err != nil || r.Status != doseresp.Converged {
			continue
		}
		b := &bioassay.Brief{Log: math.Log10(r.LC[0].Estimate), LogSE: r.LC[0].Log10SE}
		if r.Heterogeneity.Applied {
			b.DF = r.PearsonContainer.DF
		}
		if isPlaced(b.Log, b.LogSE) {
			placed = append(placed, Measured{Brief: b})
		}
	}
	switch len(placed) {
	case 0:
		return Season{}, false
	case 1:
		return seasonOf(placed[0].Brief), true
	}
	plain := *w
	plain.bands = nil // which the study does not ask for
	return plain.mean(placed), true
}

// simulate draws one series and says whose limits hold the slope.
func (c trendCell) simulate(w *work, s *sim.Source) (own, normal, fixed, ok bool, half float64) {
	var y, v []float64
	var x [][]float64
	for i := range c.seasons {
		at := float64(i)/2 - float64(c.seasons-1)/4
		season, placed := c.drawSeason(w, s, at)
		if !placed {
			continue
		}
		y, v, x = append(y, season.Log), append(v, season.LogSE*season.LogSE), append(x, []float64{at})
	}
	if len(y) < 3 {
		return false, false, false, false, 0
	}
	r, err := meta.Regress(y, v, x, meta.Options{})
	if err != nil {
		panic(err)
	}
	b := r.Coefficients[1]
	holds := func(l meta.Interval) bool { return l.Lower <= c.slope && c.slope <= l.Upper }
	z := 1.959964 * b.StdErr / math.Sqrt(r.Factor)
	flat, err := meta.Regress(y, v, x, meta.Options{Method: meta.Given})
	if err != nil {
		panic(err)
	}
	return holds(b.Limits), math.Abs(b.Estimate-c.slope) <= z, holds(flat.Coefficients[1].Limits), true, (b.Limits.Upper - b.Limits.Lower) / 2
}

// run simulates a cell, each series from a stream of its own.
func (c trendCell) run(w *work, cell, sets int) (covered, float64) {
	var total covered
	width := make([]float64, sets)
	hits := make([][4]bool, sets)
	var wait sync.WaitGroup
	next := make(chan int)
	for range runtime.GOMAXPROCS(0) {
		wait.Go(func() {
			for i := range next {
				own, normal, fixed, ok, half := c.simulate(w, sim.NewSource(uint64(9000+cell), uint64(i)))
				hits[i], width[i] = [4]bool{own, normal, fixed, ok}, half
			}
		})
	}
	for i := range sets {
		next <- i
	}
	close(next)
	wait.Wait()
	sum := 0.0
	for i, h := range hits {
		if !h[3] {
			continue
		}
		total.sets++
		sum += width[i]
		for k, n := range []*int{&total.own, &total.normal, &total.fixed} {
			if h[k] {
				*n++
			}
		}
	}
	return total, sum / float64(max(1, total.sets))
}

// TestTrendCoverage holds the limits of a trend to 93 % in every design of four
// seasons or more, Monte Carlo error apart.
func TestTrendCoverage(t *testing.T) {
	w := testWork(t)
	sets := *trendSets
	if sets == 0 {
		sets = 60
		if testing.Short() {
			sets = 10
		}
	}
	began := time.Now()
	var report strings.Builder
	least := 1.0
	own, all := 0, 0
	for i, c := range trendCells() {
		k, half := c.run(w, i, sets)
		share := func(n int) float64 { return float64(n) / float64(k.sets) }
		fmt.Fprintf(&report, "| %d | %d | %g | %g | %.3f | %.3f | %.3f | ×%.2f |\n", c.seasons, c.assays, c.tau, c.slope, share(k.own), share(k.normal), share(k.fixed), pow10(half))
		if c.seasons < FewestSeasons {
			continue
		}
		least = min(least, share(k.own))
		own, all = own+k.own, all+k.sets
		error := 3 * math.Sqrt(0.93*0.07/float64(k.sets))
		if share(k.own) < 0.93-error {
			t.Errorf("%+v: limits hold the slope in %.3f of %d series", c, share(k.own), k.sets)
		}
	}
	t.Logf("%d series in each of %d cells in %v: limits hold the slope in %.3f, least %.3f", sets, len(trendCells()), time.Since(began).Round(time.Millisecond), float64(own)/float64(all), least)
	if *trendSets > 0 {
		text := fmt.Sprintf(coverageHead, sets, 100*math.Sqrt(0.95*0.05/float64(sets))) + report.String() +
			fmt.Sprintf("\nFour seasons or more: %.3f of all series, the lowest design %.3f.\n", float64(own)/float64(all), least)
		if err := os.WriteFile("trend_coverage.md", []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

const coverageHead = `# Coverage of the 95 %% limits of a trend

%d simulated series in each design, so that the standard error of a coverage of
95 %% is %.2f %%. Each assay has five concentrations and a control, two containers of
12 mites at each, a slope of 2.8 probits; each is fitted as usual, and the season
means are those of this package. Two seasons a year. The effect of a season, with
standard deviation tau on log10 LC50, is common to its assays.

Made by: go test ./bioassay/track -run TestTrendCoverage -trends N

"Limits" are those that a trend is given from four seasons on: Knapp & Hartung's with
a factor never below 1. "Normal" takes the same variance with the normal quantile,
"fixed" no variation between seasons. "Width" is the factor to either side of the
change per year, geometric mean. With three seasons nothing is given: their limits
would hold the truth and say nothing.

| seasons | assays in each | tau | slope | limits | normal | fixed | width |
|---:|---:|---:|---:|---:|---:|---:|---:|
`
