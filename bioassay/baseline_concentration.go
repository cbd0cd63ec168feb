package bioassay

import (
	"math"
	"slices"

	"vialwise/doseresp"
)

// Discriminating is a candidate for a discriminating concentration: a dose
// that susceptible mites hardly survive. LC99 lies in the tail of the line, so
// it depends on the link, which the counts seldom decide: each is given under
// all links.
type Discriminating struct {
	Link         doseresp.Link
	Percent      float64 // of the LCp
	Times        float64 // that LCp is taken: 1, or 2 as WHO's procedure for mosquitoes does (from memory)
	Dose         float64 // NaN where there is no finite line
	Lower, Upper float64 // limits; 0 and +Inf where there are none
	Extrapolated bool    // Dose lies above every dose tested
	Survival     Survival
	// LogLik is the log-likelihood of all assays under this link, to judge the
	// links by: they have the same number of parameters. NaN without a line.
	LogLik float64
}

// discriminate computes them, the baseline's own link first.
func (b *Baseline) discriminate() ([]Discriminating, error) {
	links := []doseresp.Link{b.lines.link}
	for _, link := range doseresp.Links() {
		if !slices.Contains(links, link) {
			links = append(links, link)
		}
	}
	var out []Discriminating
	for _, link := range links {
		two, err := b.discriminateBy(link)
		if err != nil {
			return nil, err
		}
		out = append(out, two...)
	}
	return out, nil
}

func (b *Baseline) discriminateBy(link doseresp.Link) ([]Discriminating, error) {
	o := b.options
	percent := o.DiscriminatingPercent
	o.Analysis.Fit.Percents = []float64{percent}
	o.Analysis.Limits, o.Analysis.Exceeds = LimitSets{}, nil
	var out []Discriminating
	lines, lc, err := b.linesUnder(link, o)
	if err != nil {
		return nil, err
	}
	for _, times := range []float64{1, 2} {
		d := Discriminating{Link: link, Percent: percent, Times: times, Dose: math.NaN(), Upper: math.Inf(1), LogLik: math.NaN()}
		d.Survival = Survival{d.Dose, d.Dose, d.Dose, 0, 1, SurvivalNone}
		if lines != nil {
			d.Dose, d.Lower, d.Upper = times*lc.Estimate(), times*lc.Lower, times*lc.Upper
			d.LogLik = lines.logLik()
		}
		if !math.IsNaN(d.Dose) {
			d.Extrapolated = d.Dose > b.HighestDose*(1+1e-9)
			if d.Survival, err = lines.survival(d.Dose, o); err != nil {
				return nil, err
			}
		}
		out = append(out, d)
	}
	return out, nil
}

// linesUnder analyses the assays under a link; lines is nil where some of them
// has no line there.
func (b *Baseline) linesUnder(link doseresp.Link, o BaselineOptions) (lines *baselineLines, lc BaselineLC, err error) {
	assays := make([]Assay, len(b.Assays))
	for i, a := range b.Assays {
		assays[i] = a.Assay
	}
	if lines, err = newBaselineLines(assays, o.Analysis, link); err != nil {
		return nil, lc, err
	}
	for _, a := range lines.analyses {
		if a.Fit.Status != doseresp.Converged && a.Fit.Status != doseresp.Separated {
			return nil, lc, nil
		}
	}
	lc, err = lines.lc(0, o.DiscriminatingPercent, o)
	return lines, lc, err
}

func (l *baselineLines) logLik() float64 {
	sum := 0.0
	for _, a := range l.analyses {
		sum += a.Fit.LogLik // NaN without a finite line
	}
	return sum
}
