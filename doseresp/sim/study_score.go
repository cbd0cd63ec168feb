package sim

import (
	"math"
	"slices"

	"vialwise/doseresp"
)

// CellResult is what a study found in one cell.
type CellResult struct {
	Cell
	DataSets     int
	Bootstrapped int
	Statuses     map[doseresp.Status]int // of the fits
	Unfitted     int                     // data sets whose likelihood was not maximised
	Scores       []Score                 // by method, then by percent
	Seconds      [stageCount]float64     // of each Stage
}

// Score is how one method did with one LCp in one cell.
type Score struct {
	Method  Method
	Percent float64
	Tried   int // data sets put to the method
	Given   int // of these, with limits of any kind
	Finite  int // of these, bounded on both sides

	Covered       int // of Given, with the truth in the limits; unbounded sides hold it
	CoveredFinite int // of Finite, likewise
	TruthBelow    int // of Given, with the truth below the lower limit
	TruthAbove    int // of Given, with the truth above the upper limit
	TruthInGap    int // of Given, with the truth in the gap of an excluded region

	MedianFold float64 // of upper/lower among Finite; NaN where there is none
}

// Coverage is the share of Given that hold the truth, NaN where there is none.
func (s Score) Coverage() float64 { return share(s.Covered, s.Given) }

// StdErr is the Monte Carlo standard error of Coverage.
func (s Score) StdErr() float64 { return binomialStdErr(s.Coverage(), s.Given) }

// Of returns the score of a method and percent; it panics unless both were
// studied.
func (r *CellResult) Of(m Method, percent float64) Score {
	i := slices.IndexFunc(r.Scores, func(s Score) bool { return s.Method == m && s.Percent == percent })
	return r.Scores[i]
}

func share(part, whole int) float64 { return float64(part) / float64(whole) }

func binomialStdErr(p float64, n int) float64 { return math.Sqrt(p * (1 - p) / float64(n)) }

// add counts one answer.
func (s *Score) add(a answer, truth float64) {
	s.Tried++
	if !a.given {
		return
	}
	s.Given++
	finite := a.bounded()
	if finite {
		s.Finite++
	}
	switch {
	case a.Kind == doseresp.ExcludedRegion && a.Excluded.Lower < truth && truth < a.Excluded.Upper:
		s.TruthInGap++
	case truth < a.Lower:
		s.TruthBelow++
	case truth > a.Upper:
		s.TruthAbove++
	default:
		s.Covered++
		if finite {
			s.CoveredFinite++
		}
	}
}

// cell draws and judges the data sets of cell number i.
func (w *studyWorker) cell(i int) (CellResult, error) {
	s, c := w.study, w.study.Cells[i]
	w.seconds = [stageCount]float64{}
	r := CellResult{Cell: c, DataSets: s.DataSets, Bootstrapped: min(s.Bootstrapped, s.DataSets), Statuses: map[doseresp.Status]int{}}
	folds := make([][]float64, int(methodCount)*len(studyPercents))
	for m := range methodCount {
		for _, p := range studyPercents {
			r.Scores = append(r.Scores, Score{Method: m, Percent: p})
		}
	}
	for set := range s.DataSets {
		err := w.timed(StageDraw, func() error {
			w.containers = c.draw(w.containers[:0], NewSource(s.Seed, dataStream(i, set)))
			return nil
		})
		if err == nil {
			err = w.judge(i, set)
		}
		if err != nil {
			return r, err
		}
		if w.unfitted {
			r.Unfitted++
		} else {
			r.Statuses[w.fit.Status]++
		}
		w.count(&r, folds, set)
	}
	for k := range r.Scores {
		r.Scores[k].MedianFold = median(folds[k])
	}
	r.Seconds = w.seconds
	return r, nil
}

// count adds the answers to the scores and the folds of the bounded ones.
func (w *studyWorker) count(r *CellResult, folds [][]float64, set int) {
	for k := range r.Scores {
		score := &r.Scores[k]
		if m := score.Method; (m == BootstrapPercentile || m == BootstrapBCa) && set >= r.Bootstrapped {
			continue
		}
		a := w.answers[score.Method][k%len(studyPercents)]
		score.add(a, r.trueLC(score.Percent))
		if a.bounded() {
			folds[k] = append(folds[k], a.Upper/a.Lower)
		}
	}
}

// median sorts x.
func median(x []float64) float64 {
	slices.Sort(x)
	n := len(x)
	switch {
	case n == 0:
		return math.NaN()
	case n%2 == 0:
		return x[n/2-1]/2 + x[n/2]/2
	}
	return x[n/2]
}
