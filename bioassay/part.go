package bioassay

import (
	"fmt"
	"math"

	"vialwise/doseresp"
	"vialwise/doseresp/mixture"
)

// Part compares a field assay with the baseline for a note: the ratios, the bands,
// the posterior of the line, the resistant fraction or the survivors, and
// WholeShift, with the numbers of Compare, at a third of the time. It holds no LCp,
// robust limits, diagnostics or warnings of the field assay, no posterior of the
// fraction, no posterior limits of a ratio that has others with two bounds, and
// tests of lines only where WholeShift needs them. It refuses what Compare refuses.
// Several goroutines may call it at once.
func (c *Comparer) Part(a Assay) (*Comparison, error) {
	if _, err := comparableWith(a, c.baseline); err != nil {
		return nil, err
	}
	o, nan := c.options.Analysis, math.NaN()
	out := &Comparison{
		Field: &Analysis{Assay: a, Moribund: o.Moribund}, Baseline: c.baseline,
		Rules: c.options.Bands, Adjusted: Adjusted{nan, nan, nan},
	}
	out.Lines.Parallelism.Verdict, out.Lines.Equality.Verdict = nan, nan
	counts := a.Counts(o.Moribund)
	shared, err := c.sharedDoses(out.Field, counts)
	if err != nil {
		return nil, err
	}
	fit := shared.result
	out.Field.Fit = &fit
	fail := func(err error) (*Comparison, error) { return nil, fmt.Errorf("assay %q: %w", a.Name, err) }
	if fit.TreatedExposed > 0 {
		if err := out.Field.Limits.addPosterior(&fit, counts, o); err != nil {
			return fail(err)
		}
	}
	posterior := tellingPosterior(out.Field)
	for i, p := range c.options.percents() {
		ratio := c.ratioAt(i, shared, nil)
		if ratio.Mover.Kind != doseresp.Bounded && posterior != nil && c.spread[i] != nil {
			ratio = c.ratioAt(i, shared, doseresp.NewRatioPosterior(posterior.Distribution(p), c.spread[i]))
		}
		out.Ratios = append(out.Ratios, ratio)
	}
	c.bands(out, posterior)
	if err := c.resistantPart(out, counts, (*mixture.Baseline).Estimate); err != nil {
		return fail(err)
	}
	if out.WholeShift, err = c.shiftsWhole(out, counts, shared); err != nil {
		return fail(err)
	}
	return out, nil
}
