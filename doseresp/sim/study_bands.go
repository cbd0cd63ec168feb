package sim

import "math"

// Band is what the limits of a method must hold to, whichever the LCp.
type Band struct {
	Method Method
	Mean   float64 // least mean coverage over the cells of each correlation
	Cell   float64 // least coverage in any cell
}

// Bands are the bands of the answers that people are shown. All of these must
// also be bounded for every data set.
func Bands() []Band {
	return []Band{
		{FiducialAnswer, 0.93, 0.90},
		{SparseAnswer, 0.93, 0.90},
		{RobustAnswer, 0.93, 0.90},
		{PosteriorDefault, 0.93, 0.92},
	}
}

// bandErrors is how many Monte Carlo standard errors a coverage may lie below
// its band before it counts as outside.
const bandErrors = 3

// Breach is one coverage that lies outside its band, or a share of bounded
// limits below 1.
type Breach struct {
	Method  Method
	Percent float64
	What    BreachKind
	Rho     float64 // of the mean, or of the cell
	Cell    Cell    // zero where a mean is outside
	Found   float64
	Least   float64 // of the band, Monte Carlo errors not subtracted
}

// BreachKind says which part of a band does not hold.
type BreachKind uint8

// The kinds of breaches.
const (
	MeanTooLow BreachKind = iota
	CellTooLow
	NotAlwaysFinite
)

// String says it in words.
func (k BreachKind) String() string {
	return [...]string{"mean coverage", "coverage in a cell", "share with bounded limits"}[k]
}

// Breaches returns everything in which results lie outside the bands. Monte
// Carlo errors are those of a coverage that lies exactly on its band: the
// error of the coverage found would be 0 where all data sets are covered.
func Breaches(results []CellResult, bands []Band) []Breach {
	var all []Breach
	for _, band := range bands {
		for _, percent := range studyPercents {
			all = append(all, band.means(results, percent)...)
			all = append(all, band.cells(results, percent)...)
		}
	}
	return all
}

// means judges the mean over the cells of each correlation.
func (b Band) means(results []CellResult, percent float64) []Breach {
	var all []Breach
	for _, rho := range Levels(results, func(c Cell) float64 { return c.Rho }) {
		data := 0
		for i := range results {
			if results[i].Rho == rho {
				data += results[i].Of(b.Method, percent).Given
			}
		}
		p := Pool(results, b.Method, percent, func(c Cell) bool { return c.Rho == rho })
		if !(p.Mean >= b.Mean-bandErrors*binomialStdErr(b.Mean, data)) {
			all = append(all, Breach{b.Method, percent, MeanTooLow, rho, Cell{}, p.Mean, b.Mean})
		}
	}
	return all
}

// cells judges every cell by itself.
func (b Band) cells(results []CellResult, percent float64) []Breach {
	var all []Breach
	for i := range results {
		r := &results[i]
		s := r.Of(b.Method, percent)
		if c := s.Coverage(); !(c >= b.Cell-bandErrors*binomialStdErr(b.Cell, s.Given)) {
			all = append(all, Breach{b.Method, percent, CellTooLow, r.Rho, r.Cell, c, b.Cell})
		}
		if finite := share(s.Finite, s.Tried); !(math.Abs(finite-1) < 1e-12) {
			all = append(all, Breach{b.Method, percent, NotAlwaysFinite, r.Rho, r.Cell, finite, 1})
		}
	}
	return all
}
