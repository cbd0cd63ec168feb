package render

import (
	"fmt"
	"math"

	"vialwise/bioassay"
	"vialwise/bioassay/tables/workbook"
	"vialwise/doseresp"
)

// Number formats of columns whose scale is known.
const (
	shareFormat  = "0.0%"
	chanceFormat = "0.0000"
	twoDecimals  = "0.00"
	threeDecimal = "0.000"
)

// recordHeader and recordCells are what an assay's record says.
var recordHeader = []string{"assay", "apiary", "population", "role", "collected_on", "tested_on", "acaricide", "protocol", "unit", "file"}

func recordCells(a bioassay.Assay) []workbook.Value {
	return []workbook.Value{
		textCell(a.Name), textCell(a.Apiary), textCell(a.Population), textCell(a.Role.String()), dayCell(a.CollectedOn), dayCell(a.TestedOn),
		textCell(a.Acaricide), textCell(a.Protocol), textCell(a.Unit), textCell(a.File()),
	}
}

// fitSheet has a row for each assay.
func fitSheet(f *Fits) *sheet {
	s := &sheet{name: "results", header: append([]string{}, recordHeader...)}
	s.header = append(s.header, "treated_mites", "control_mites", "control_deaths", "natural_mortality", "natural_mortality_se", "link", "status", "slope", "slope_se")
	for _, p := range f.percents() {
		name := lcName(p)
		s.header = append(s.header, name, name+"_lower", name+"_upper", name+"_limits", name+"_robust_lower", name+"_robust_upper")
	}
	s.header = append(s.header, "level", "chi_squared", "df", "p", "h", "h_applied", "g", "usable", "findings")
	for _, a := range f.Analyses {
		s.add(fitCells(f, a)...)
	}
	return s
}

// percents are those that were computed.
func (f *Fits) percents() []float64 {
	if len(f.Analyses) == 0 {
		return f.Options.Fit.Percents
	}
	var out []float64
	for _, lc := range f.Analyses[0].Fit.LC {
		out = append(out, lc.Percent)
	}
	return out
}

func fitCells(f *Fits, a *bioassay.Analysis) []workbook.Value {
	r := a.Fit
	controlDead := workbook.Value{}
	if r.Controls > 0 {
		controlDead = wholeCell(r.ControlDead)
	}
	row := append(recordCells(a.Assay),
		wholeCell(r.TreatedExposed), wholeCell(r.ControlExposed), controlDead,
		shownAs(r.Natural.Estimate, shareFormat), shownAs(r.Natural.StdErr, shareFormat),
		textCell(r.Link.String()), textCell(r.Status.String()), shownAs(r.Slope, threeDecimal), shownAs(r.SlopeStdErr, threeDecimal))
	for i := range r.LC {
		answer, robust := a.Report(i), a.Limits.Robust[i]
		row = append(row, boundCell(answer.Estimate), boundCell(answer.Lower), boundCell(answer.Upper), textCell(newReportedJSON(answer).From),
			boundCell(robust.Lower), boundCell(robust.Upper))
	}
	x := r.PearsonContainer
	df := workbook.Value{}
	if !math.IsNaN(x.X2) {
		df = wholeCell(x.DF)
	}
	usable := workbook.Value{}
	if v := f.Verdicts.of(a.Assay); v != nil {
		usable = yesCell(v.Usable)
	}
	return append(row, numberCell(r.Level), shownAs(x.X2, twoDecimals), df, shownAs(x.P, chanceFormat), shownAs(r.Heterogeneity.H, twoDecimals),
		yesCell(r.Heterogeneity.Applied), shownAs(r.G, threeDecimal), usable, textCell(codes(f.Findings(a))))
}

// codes lists the codes of findings.
func codes(findings []Finding) string {
	s := ""
	for i, f := range findings {
		if i > 0 {
			s += " "
		}
		s += f.Code
	}
	return s
}

// ratioSheet has a row for each population.
func ratioSheet(c *Comparisons) *sheet {
	s := &sheet{name: "results", header: append(append([]string{}, recordHeader...), "baseline", "treated_mites", "status")}
	if len(c.Compared) == 0 {
		return s
	}
	for _, r := range c.Compared[0].Ratios {
		name := ratioName(r.Percent)
		s.header = append(s.header, name, name+"_lower", name+"_upper", name+"_kind", name+"_above", name+"_below", name+"_differs",
			name+"_among_susceptible", name+"_delta_lower", name+"_delta_upper", name+"_posterior", name+"_posterior_lower", name+"_posterior_upper")
	}
	s.header = append(s.header, "p_parallel", "p_parallel_holm", "p_equal", "p_equal_holm",
		"resistant_fraction", "resistant_fraction_lower", "resistant_fraction_upper", "p_fraction", "p_fraction_holm", "survived", "survivor_exposed")
	s.header = append(append(s.header, bandHeader(c.Options.Bands, "P(%s)")...), "findings")
	for _, r := range c.Compared {
		s.add(ratioCells(c, r)...)
	}
	return s
}

func ratioCells(c *Comparisons, r *bioassay.Comparison) []workbook.Value {
	row := append(recordCells(r.Field.Assay), textCell(r.Baseline.Name), wholeCell(r.Field.Fit.TreatedExposed), textCell(r.Field.Fit.Status.String()))
	for _, x := range r.Ratios {
		above, below := workbook.Value{}, workbook.Value{}
		if x.Censored != doseresp.NotCensored {
			above, below = boundCell(x.Bracket.Lower), boundCell(x.Bracket.Upper)
		}
		row = append(row, boundCell(x.Estimate), boundCell(x.Mover.Lower), boundCell(x.Mover.Upper), textCell(x.Mover.Kind.String()), above, below,
			textCell(differsWords[x.Difference]), textCell(amongWord(x)), boundCell(x.Delta.Lower), boundCell(x.Delta.Upper),
			boundCell(x.Posterior.Median), boundCell(x.Posterior.Lower), boundCell(x.Posterior.Upper))
	}
	row = append(row, testValue(r.Lines.Parallelism), shownAs(r.Adjusted.Parallelism, chanceFormat), testValue(r.Lines.Equality), shownAs(r.Adjusted.Equality, chanceFormat))
	row = append(row, fractionCells(r)...)
	if c.Options.Bands != nil {
		for i := range c.Options.Bands.Bands {
			p := math.NaN()
			if i < len(r.Bands) {
				p = r.Bands[i].Probability
			}
			row = append(row, shownAs(p, chanceFormat))
		}
	}
	return append(row, textCell(codes(c.Findings(r))))
}

func testValue(t doseresp.LineTest) workbook.Value {
	if t.Reason != doseresp.Tested {
		return workbook.Value{}
	}
	return shownAs(t.Verdict, chanceFormat)
}

func fractionCells(r *bioassay.Comparison) []workbook.Value {
	q := make([]workbook.Value, 7)
	q[4] = shownAs(r.Adjusted.Fraction, chanceFormat)
	if f := r.Fraction; f != nil {
		q[0], q[1], q[2], q[3] = shownAs(f.Fraction.Estimate, shareFormat), shownAs(f.Fraction.Lower, shareFormat), shownAs(f.Fraction.Upper, shareFormat), shownAs(f.Test.P, chanceFormat)
	}
	if v := r.Survivors; v != nil {
		q[3], q[5], q[6] = shownAs(v.P, chanceFormat), wholeCell(v.Survived), wholeCell(v.Exposed)
	}
	return q
}

func refusedSheet(refused []bioassay.Refusal) *sheet {
	s := &sheet{name: "not compared", header: []string{"assay", "file", "reason"}}
	for _, r := range refused {
		s.add(textCell(r.Assay.Name), textCell(r.Assay.File()), textCell(r.Err.Error()))
	}
	return s
}

// baselineSheet has a row for each baseline.
func baselineSheet(baselines []*bioassay.Baseline) *sheet {
	s := &sheet{name: "baselines", header: []string{"baseline", "acaricide", "protocol", "unit", "assays", "treated_mites", "slope", "slope_lower", "slope_upper"}}
	if len(baselines) == 0 {
		return s
	}
	for _, lc := range baselines[0].LC {
		name := lcName(lc.Percent)
		s.header = append(s.header, name, name+"_lower", name+"_upper", name+"_limits", name+"_between_sd", name+"_susceptible_from", name+"_susceptible_to")
	}
	for _, b := range baselines {
		s.add(baselineCells(b)...)
	}
	return s
}

func baselineCells(b *bioassay.Baseline) []workbook.Value {
	n := 0
	for _, a := range b.Assays {
		n += a.Fit.TreatedExposed
	}
	row := []workbook.Value{
		textCell(b.Name), textCell(b.Acaricide), textCell(b.Protocol), textCell(b.Unit), wholeCell(len(b.Assays)), wholeCell(n),
		shownAs(b.Slope.Estimate, threeDecimal), shownAs(zeroAbsent(b.Slope.Lower), threeDecimal), shownAs(b.Slope.Upper, threeDecimal),
	}
	for i := range b.LC {
		lc := &b.LC[i]
		row = append(row, boundCell(lc.Estimate()), boundCell(lc.Lower), boundCell(lc.Upper), textCell(lc.From.String()), numberCell(lc.BetweenSD))
		if lc.Band.From == bioassay.BandNone {
			row = append(row, workbook.Value{}, workbook.Value{})
		} else {
			row = append(row, boundCell(lc.Band.Lower), boundCell(lc.Band.Upper))
		}
	}
	return row
}

func zeroAbsent(x float64) float64 {
	if x == 0 {
		return math.NaN()
	}
	return x
}

func discriminatingSheet(baselines []*bioassay.Baseline) *sheet {
	s := &sheet{name: "discriminating", header: []string{"baseline", "link", "dose_of", "dose", "dose_lower", "dose_upper", "extrapolated",
		"susceptible_survival", "susceptible_survival_lower", "susceptible_survival_upper", "log_likelihood"}}
	for _, b := range baselines {
		for _, d := range b.Discriminating {
			of := lcName(d.Percent)
			if d.Times != 1 {
				of = fmt.Sprintf("%g × %s", d.Times, of)
			}
			row := []workbook.Value{textCell(b.Name), textCell(d.Link.String()), textCell(of), boundCell(d.Dose), boundCell(d.Lower), boundCell(d.Upper), yesCell(d.Extrapolated)}
			if v := d.Survival; v.From == bioassay.SurvivalNone {
				row = append(row, workbook.Value{}, workbook.Value{}, workbook.Value{})
			} else {
				row = append(row, shownAs(v.Mean, shareFormat), shownAs(v.Lower, shareFormat), shownAs(v.Upper, shareFormat))
			}
			s.add(append(row, numberCell(d.LogLik))...)
		}
	}
	return s
}
