package sim

import (
	"fmt"
	"math"

	"vialwise/doseresp"
)

// FractionDesign is how the treated mites of a field population are spread
// over doses. LC99 is the one that the baseline of the same data set gives.
type FractionDesign uint8

// The designs.
const (
	FractionSeries  FractionDesign = iota // six doses, two-fold, around the LC50
	FractionSplit                         // half at LC99, half on that series
	FractionTwoHigh                       // half at LC99, half at twice LC99
	FractionAllHigh                       // all at LC99
	fractionDesigns
)

var fractionDesignNames = [...]string{
	FractionSeries: "series", FractionSplit: "split", FractionTwoHigh: "two-high", FractionAllHigh: "all-high",
}

// String returns the design's name as results spell it.
func (d FractionDesign) String() string { return fractionDesignNames[d] }

// Detector is a way to find out that a population differs from the baseline.
type Detector uint8

// The detectors.
const (
	// PlateauTest is the one-sided likelihood ratio test of the plateau form.
	PlateauTest Detector = iota
	// ShiftTest is the test of the form with a free shift, cut at 3.841.
	ShiftTest
	// RatioAbove says that the 95 % interval of the resistance ratio at LC50,
	// both populations' profile limits combined, lies above 1.
	RatioAbove
	// RatioOneSided is the same with a 90 % interval, whose one-sided level is
	// that of the tests.
	RatioOneSided
	// RatioDelta is the published delta-method interval at 95 %, which stands
	// in for what reports mostly print.
	RatioDelta
	// DoseTest judges the survivors of one dose by what the baseline predicts.
	DoseTest
	// PlainDoseTest is DoseTest with heterogeneity never carried: it finds more,
	// and keeps its level only where containers do not vary.
	PlainDoseTest
	// NaiveDoseTest is the exact binomial test of the same against 1 %.
	NaiveDoseTest
	detectors
)

var detectorNames = [...]string{
	PlateauTest: "plateau-test", ShiftTest: "shift-test", RatioAbove: "ratio-95", RatioOneSided: "ratio-90", RatioDelta: "ratio-delta",
	DoseTest: "dose-test", PlainDoseTest: "plain-dose-test", NaiveDoseTest: "naive-dose-test",
}

// String returns the detector's name as results spell it.
func (d Detector) String() string { return detectorNames[d] }

// Detectors lists every detector, in the order of their constants.
func Detectors() []Detector {
	return []Detector{PlateauTest, ShiftTest, RatioAbove, RatioOneSided, RatioDelta, DoseTest, PlainDoseTest, NaiveDoseTest}
}

// FractionCell is one combination of baseline, field design and truth.
type FractionCell struct {
	Baseline int // mites at each of the baseline's six doses
	Mites    int // treated field mites
	Design   FractionDesign
	Fraction float64 // q
	Fold     float64 // shift of the resistant part, +Inf for a plateau; 1 with q = 0
	Rho      float64
}

// What all cells have in common.
const (
	fractionLC50     = 10.0
	fractionSlope    = 2.5
	fractionNatural  = 0.05
	fractionInVial   = 10 // mites of a container
	fractionControls = 2  // untreated containers of the field
)

// FractionCells returns the standard grid: every design at 60, 120 and 300
// mites, against baselines of 6 × 20 and 6 × 40, without and with variation
// between containers where there is no resistant part, and for q of 0.05 to
// 0.4 shifted 10-fold, 30-fold and without bound.
func FractionCells() []FractionCell {
	var cells []FractionCell
	for _, baseline := range []int{20, 40} {
		for _, mites := range []int{60, 120, 300} {
			for design := range fractionDesigns {
				for _, rho := range []float64{0, 0.05} {
					cells = append(cells, FractionCell{baseline, mites, design, 0, 1, rho})
				}
				for _, q := range []float64{0.05, 0.1, 0.2, 0.4} {
					for _, fold := range []float64{10, 30, math.Inf(1)} {
						cells = append(cells, FractionCell{baseline, mites, design, q, fold, 0})
					}
				}
			}
		}
	}
	return cells
}

// Fractions is a simulation study of the tests for a resistant fraction, and
// of the intervals of q.
type Fractions struct {
	Cells     []FractionCell
	DataSets  int // of each cell
	Intervals int // how many of them, from the first on, get intervals of q too
	Seed      uint64
	Workers   int // goroutines, 1 where 0; no count depends on it

	Progress func(done, total int) // after each cell, never twice at once; may be nil
}

// FractionStudy runs a study. The results are in the order of the cells; the
// same seed gives the same ones for any number of workers. It fails with
// ErrStudy where the study cannot be run as described, and with an error that
// no counts should cause.
func FractionStudy(s Fractions) ([]FractionResult, error) {
	if len(s.Cells) == 0 || s.DataSets < 1 || s.DataSets > largestStudy || s.Intervals < 0 || s.Workers < 0 {
		return nil, fmt.Errorf("%w: %d cells of %d data sets, %d with intervals, %d workers; it needs at least one cell and one data set, at most %d of these",
			ErrStudy, len(s.Cells), s.DataSets, s.Intervals, s.Workers, largestStudy)
	}
	return eachCell(len(s.Cells), s.Workers, s.Progress, func() func(int) (FractionResult, error) { return s.cell })
}

// fractionDose is so many mites at a dose.
type fractionDose struct {
	dose  float64
	mites int
}

// fractionSeries are the doses of the baseline and of the series.
func fractionSeries() []float64 { return GeometricDoses(fractionLC50/math.Pow(2, 2.5), 2, 6) }

// doses spreads the mites of a cell, given the LC99 of the baseline.
func (c FractionCell) doses(lc99 float64) []fractionDose {
	high, twice, onSeries := 0, 0, 0
	switch c.Design {
	case FractionSeries:
		onSeries = c.Mites
	case FractionSplit:
		high, onSeries = c.Mites/2, c.Mites/2
	case FractionTwoHigh:
		high, twice = c.Mites/2, c.Mites/2
	case FractionAllHigh:
		high = c.Mites
	}
	doses := []fractionDose{{lc99, high}, {2 * lc99, twice}}
	for _, d := range fractionSeries() {
		doses = append(doses, fractionDose{d, onSeries / 6})
	}
	return doses
}

// drawVials appends containers with the mites of one dose, the last of them
// with what is left.
func drawVials(dst []doseresp.Container, truth Truth, d fractionDose, source *Source) []doseresp.Container {
	for left := d.mites; left > 0; left -= fractionInVial {
		n := min(left, fractionInVial)
		dead := source.BetaBinomial(n, truth.Mortality(d.dose), truth.Rho)
		dst = append(dst, doseresp.Container{Dose: d.dose, Exposed: n, Dead: dead})
	}
	return dst
}

// truth is the population of a cell, the susceptible one where q is 0.
func (c FractionCell) truth(q float64) Truth {
	return Truth{
		LC50: fractionLC50, Slope: fractionSlope, NaturalMortality: fractionNatural, Rho: c.Rho,
		ResistantFraction: q, ResistantShift: c.Fold,
	}
}

// drawBaseline draws six doses and as many untreated mites as at one of them.
func (c FractionCell) drawBaseline(dst []doseresp.Container, source *Source) []doseresp.Container {
	for _, dose := range append(fractionSeries(), 0) {
		dst = drawVials(dst, c.truth(0), fractionDose{dose, c.Baseline}, source)
	}
	return dst
}

// drawField draws the field population and its controls.
func (c FractionCell) drawField(dst []doseresp.Container, lc99 float64, source *Source) []doseresp.Container {
	truth := c.truth(c.Fraction)
	for _, d := range append(c.doses(lc99), fractionDose{0, fractionControls * fractionInVial}) {
		dst = drawVials(dst, truth, d, source)
	}
	return dst
}
