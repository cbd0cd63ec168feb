package sim

import (
	"fmt"
	"math"

	"vialwise/doseresp"
)

// RatioStudy draws pairs of populations, a baseline and one from the field,
// and counts how often the limits of their ratio exclude 1 and how often the
// tests of their lines reject. Probit is both truth and model, natural
// mortality is estimated in each.
type RatioStudy struct {
	Cells    []RatioCell
	DataSets int // of each cell
	Seed     uint64
	Workers  int // goroutines, 1 where 0; no count depends on it

	// Posteriors is how many data sets of each cell, from the first on, are put
	// to the posterior; RatioAnswer computes it wherever it needs it.
	Posteriors int

	Progress func(done, total int) // called after each cell, never twice at once; may be nil
}

// RatioCell is one combination of designs and truth. Field and baseline are
// tested at RatioDoses doses each, as Cell spaces them about their own LC50;
// controls are as many containers as one dose has.
type RatioCell struct {
	Field    int     // containers at each dose of the field population
	Baseline int     // and of the baseline
	Exposed  int     // mites in each container
	Slope    float64 // of both
	Natural  float64 // C of both
	Rho      float64 // intra-container correlation of both
	Ratio    float64 // LC50 of the field over that of the baseline
}

// RatioDoses is the number of doses in either assay of a RatioCell.
const RatioDoses = 6

// FieldMites is the number of treated mites of the field population.
func (c RatioCell) FieldMites() int { return RatioDoses * c.Field * c.Exposed }

// BaselineMites is the number of treated mites of the baseline.
func (c RatioCell) BaselineMites() int { return RatioDoses * c.Baseline * c.Exposed }

// RatioCells returns the standard grid: 60, 120 or 300 field mites against a
// baseline of 120 or 240, in containers of ten, at three correlations, for two
// equal populations of slope 2.5 and natural mortality 0.05; and the same
// without correlation for a ratio of 2.
func RatioCells() []RatioCell {
	var cells []RatioCell
	for _, baseline := range []int{2, 4} {
		for _, field := range []int{1, 2, 5} {
			for _, rho := range []float64{0, 0.05, 0.1} {
				cells = append(cells, RatioCell{field, baseline, 10, 2.5, 0.05, rho, 1})
			}
			cells = append(cells, RatioCell{field, baseline, 10, 2.5, 0.05, 0, 2})
		}
	}
	return cells
}

// draw appends the containers of both assays.
func (c RatioCell) draw(field, baseline []doseresp.Container, source *Source) (f, b []doseresp.Container) {
	cell := Cell{RatioDoses, c.Baseline, c.Exposed, c.Slope, c.Natural, c.Rho}
	b = cell.draw(baseline, source)
	cell.Replicates = c.Field
	f = cell.draw(field, source)
	for i := range f { // the field's LC50, and its doses with it
		f[i].Dose *= c.Ratio
	}
	return f, b
}

func (s *RatioStudy) check() error {
	switch {
	case len(s.Cells) == 0 || s.DataSets < 1:
		return fmt.Errorf("%w: %d cells of %d data sets; it needs at least one of each", ErrStudy, len(s.Cells), s.DataSets)
	case s.DataSets > largestStudy:
		return fmt.Errorf("%w: more than %d data sets would share random numbers", ErrStudy, largestStudy)
	case s.Posteriors < 0 || s.Workers < 0:
		return fmt.Errorf("%w: %d posteriors, %d workers; use numbers from 0 on", ErrStudy, s.Posteriors, s.Workers)
	}
	return nil
}

// Run draws and judges all data sets. The results are in the order of the
// cells; the same seed gives the same ones for any number of workers. It fails
// with ErrStudy, and with an error of a method that no counts should cause.
func (s RatioStudy) Run() ([]RatioResult, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	return eachCell(len(s.Cells), s.Workers, s.Progress, func() func(int) (RatioResult, error) { return newRatioWorker(&s).cell })
}

// RatioResult is what a study found in one cell.
type RatioResult struct {
	RatioCell
	DataSets   int
	Posteriors int
	NoLine     int          // data sets in which either population has no finite rising line
	Limits     []RatioScore // by RatioMethod, then by percent
	Tests      []TestScore  // by LineTestMethod
}

// RatioScore is how one kind of limits did with one ratio in one cell.
type RatioScore struct {
	Method  RatioMethod
	Percent float64
	Tried   int // data sets put to the method
	Finite  int // of these, with two bounds
	Exclude int // of these, with limits that exclude 1
	Covered int // of these, with limits that hold the true ratio; an unbounded side holds it

	MedianFold float64 // of upper/lower where there are two bounds; NaN where never
}

// Excludes is the share of limits that exclude 1, the type I error where the
// true ratio is 1 and the power elsewhere.
func (s RatioScore) Excludes() float64 { return share(s.Exclude, s.Tried) }

// TestScore is how often one test rejected at 5 %.
type TestScore struct {
	Method   LineTestMethod
	Tried    int // data sets
	Untested int // of these, without a test
	Rejected int // of these
}

// Rejects is the share of rejections among the tests made.
func (s TestScore) Rejects() float64 { return share(s.Rejected, s.Tried-s.Untested) }

// add counts the limits of one data set.
func (s *RatioScore) add(l doseresp.Limits, truth float64, folds []float64) []float64 {
	s.Tried++
	if l.Kind == doseresp.Bounded {
		s.Finite++
		folds = append(folds, l.Upper/l.Lower)
	}
	if l.Lower > 1 || l.Upper < 1 {
		s.Exclude++
	}
	if !(truth < l.Lower || truth > l.Upper) {
		s.Covered++
	}
	return folds
}

// add counts one test.
func (s *TestScore) add(p float64) {
	s.Tried++
	switch {
	case math.IsNaN(p):
		s.Untested++
	case p < 1-studyLevel:
		s.Rejected++
	}
}
