package render

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"vialwise/bioassay"
	"vialwise/doseresp"
	"vialwise/doseresp/sim"
)

// WriteCoverageReport writes the study as Markdown. Every statement on a
// result is made from the numbers of the run.
func WriteCoverageReport(w io.Writer, c *Coverage) error {
	var b bytes.Buffer
	b.WriteString("# How often the limits hold the truth\n\n" +
		"Limits of 95 % should hold the true LC50 or LC90 in 95 of 100 assays. Here assays were simulated from a known truth and the limits of every method were counted.\n\n")
	for _, section := range []struct {
		heading string
		write   func(*bytes.Buffer) error
	}{
		{"What was found", c.findings},
		{"How it was run", c.howRun},
		{"The methods", c.glossary},
		{"Coverage by method and correlation", c.byMethod},
		{"Coverage by mites per dose", c.bySize},
		{"The weakest cells", c.weakest},
		{"Data sets without a line", c.statuses},
		{"Bands", c.bands},
		{"Time", c.times},
	} {
		fmt.Fprintf(&b, "## %s\n\n", section.heading)
		if err := section.write(&b); err != nil {
			return err
		}
		b.WriteString("\n")
	}
	_, err := w.Write(bytes.TrimRight(b.Bytes(), "\n"))
	if err == nil {
		_, err = io.WriteString(w, "\n")
	}
	return err
}

// rhos are the correlations of the cells, from none up.
func (c *Coverage) rhos() []float64 {
	return sim.Levels(c.Results, func(c sim.Cell) float64 { return c.Rho })
}

func atRho(rho float64) func(sim.Cell) bool {
	return func(c sim.Cell) bool { return c.Rho == rho }
}

func (c *Coverage) howRun(b *bytes.Buffer) error {
	s := c.Study
	fmt.Fprintf(b, "Vialwise %s, %s.\n\n    %s\n\n", c.Version, bioassay.Plural(c.Cores, "core"), c.Command)
	fmt.Fprintf(b, "%s × %s, %d mites in all", bioassay.Plural(len(c.Results), "cell"), bioassay.Plural(s.DataSets, "data set"), c.mites())
	fmt.Fprintf(b, "; the bootstraps, of %d replicates, only with the first %d data sets of each cell. It took %s.\n\n",
		s.Replicates, min(s.Bootstrapped, s.DataSets), duration(c.Seconds))
	fmt.Fprintf(b, "A cell combines mites per dose (%s, in %s containers), slope (%s probits per tenfold dose), natural mortality C (%s) "+
		"and correlation ρ between mites of one container (%s); the number of doses alternates between cells (%s). "+
		"Doses lie %g probits of the true line apart, their middle up to half of that beside the true LC50, anew in each data set. "+
		"There are as many untreated containers as containers at one dose, of the same size. "+
		"Truth and model are probit, C is estimated. Counts are binomial, beta-binomial where ρ is above 0.\n\n",
		list(c.Results, sim.Cell.PerDose), list(c.Results, func(c sim.Cell) int { return c.Replicates }),
		list(c.Results, func(c sim.Cell) float64 { return c.Slope }), list(c.Results, func(c sim.Cell) float64 { return c.Natural }),
		list(c.Results, func(c sim.Cell) float64 { return c.Rho }), list(c.Results, func(c sim.Cell) int { return c.Doses }), sim.DoseSpacing)
	b.WriteString("What it cannot show: the truth is always a straight probit line, the doses always surround the LC50, and the true slopes, C and ρ lie where the posterior's priors find them plausible.\n")
	return nil
}

// mites is how many were simulated.
func (c *Coverage) mites() int {
	n := 0
	for _, r := range c.Results {
		n += r.DataSets * r.PerDose() * (r.Doses + 1)
	}
	return n
}

// list joins the levels of a property.
func list[T int | float64](results []sim.CellResult, of func(sim.Cell) T) string {
	var words []string
	for _, x := range sim.Levels(results, of) {
		words = append(words, fmt.Sprint(x))
	}
	return strings.Join(words, ", ")
}

func duration(seconds float64) string {
	if seconds < 90 {
		return fixed(seconds, 0) + " seconds"
	}
	return fixed(seconds/60, 0) + " minutes"
}

// methodWords says what each method is.
var methodWords = map[sim.Method]string{
	sim.DeltaZ:              "log10 LCp ± 1.96 standard errors; variation between containers ignored",
	sim.FiellerZ:            "Fieller's limits with 1.96; variation between containers ignored",
	sim.FiellerT:            "the fiducial limits of the standard table: Fieller's, with h and Student's t where h = X²/df by container is above 1",
	sim.ProfileF:            "profile likelihood, h at least 1, quantile of F(1, df)",
	sim.FiellerSparse:       "fieller-t with h divided by a weight of the containers that can show variation (Fletcher 2012)",
	sim.ProfileSparse:       "profile-f with that h",
	sim.BetaProfileF:        "profile of the beta-binomial likelihood, quantile of F(1, df)",
	sim.PosteriorDefault:    "posterior interval with the default priors",
	sim.PosteriorNarrow:     "the same with a prior mean of 0.06 for the correlation, computed where that is 0.1",
	sim.BootstrapPercentile: "binomial parametric bootstrap, percentiles",
	sim.BootstrapBCa:        "binomial parametric bootstrap, bias-corrected and accelerated",
	sim.FiducialAnswer:      "fieller-t where bounded, else the posterior",
	sim.StudentAnswer:       "the same, with Student's t also where h is below 1",
	sim.CautiousAnswer:      "fieller-t where bounded and g at most 0.25, else the posterior",
	sim.SparseAnswer:        "fieller-t-sparse where bounded, else the posterior",
	sim.RobustAnswer:        "beta-binomial-profile-f where bounded, else the posterior",
}

func (c *Coverage) glossary(b *bytes.Buffer) error {
	t := &table{header: []string{"Method", "What it is"}, numeric: []bool{false, false}}
	for _, m := range sim.Methods() {
		t.rows = append(t.rows, []string{m.String(), methodWords[m]})
	}
	t.notes = []string{
		"Limits without a bound on one side, or on both, count as holding what they contain. " +
			"Coverage is among the data sets to which a method gives limits at all; the column given is their share, finite the share with two bounds. " +
			"± is the Monte Carlo standard error, fold width upper/lower limit.",
	}
	return writeMarkdown(b, t)
}

func (c *Coverage) statuses(b *bytes.Buffer) error {
	t := &table{header: []string{"Mites per dose"}, numeric: []bool{true}}
	for _, s := range doseresp.Statuses() {
		t.header = append(t.header, s.String())
		t.numeric = append(t.numeric, true)
	}
	t.header, t.numeric = append(t.header, "unfitted"), append(t.numeric, true)
	for _, size := range sim.Levels(c.Results, sim.Cell.PerDose) {
		row, total, unfitted := []string{fmt.Sprint(size)}, 0, 0
		sums := map[doseresp.Status]int{}
		for _, r := range c.Results {
			if r.PerDose() != size {
				continue
			}
			total, unfitted = total+r.DataSets, unfitted+r.Unfitted
			for s, n := range r.Statuses {
				sums[s] += n
			}
		}
		for _, s := range doseresp.Statuses() {
			row = append(row, percentOf(float64(sums[s])/float64(total), 2))
		}
		t.rows = append(t.rows, append(row, percentOf(float64(unfitted)/float64(total), 2)))
	}
	t.notes = []string{"Shares of the data sets in per cent, by the status of the fit."}
	return writeMarkdown(b, t)
}

func (c *Coverage) times(b *bytes.Buffer) error {
	t := &table{header: []string{"Part", "Microseconds per data set"}, numeric: []bool{false, true}}
	for stage, name := range stageWords {
		seconds, sets := 0.0, 0
		for _, r := range c.Results {
			seconds += r.Seconds[stage]
			if sets += r.DataSets; sim.Stage(stage) == sim.StageBootstrap {
				sets += r.Bootstrapped - r.DataSets
			}
		}
		t.rows = append(t.rows, []string{name, fixed(1e6*seconds/float64(sets), 0)})
	}
	t.notes = []string{"Measured in this run, on a machine that may have had other work; the only numbers here that another run does not repeat."}
	return writeMarkdown(b, t)
}

var stageWords = [...]string{
	sim.StageDraw:        "drawing the counts",
	sim.StageFit:         "three fits with fiducial limits: without h, with it, and with Student's t alone",
	sim.StageProfile:     "both profile limits",
	sim.StageBetaProfile: "both beta-binomial profile limits",
	sim.StageSparse:      "a fit and both profile limits with the sparse h",
	sim.StagePosterior:   "posterior and both its limits",
	sim.StageBootstrap:   "bootstrap, where it was run",
}
