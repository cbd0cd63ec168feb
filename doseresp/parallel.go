package doseresp

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// LineTests compares the lines of several populations.
type LineTests struct {
	Populations []PopulationLine
	Parallelism LineTest // one slope against a slope of its own for each
	Equality    LineTest // one line against a line of its own for each

	// Pooled is the dispersion about the own lines; only populations with a
	// finite line are in it.
	Pooled        Dispersion
	Heterogeneity Heterogeneity // the factor of Pooled, and what the rule made of it
	H             float64       // what the F forms divide by: the factor, but at least 1

	Parallel ParallelLines // of one common slope
}

// PopulationLine is the line of one population, fitted to all its assays with
// a natural mortality for each. NaN where there is no finite line.
type PopulationLine struct {
	Status           Status
	Intercept, Slope float64
	LogLik           float64 // the highest, or the bound that no line reaches; without binomial coefficients
	Pearson          Pearson // by container
}

// LineTest is one likelihood-ratio test.
type LineTest struct {
	X2 float64 // twice the difference of the log-likelihoods, not below 0
	DF int
	P  float64 // of chi-squared

	F   float64 // X2/DF over H
	DF2 int     // those of Pooled; 0 where there are none, and then F is NaN
	PF  float64 // of F(DF, DF2)

	// Verdict is the P that decides: PF where the heterogeneity rule applies the
	// factor, else P. NaN without a test.
	Verdict float64
	Reason  NoTest
	// AtBound: a population has no finite line, so that its likelihood is a
	// bound and the distribution of X2 a rough guide.
	AtBound bool
}

// NoTest says why there is no test.
type NoTest uint8

// The reasons.
const (
	Tested        NoTest = iota
	OnePopulation        // there is nothing to compare
	NoRisingLine         // a population has too few doses, or mortality that does not follow dose
	NoFiniteSlope        // fewer than two populations tell of a slope, or none of a finite one
)

var noTestNames = [...]string{
	Tested: "tested", OnePopulation: "one-population", NoRisingLine: "no-line",
	NoFiniteSlope: "no-finite-slope",
}

// String returns the reason's name as results spell it.
func (n NoTest) String() string { return nameOf(noTestNames[:], n) }

// AssayError says which assay of which population is unusable.
type AssayError struct {
	Population, Assay int // positions in what was passed
	Err               error
}

func (e *AssayError) Error() string {
	return fmt.Sprintf("population %d, assay %d: %v", e.Population+1, e.Assay+1, e.Err)
}

// Unwrap returns the error of the assay.
func (e *AssayError) Unwrap() error { return e.Err }

// CompareLines tests whether populations have parallel lines, and whether they
// have one line. Each group is a population, a set of assays; assays of one
// population share its line, and every assay keeps its own natural mortality,
// as the options treat it. Percents are not used. It fails with an
// *AssayError, or ErrOptions.
//
// Of k populations parallelism has k-1 degrees of freedom and equality 2(k-1).
// The F form divides X²/df by the pooled factor (McCullagh & Nelder 1989,
// Generalized Linear Models, section 4.5, for likelihood ratios with a
// dispersion; from memory). It decides where the rule applies the factor: by
// default above 1, where it holds 5 % within 6.5 % without variation between
// containers and within 8.5 % with a correlation of 0.1, which chi-squared, and
// F with X²/df as it stands, do not (sim/ratios.md). Slopes of either sign are
// lines; but where mortality falls and the likelihood is highest at a step, or
// it does not follow dose at all, there is no test.
//
// Where all died, none died, or doses separate the dead from the living, the
// log-likelihood has a finite bound that no line reaches, and the bound enters
// the tests. A population that all died or none tells nothing of a slope and
// is left out of parallelism, its degree of freedom too.
func CompareLines(groups [][][]Container, o Options) (LineTests, error) {
	var c LineComparer
	var t LineTests
	err := c.Compare(groups, o, &t)
	return t, err
}

// LineComparer compares lines again and again in the same memory. It must not
// be used by two goroutines at once.
type LineComparer struct {
	fitters     []Fitter // by assay
	results     []Result
	populations []population
	options     Options
	whole       joint // all assays, on common lines as a fit wants them
	climber     jointClimber
	start       jointPoint
	parallel    jointPoint // the maximum with one slope, and its log-likelihood
	parallelTop float64
}

// population is a range of assays and what is known of its line.
type population struct {
	from, to int
	line     PopulationLine
	finite   bool // there is a line
	flat     bool // all died or none: the counts tell nothing of a slope
	unfitted bool // the fit of an assay did not end

	dispersion Dispersion // about a finite line
}

// Compare is CompareLines that writes into t, whose slices it reuses.
func (c *LineComparer) Compare(groups [][][]Container, o Options, t *LineTests) error {
	if err := o.complete(); err != nil {
		return err
	}
	c.options = o
	if err := c.fitAssays(groups); err != nil {
		return err
	}
	c.standardise()
	for i := range c.populations {
		c.ownLine(&c.populations[i])
	}
	*t = LineTests{Populations: t.Populations[:0], Parallel: t.Parallel}
	for i := range c.populations {
		t.Populations = append(t.Populations, c.populations[i].line)
	}
	t.pool(c.populations, o.Heterogeneity)
	c.testEquality(t)
	c.testParallelism(t)
	return nil
}

// fitAssays fits every assay by itself, which prepares its likelihood.
func (c *LineComparer) fitAssays(groups [][][]Container) error {
	n := 0
	for _, g := range groups {
		n += len(g)
	}
	c.fitters, c.results = sized(c.fitters, n), sized(c.results, n)
	c.populations = sized(c.populations, len(groups))
	o := c.options
	o.Percents = []float64{}
	i := 0
	for k, g := range groups {
		p := &c.populations[k]
		*p = population{from: i, to: i + len(g)}
		for j, assay := range g {
			err := c.fitters[i].Fit(assay, o, &c.results[i])
			if errors.Is(err, ErrNotConverged) {
				p.unfitted = true
			} else if err != nil {
				return &AssayError{k, j, err}
			}
			i++
		}
	}
	return nil
}

// standardise chooses the common centre and scale of log dose.
func (c *LineComparer) standardise() {
	var n, sum, square float64
	for i := range c.fitters {
		for _, g := range c.fitters[i].design.treated {
			n++
			sum += g.x
		}
	}
	centre := sum / max(n, 1)
	for i := range c.fitters {
		for _, g := range c.fitters[i].design.treated {
			square += (g.x - centre) * (g.x - centre)
		}
	}
	c.whole.centre, c.whole.scale = centre, 1
	if square > 0 {
		c.whole.scale = math.Sqrt(square / n)
	}
}

// pool adds up the dispersion about the finite lines.
func (t *LineTests) pool(populations []population, rule HeterogeneityRule) {
	t.Pooled = Dispersion{}
	for i := range populations {
		t.Pooled = t.Pooled.Plus(populations[i].dispersion)
	}
	t.Heterogeneity, t.H = t.Pooled.Heterogeneity(rule), 1
	if t.Heterogeneity.H > 1 {
		t.H = t.Heterogeneity.H
	}
}

// newLineTest fills a test from the difference of two log-likelihoods.
func (t *LineTests) newLineTest(difference float64, df int) LineTest {
	x := 2 * max(difference, 0)
	r := LineTest{X2: x, DF: df, P: chiSquaredSurvival(x, df), F: math.NaN(), DF2: t.Pooled.DF, PF: math.NaN()}
	r.Verdict = r.P
	if r.DF2 > 0 {
		r.F = x / float64(df) / t.H
		r.PF = distuv.F{D1: float64(df), D2: float64(r.DF2)}.Survival(r.F)
	}
	if t.Heterogeneity.Applied {
		r.Verdict = r.PF
	}
	return r
}

func untested(reason NoTest) LineTest {
	nan := math.NaN()
	return LineTest{X2: nan, P: nan, F: nan, PF: nan, Verdict: nan, Reason: reason}
}
