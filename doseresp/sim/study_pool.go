package sim

import (
	"cmp"
	"math"
	"slices"
)

// Pooled is how one method did with one LCp over several cells.
type Pooled struct {
	Method  Method
	Percent float64
	Cells   int // with limits in at least one data set

	Mean       float64 // of the cells' coverages
	StdErr     float64 // the Monte Carlo standard error of Mean
	Lowest     float64 // coverage of a cell
	LowestCell Cell

	Given, Finite          float64 // shares of the data sets tried
	TruthBelow, TruthAbove float64 // shares of those with limits
	MedianFold             float64 // the median of the cells' medians
}

// Pool averages over the cells that keep accepts; every cell counts alike.
func Pool(results []CellResult, m Method, percent float64, keep func(Cell) bool) Pooled {
	p := Pooled{Method: m, Percent: percent, Lowest: math.NaN()}
	var tried, given, finite, below, above int
	var sum, variance float64
	var folds []float64
	for i := range results {
		if !keep(results[i].Cell) {
			continue
		}
		s := results[i].Of(m, percent)
		tried += s.Tried
		given += s.Given
		finite += s.Finite
		below += s.TruthBelow
		above += s.TruthAbove
		if s.Finite > 0 {
			folds = append(folds, s.MedianFold)
		}
		if s.Given == 0 {
			continue
		}
		p.Cells++
		c := s.Coverage()
		sum += c
		variance += s.StdErr() * s.StdErr()
		if !(c >= p.Lowest) {
			p.Lowest, p.LowestCell = c, results[i].Cell
		}
	}
	n := float64(p.Cells)
	p.Mean, p.StdErr = sum/n, math.Sqrt(variance)/n
	p.Given, p.Finite = share(given, tried), share(finite, tried)
	p.TruthBelow, p.TruthAbove = share(below, given), share(above, given)
	p.MedianFold = median(folds)
	return p
}

// Weakest returns the n cells in which a method covers least, over all of
// results and both LCp, the lowest first.
func Weakest(results []CellResult, m Method, n int) []WeakCell {
	var all []WeakCell
	for i := range results {
		for _, percent := range studyPercents {
			if s := results[i].Of(m, percent); s.Given > 0 {
				all = append(all, WeakCell{results[i].Cell, s})
			}
		}
	}
	slices.SortStableFunc(all, func(a, b WeakCell) int { return cmp.Compare(a.Coverage(), b.Coverage()) })
	return all[:min(n, len(all))]
}

// WeakCell is a cell with the score that a method has in it.
type WeakCell struct {
	Cell
	Score
}

// Levels returns the different values of a property of the cells, rising.
func Levels[T cmp.Ordered](results []CellResult, of func(Cell) T) []T {
	var levels []T
	for i := range results {
		levels = append(levels, of(results[i].Cell))
	}
	slices.Sort(levels)
	return slices.Compact(levels)
}
