package sim

import (
	"errors"
	"fmt"
	"math"

	"vialwise/doseresp"
)

// Study draws many assays of known truth from every cell and counts how often
// the limits of each Method hold the true LC50 and LC90. Probit is both truth
// and model, natural mortality is estimated.
type Study struct {
	Cells    []Cell
	DataSets int // of each cell
	Seed     uint64
	Workers  int // goroutines, 1 where 0; only Seconds depend on it

	// Bootstrapped is how many data sets of each cell, from the first on, are
	// also bootstrapped, with Replicates each.
	Bootstrapped, Replicates int

	Clock    func() float64        // seconds from any moment; nil leaves Seconds 0
	Progress func(done, total int) // called after each cell, never twice at once; may be nil
}

// Cell is one combination of design and truth. The doses form a geometric
// series, spaced by DoseSpacing probits of the true line, whose middle falls
// up to half a spacing beside the true LC50, anew for each data set.
type Cell struct {
	Doses      int
	Replicates int // containers at each dose, and controls
	Exposed    int // mites in each container
	Slope      float64
	Natural    float64 // C
	Rho        float64 // intra-container correlation
}

// PerDose is the number of mites at each dose.
func (c Cell) PerDose() int { return c.Replicates * c.Exposed }

// DoseSpacing is the distance of neighbouring doses in probits: five doses
// then reach beyond LC5 and LC95 wherever the LC50 falls.
const DoseSpacing = 1.2

// studyLC50 is the true LC50 of every cell; no method depends on its unit.
const studyLC50 = 10

// StudyCells returns the standard grid: 12 to 60 mites at each of five or six
// doses, three slopes, three natural mortalities, three correlations. Five and
// six doses alternate, so that neither goes with any level of the rest.
func StudyCells() []Cell {
	var cells []Cell
	for i, exposed := range []int{4, 8, 12, 16, 20} {
		for j, slope := range []float64{1.5, 2.5, 4} {
			for k, natural := range []float64{0, 0.05, 0.1} {
				for l, rho := range []float64{0, 0.05, 0.1} {
					cells = append(cells, Cell{5 + (i+j+k+l)%2, 3, exposed, slope, natural, rho})
				}
			}
		}
	}
	return cells
}

// ErrStudy says that a study cannot be run as it is described.
var ErrStudy = errors.New("impossible study")

func (s *Study) check() error {
	switch {
	case len(s.Cells) == 0 || s.DataSets < 1:
		return fmt.Errorf("%w: %d cells of %d data sets; it needs at least one of each", ErrStudy, len(s.Cells), s.DataSets)
	case s.DataSets > largestStudy || s.Bootstrapped > largestStudy || s.Replicates > largestStudy:
		return fmt.Errorf("%w: more than %d data sets or replicates would share random numbers", ErrStudy, largestStudy)
	case s.Bootstrapped < 0 || s.Workers < 0:
		return fmt.Errorf("%w: %d bootstrapped data sets, %d workers; use numbers from 0 on", ErrStudy, s.Bootstrapped, s.Workers)
	}
	return nil
}

// Run draws and judges all data sets. The results are in the order of the
// cells; the same seed gives the same ones for any number of workers. It fails
// with ErrStudy, and with an error of a method that no counts should cause.
func (s Study) Run() ([]CellResult, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	return eachCell(len(s.Cells), s.Workers, s.Progress, func() func(int) (CellResult, error) { return newStudyWorker(&s).cell })
}

// largestStudy keeps data sets, and replicates, from sharing streams.
const largestStudy = 1 << 20

// dataStream and replicateStream number the streams: each data set has one,
// and each replicate of it one of another seed.
func dataStream(cell, set int) uint64 { return uint64(cell)<<20 | uint64(set) }

func replicateStream(cell, set, replicate int) uint64 {
	return dataStream(cell, set)<<20 | uint64(replicate)
}

// replicateSeed is the seed of the replicates' streams.
func replicateSeed(seed uint64) uint64 { return ^seed }

// draw appends the containers of one data set of a cell to dst.
func (c Cell) draw(dst []doseresp.Container, source *Source) []doseresp.Container {
	truth := Truth{LC50: studyLC50, Slope: c.Slope, NaturalMortality: c.Natural, Rho: c.Rho}
	offset := source.Float64() - 0.5
	lowest := math.Log10(studyLC50) + (offset-float64(c.Doses-1)/2)*DoseSpacing/c.Slope
	design := Design{
		Doses:          GeometricDoses(math.Pow(10, lowest), math.Pow(10, DoseSpacing/c.Slope), c.Doses),
		Replicates:     c.Replicates,
		Exposed:        c.Exposed,
		Controls:       c.Replicates,
		ControlExposed: c.Exposed,
	}
	return Append(dst, truth, design, source)
}

// trueLC is the LCp that the limits should hold.
func (c Cell) trueLC(percent float64) float64 {
	return studyLC50 * math.Pow(10, doseresp.Probit.Quantile(percent/100)/c.Slope)
}
