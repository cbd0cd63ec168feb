package sim

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"vialwise/doseresp"
	"vialwise/doseresp/mixture"
)

// FractionResult is what was counted in one cell.
type FractionResult struct {
	FractionCell
	DataSets int
	NoLine   int // baselines drawn again because they had no finite line

	Tried, Found [detectors]int // data sets

	Profile, Posterior       IntervalCount
	MeanPlateau, MedianShift float64 // of the estimates of q in the two forms
}

// IntervalCount is how often intervals held the true q.
type IntervalCount struct {
	Given, Holds    int
	TooHigh, TooLow int     // intervals above q, and below it
	MedianWidth     float64 // upper less lower limit
	widths          []float64
}

// Coverage is the share of intervals that held q.
func (i *IntervalCount) Coverage() float64 { return share(i.Holds, i.Given) }

func (i *IntervalCount) count(q, lower, upper float64) {
	i.Given++
	switch {
	case q < lower:
		i.TooHigh++
	case q > upper:
		i.TooLow++
	default:
		i.Holds++
	}
	i.widths = append(i.widths, upper-lower)
}

// Rate is the share of data sets in which a detector found something; NaN
// where it does not apply to the design.
func (r *FractionResult) Rate(d Detector) float64 { return share(r.Found[d], r.Tried[d]) }

// RateError is the Monte Carlo standard error of Rate.
func (r *FractionResult) RateError(d Detector) float64 {
	p := r.Rate(d)
	return math.Sqrt(p * (1 - p) / float64(r.Tried[d]))
}

func (r *FractionResult) count(d Detector, found bool) {
	r.Tried[d]++
	if found {
		r.Found[d]++
	}
}

// fractionSet is one data set with what is fitted to it.
type fractionSet struct {
	*FractionResult
	plain    []doseresp.Container
	field    []doseresp.Container
	baseline *mixture.Baseline
	shifts   []float64
}

// cell draws and judges the data sets of one cell.
func (s *Fractions) cell(index int) (FractionResult, error) {
	r := FractionResult{FractionCell: s.Cells[index], DataSets: s.DataSets}
	w := fractionSet{FractionResult: &r}
	plateaus := 0.0
	for set := range s.DataSets {
		source := NewSource(s.Seed, dataStream(index, set))
		if err := w.draw(source); err != nil {
			return r, fmt.Errorf("cell %d, data set %d: %w", index+1, set+1, err)
		}
		fitted, err := w.judge(set < s.Intervals)
		if err != nil {
			return r, fmt.Errorf("cell %d, data set %d: %w", index+1, set+1, err)
		}
		plateaus += fitted.Plateau.Fraction
		w.shifts = append(w.shifts, fitted.Shifted.Fraction)
	}
	r.MeanPlateau, r.MedianShift = plateaus/float64(s.DataSets), median(w.shifts)
	r.Profile.MedianWidth, r.Posterior.MedianWidth = median(r.Profile.widths), median(r.Posterior.widths)
	r.Profile.widths, r.Posterior.widths = nil, nil
	return r, nil
}

// draw draws baselines until one has a finite rising line, and the field.
func (w *fractionSet) draw(source *Source) error {
	for {
		w.plain = w.drawBaseline(w.plain[:0], source)
		b, err := mixture.NewBaseline([][]doseresp.Container{w.plain}, mixture.Options{})
		if errors.Is(err, mixture.ErrBaseline) {
			w.NoLine++
			continue
		}
		if err != nil {
			return err
		}
		w.baseline = b
		w.field = w.drawField(w.field[:0], b.LC(99), source)
		return nil
	}
}

// judge counts what every detector finds, and the intervals if asked for.
func (w *fractionSet) judge(intervals bool) (*mixture.Result, error) {
	fit := w.baseline.Test
	if intervals && w.Design != FractionAllHigh {
		fit = w.baseline.Fit
	}
	r, err := fit(w.field)
	if err != nil {
		return nil, err
	}
	w.count(PlateauTest, r.Test.Rejects())
	if r.Identified {
		w.count(ShiftTest, r.ShiftedTest.Rejects())
		if err := w.judgeRatio(); err != nil {
			return nil, err
		}
	} else if err := w.judgeDose(); err != nil {
		return nil, err
	}
	if r.Posterior != nil {
		w.Profile.count(w.Fraction, r.Fraction.Lower, r.Fraction.Upper)
		limits := r.Posterior.Limits(studyLevel)
		w.Posterior.count(w.Fraction, limits.Lower, limits.Upper)
	}
	return r, nil
}

// judgeRatio compares the two LC50 as the comparison of populations does.
func (w *fractionSet) judgeRatio() error {
	for _, level := range []float64{studyLevel, oneSidedLevel} {
		population, err := logDoseOf(w.field, level)
		if err != nil {
			return err
		}
		baseline, err := logDoseOf(w.plain, level)
		if err != nil {
			return err
		}
		ratio := doseresp.NewRatio(population, baseline, nil, level)
		if level == oneSidedLevel {
			w.count(RatioOneSided, ratio.Mover.Lower > 1)
			continue
		}
		w.count(RatioAbove, ratio.Mover.Lower > 1)
		w.count(RatioDelta, ratio.Delta.Lower > 1)
	}
	return nil
}

// oneSidedLevel is the level of an interval whose lower end is a one-sided
// limit at 95 %.
const oneSidedLevel = 0.9

func logDoseOf(containers []doseresp.Container, level float64) (doseresp.LogDose, error) {
	var f doseresp.Fitter
	var r doseresp.Result
	err := f.Fit(containers, doseresp.Options{Level: level, Percents: []float64{50}}, &r)
	if errors.Is(err, doseresp.ErrNotConverged) { // counts as nothing found
		nan := math.NaN()
		return doseresp.NewLogDose(nan, nan, 0, math.Inf(-1), math.Inf(1)), nil
	}
	if err != nil {
		return doseresp.LogDose{}, err
	}
	return f.LogDose(&r, 50), nil
}

// nominalSurvival is what survives a true LC99.
const nominalSurvival = 0.01

// judgeDose judges the survivors of the one dose.
func (w *fractionSet) judgeDose() error {
	s, err := w.baseline.Survivors(w.field)
	if err != nil {
		return err
	}
	w.count(DoseTest, s.P <= 0.05)
	binomial, err := mixture.NewBaseline([][]doseresp.Container{w.plain}, mixture.Options{Heterogeneity: doseresp.Never})
	if err != nil {
		return err
	}
	plain, err := binomial.Survivors(w.field)
	if err != nil {
		return err
	}
	w.count(PlainDoseTest, plain.P <= 0.05)
	exact := 1.0
	if s.Survived > 0 {
		exact = distuv.Beta{Alpha: float64(s.Survived), Beta: float64(s.Exposed-s.Survived) + 1}.CDF(nominalSurvival)
	}
	w.count(NaiveDoseTest, exact <= 0.05)
	return nil
}
