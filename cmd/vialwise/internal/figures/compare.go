package figures

import (
	"fmt"
	"math"
	"slices"

	"vialwise/bioassay"
	"vialwise/cmd/vialwise/internal/render"
	"vialwise/doseresp"
	"vialwise/doseresp/mixture"
	"vialwise/plots"
)

// forestRows is the number of populations in one forest.
const forestRows = 40

// Forests are the figures of the ratios at LC50, one for each baseline, or several
// where it has more populations than a page holds. Without ratios at LC50 there
// are none.
func Forests(c *render.Comparisons, mark string) []plots.Forest {
	var out []plots.Forest
	for _, b := range c.Baselines {
		variation := variationOf(b)
		var ratios []plots.Ratio
		for _, r := range c.Compared {
			if r.Baseline != b {
				continue
			}
			if x, ok := ratioAt50(r); ok {
				row := forestRatio(r.Field.Assay.Name, x)
				row.Place = place(x, variation != [2]float64{})
				ratios = append(ratios, row)
			}
		}
		parts := slices.Collect(slices.Chunk(ratios, forestRows))
		for i, part := range parts {
			f := plots.Forest{
				Caption: plots.Caption{Title: "Resistance ratios against " + render.BaselineWords(b), Mark: mark, Width: plots.TwoColumns},
				Ratios:  part, Variation: variation,
			}
			if len(parts) > 1 {
				f.Subtitle = fmt.Sprintf("part %d of %d", i+1, len(parts))
			}
			out = append(out, f)
		}
	}
	return out
}

// variationOf is the variation among susceptible populations as ratios, zero where
// it is not known on both sides.
func variationOf(b *bioassay.Baseline) [2]float64 {
	lc, ok := b.At(50)
	if !ok || lc.Band.From == bioassay.BandNone || !bounded(lc.Band.LowerFold) || !bounded(lc.Band.UpperFold) {
		return [2]float64{}
	}
	return [2]float64{lc.Band.LowerFold, lc.Band.UpperFold}
}

// place is where the comparison found a ratio: against the variation where that is
// drawn, else against 1.
func place(x bioassay.RatioAt, varies bool) plots.Place {
	above, below := x.Difference == doseresp.Greater, x.Difference == doseresp.Smaller
	if varies && x.Natural != bioassay.NaturalUnknown {
		above, below = x.Natural == bioassay.NaturalBeyond, x.Natural == bioassay.NaturalBelow
	}
	switch {
	case above:
		return plots.PlaceAbove
	case below:
		return plots.PlaceBelow
	}
	return plots.PlaceWithin
}

func bounded(x float64) bool { return x > 0 && !math.IsInf(x, 1) }

func ratioAt50(r *bioassay.Comparison) (bioassay.RatioAt, bool) {
	i := slices.IndexFunc(r.Ratios, func(x bioassay.RatioAt) bool { return x.Percent == 50 })
	if i < 0 {
		return bioassay.RatioAt{}, false
	}
	return r.Ratios[i], true
}

// forestRatio is a row of a forest. A ratio known only to lie between two bounds
// is drawn without an estimate.
func forestRatio(name string, x bioassay.RatioAt) plots.Ratio {
	nan := math.NaN()
	switch x.Censored {
	case doseresp.CensoredLow:
		return plots.Ratio{Name: name, Estimate: x.Bracket.Lower, Lower: nan, Upper: nan, Censored: plots.Above}
	case doseresp.CensoredHigh:
		return plots.Ratio{Name: name, Estimate: x.Bracket.Upper, Lower: nan, Upper: nan, Censored: plots.Below}
	}
	if !bounded(x.Estimate) {
		if !bounded(x.Posterior.Median) {
			return plots.Ratio{Name: name, Estimate: nan, Lower: nan, Upper: nan}
		}
		return plots.Ratio{Name: name + " (posterior)", Estimate: x.Posterior.Median, Lower: x.Posterior.Lower, Upper: x.Posterior.Upper}
	}
	return plots.Ratio{Name: name, Estimate: x.Estimate, Lower: x.Mover.Lower, Upper: x.Mover.Upper}
}

// Against is the figure of a population and its baseline: the counts and the line
// of the one, the line of the other.
func Against(r *bioassay.Comparison, mark string) plots.CurveSet {
	own := Curve(r.Field, "")
	c := plots.CurveSet{Caption: own.Caption, Substance: own.Substance, Populations: []plots.Population{own.Population}}
	c.Populations[0].Name = r.Field.Assay.Name
	c.Subtitle, c.Note, c.Mark = "Resistance ratio at LC50 "+render.RatioAtLC50(r), own.Note, mark
	if line, ok := baselineLine(r); ok {
		base := plots.Population{Name: "baseline: " + r.Baseline.Name, Response: line.Mortality, NaturalMortality: math.NaN(), LC50: math.NaN()}
		if lc, ok := r.Baseline.At(50); ok && bounded(lc.Estimate()) {
			base.LC50, base.Lower, base.Upper = lc.Estimate(), lc.Lower, lc.Upper
		}
		c.Populations = append(c.Populations, base)
	}
	return c
}

// baselineLine is the line of the baseline as the tests of lines fitted it,
// without natural mortality.
func baselineLine(r *bioassay.Comparison) (plots.Line, bool) {
	if len(r.Lines.Populations) == 0 {
		return plots.Line{}, false
	}
	p := r.Lines.Populations[0]
	if math.IsNaN(p.Slope) || math.IsNaN(p.Intercept) {
		return plots.Line{}, false
	}
	return plots.Line{Link: r.Field.Fit.Link, Intercept: p.Intercept, Slope: p.Slope, NaturalMortality: math.NaN()}, true
}

// Mixture is the figure of a resistant part, where the counts show one.
func Mixture(r *bioassay.Comparison, mark string) (plots.Mixture, bool) {
	f := r.Fraction
	if f == nil || !f.Identified || r.WholeShift || !f.Test.Rejects() || !(f.Fraction.Estimate >= 0) || len(f.Shifted.Natural) == 0 {
		return plots.Mixture{}, false
	}
	form, natural := f.Shifted, f.Shifted.Natural[len(f.Shifted.Natural)-1]
	a := r.Field.Assay
	return plots.Mixture{
		Caption:          plots.Caption{Title: a.Name, Subtitle: "Resistant part against " + render.BaselineWords(r.Baseline), Mark: mark},
		Substance:        plots.Substance{Acaricide: a.Acaricide, Unit: a.Unit},
		Points:           pooled(r.Field),
		Baseline:         mixed(f.Link, form, 0, 0, natural),
		Field:            mixed(f.Link, form, form.Fraction, form.Delta, natural),
		NaturalMortality: natural,
		Fraction:         f.Fraction.Estimate, Lower: f.Fraction.Lower, Upper: f.Fraction.Upper,
	}, true
}

// mixed is the mortality of a mixture with a resistant fraction q, its line moved
// by delta in log10 dose:
//
//	C + (1-C) [(1-q) F(a + b x) + q F(a + b (x - s))],  x = log10 d - δ
func mixed(link doseresp.Link, form mixture.Form, q, delta, c float64) func(float64) float64 {
	if math.IsNaN(c) {
		c = 0
	}
	return func(d float64) float64 {
		x := math.Log10(d) - delta
		p := (1 - q) * link.CDF(form.Intercept+form.Slope*x)
		if q > 0 && !math.IsInf(form.Fold, 1) && !math.IsNaN(form.Fold) {
			p += q * link.CDF(form.Intercept+form.Slope*(x-math.Log10(form.Fold)))
		}
		return c + (1-c)*p
	}
}
