package sim

import (
	"fmt"
	"math"
	"strings"
)

// findings states in words what the numbers of the run say.
func (f *fractionReport) findings() {
	f.levelFinding(PlateauTest, "The q test (the plateau form, one-sided 5 %)")
	f.levelFinding(ShiftTest, "The test with a free shift")
	f.levelFinding(DoseTest, "The single dose at LC99, judged by what the baseline predicts,")
	f.levelFinding(PlainDoseTest, "That with the variation between containers never carried")
	f.levelFinding(NaiveDoseTest, "The same survivors against 1 % by an exact binomial test, which takes the estimated LC99 for the true one,")
	f.levelFinding(RatioAbove, "A resistance ratio whose 95 % interval lies above 1")
	f.text("\n")
	f.ratioFinding("the dose series, both on the same mites", FractionSeries, []FractionDesign{FractionSeries})
	f.ratioFinding("the split design, both on the same mites", FractionSplit, []FractionDesign{FractionSplit})
	f.ratioFinding("the best design of each, two-high for q and the better of series and split for the ratio", FractionTwoHigh, []FractionDesign{FractionSeries, FractionSplit})
	f.text("\n")
	f.doseFinding(DoseTest, "All mites at LC99, a single dose,")
	f.doseFinding(PlainDoseTest, "The plain dose test, which carries no variation between containers,")
	f.text("- But one dose gives no LC50, no q and no shift: what it finds is that too many survive there.\n")
	f.text("\n")
	f.coverageFinding()
}

// levelFinding gives the range of a detector's findings at q = 0.
func (f *fractionReport) levelFinding(d Detector, name string) {
	for _, rho := range []float64{0, 0.05} {
		low, high, sum, n := math.Inf(1), 0.0, 0.0, 0.0
		for i := range f.results {
			r := &f.results[i]
			if rate := r.Rate(d); r.Fraction == 0 && r.Rho == rho && !math.IsNaN(rate) {
				low, high, sum, n = min(low, rate), max(high, rate), sum+rate, n+1
			}
		}
		if n == 0 {
			continue
		}
		if rho == 0 {
			f.text("- %s spoke up in %s to %s %% of data sets without a resistant part (mean %s %%)", name, percent(low), percent(high), percent(sum/n))
		} else {
			f.text("; with ρ = %g in %s to %s %% (mean %s %%)", rho, percent(low), percent(high), percent(sum/n))
		}
	}
	f.text(".\n")
}

// early says that a cell holds a resistant part that is still rare.
func (c FractionCell) early() bool { return c.Fraction > 0 && c.Fraction <= 0.2 }

// comparison counts in how many cells a rate was above another.
type comparison struct {
	cells, above int
	sum, other   float64
	below        []string
}

func (c *comparison) add(cell FractionCell, rate, other float64) {
	if math.IsNaN(rate) || math.IsNaN(other) {
		return
	}
	c.cells++
	c.sum += rate
	c.other += other
	if rate > other {
		c.above++
		return
	}
	c.below = append(c.below, fmt.Sprintf("q %g, %s, %d mites, baseline 6 × %d: %s against %s %%",
		cell.Fraction, foldWords(cell.Fold), cell.Mites, cell.Baseline, percent(rate), percent(other)))
}

func (c *comparison) words() string {
	n := float64(c.cells)
	text := fmt.Sprintf("in %d of %d cells, on average %s against %s %%", c.above, c.cells, percent(c.sum/n), percent(c.other/n))
	if len(c.below) > 0 {
		text += "; not at " + strings.Join(c.below, "; ")
	}
	return text
}

// ratioFinding compares the q test of a design with the best of the ratio's
// three forms over some designs.
func (f *fractionReport) ratioFinding(name string, design FractionDesign, ratio []FractionDesign) {
	for _, d := range []Detector{RatioAbove, RatioOneSided, RatioDelta} {
		var c comparison
		for i := range f.results {
			cell := f.results[i].FractionCell
			if !cell.early() || cell.Design != design {
				continue
			}
			best := math.NaN()
			for _, other := range ratio {
				at := cell
				at.Design = other
				if rate := f.rate(at, d); !(rate <= best) {
					best = rate
				}
			}
			c.add(cell, f.results[i].Rate(PlateauTest), best)
		}
		if c.cells > 0 {
			f.text("- On %s, at q up to 0.2, the q test found more than %s %s.\n", name, d, c.words())
		}
	}
}

// clearlyMore is a difference of rates that the Monte Carlo error of two of
// them, 0.02 with a thousand data sets, hardly makes.
const clearlyMore = 0.04

// doseFinding says where the single dose finds more than anything else on as
// many mites.
func (f *fractionReport) doseFinding(d Detector, name string) {
	var against [fractionDesigns]comparison
	early, beaten := 0, []string{}
	for i := range f.results {
		r := &f.results[i]
		if r.Design != FractionAllHigh || !r.early() {
			continue
		}
		early++
		dose, best := r.Rate(d), 0.0
		for _, design := range []FractionDesign{FractionSeries, FractionSplit, FractionTwoHigh} {
			at := r.FractionCell
			at.Design = design
			against[design].add(at, dose, f.rate(at, PlateauTest))
			best = max(best, f.rate(at, PlateauTest), f.rate(at, RatioAbove))
		}
		if dose > best+clearlyMore {
			beaten = append(beaten, fmt.Sprintf("q %g, %s, %d mites, baseline 6 × %d (%s against %s %%)",
				r.Fraction, foldWords(r.Fold), r.Mites, r.Baseline, percent(dose), percent(best)))
		}
	}
	for design := FractionSeries; design < FractionAllHigh; design++ {
		if c := &against[design]; c.cells > 0 {
			n := float64(c.cells)
			f.text("- %s found more than the q test on as many mites in the %s design in %d of %d cells with q up to 0.2 (on average %s against %s %%).\n",
				name, design, c.above, c.cells, percent(c.sum/n), percent(c.other/n))
		}
	}
	f.text("- It clearly beat both the q test in every design and the ratio, by more than %g points, in %d of these %d cells", 100*clearlyMore, len(beaten), early)
	if len(beaten) > 0 {
		f.text(": %s", strings.Join(beaten, "; "))
	}
	f.text(".\n")
}

// coverageFinding gives the coverage of the intervals by shift, and the bias of
// the plateau's estimate.
func (f *fractionReport) coverageFinding() {
	for _, fold := range []float64{10, 30, math.Inf(1)} {
		var profile, posterior IntervalCount
		lowProfile, lowPosterior, ratio, n := 1.0, 1.0, 0.0, 0.0
		lowest := "no cell below"
		for i := range f.results {
			r := &f.results[i]
			if r.Fraction == 0 || r.Fold != fold || r.Profile.Given == 0 {
				continue
			}
			profile.Given, profile.Holds = profile.Given+r.Profile.Given, profile.Holds+r.Profile.Holds
			posterior.Given, posterior.Holds = posterior.Given+r.Posterior.Given, posterior.Holds+r.Posterior.Holds
			lowProfile = min(lowProfile, r.Profile.Coverage())
			if held := r.Posterior.Coverage(); held < lowPosterior {
				lowPosterior = held
				lowest = fmt.Sprintf("%s with %d mites at q %g", r.Design, r.Mites, r.Fraction)
			}
			ratio += r.MeanPlateau / r.Fraction
			n++
		}
		if n > 0 {
			f.text("- Shift %s: the profile limits held q in %s %% (lowest cell %s %%), the posterior limits in %s %% (lowest %s %%, %s); the plateau's estimate was on average %.2f times the true q.\n",
				foldWords(fold), percent(profile.Coverage()), percent(lowProfile), percent(posterior.Coverage()), percent(lowPosterior), lowest, ratio/n)
		}
	}
}

func (f *fractionReport) howRun() {
	noLine := 0
	for i := range f.results {
		noLine += f.results[i].NoLine
	}
	f.text("%d cells of %d data sets, seed %d; the counts do not depend on the number of workers. %d baselines without a finite rising line were drawn again.\n\n",
		len(f.results), f.study.DataSets, f.study.Seed, noLine)
	f.text("The susceptible line is probit with LC50 %g and slope %g; natural mortality is %g everywhere and estimated. A baseline is 6 doses, two-fold, of 1.8 to 57 around the LC50, with 20 or 40 mites at each and as many untreated; its LC99 is estimated anew in each data set. Containers hold %d mites, the field has %d untreated ones. ρ is the correlation between mites of one container. All methods have their default settings.\n\n",
		fractionLC50, fractionSlope, fractionNatural, fractionInVial, fractionControls)
	f.head(2, "Design", "What it is")
	f.row("series", "all treated mites on the six doses of the baseline")
	f.row("split", "half at the baseline's LC99, half on those six doses")
	f.row("two-high", "half at the baseline's LC99, half at twice that")
	f.row("all-high", "all at the baseline's LC99")
	f.text("\n")
	f.head(2, "Detector", "What it is")
	f.row(PlateauTest.String(), "likelihood ratio of the plateau form against q = 0, one-sided at 5 %, h and F quantile where containers vary")
	f.row(ShiftTest.String(), "the same of the form with a free shift of at least two-fold, cut at the two-sided quantile")
	f.row(RatioAbove.String(), "95 % interval of the ratio of LC50, both profile limits combined, lies above 1")
	f.row(RatioOneSided.String(), "the same with a 90 % interval, one-sided at 5 % as the tests are")
	f.row(RatioDelta.String(), "95 % delta-method interval lies above 1")
	f.row(DoseTest.String(), "posterior-predictive test of the survivors at one dose, at 5 %")
	f.row(PlainDoseTest.String(), "the same with heterogeneity \"never\"; the other tests have the default, which costs power where containers do not vary")
	f.row(NaiveDoseTest.String(), "exact binomial test of the same against 1 %, at 5 %")
	f.text("\nWhat it cannot show: the truth is always a probit mixture with one shift, susceptible populations do not vary among themselves, and the field's susceptible part has the baseline's line.\n")
}
