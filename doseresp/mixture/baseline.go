package mixture

import (
	"fmt"
	"math"
	"slices"
	"sync"

	"vialwise/doseresp"
)

// Baseline is one or several assays of susceptible populations, ready to have
// field populations compared with it. It may be used by several goroutines.
type Baseline struct {
	options Options
	counts  counts
	levels  []level
	freeC   []bool    // by assay, whether its natural mortality is estimated
	natural []float64 // where it is not
	line    doseresp.Result
	centre  float64   // of the log doses
	own     []float64 // where ascents start
	median  float64   // η of LC50
	highest float64
	exposed int
	assays  int
	full    bool         // every assay has controls
	h       float64      // heterogeneity factor of the baseline alone, 1 or more
	ownGrid func() *grid // laid when first asked for
}

// NewBaseline checks and fits the assays of a baseline. They share one line;
// each has its own natural mortality. It fails with a *doseresp.CountError,
// doseresp.ErrOptions, or ErrBaseline where the assays together have no finite
// rising line.
func NewBaseline(assays [][]doseresp.Container, o Options) (*Baseline, error) {
	if err := o.complete(); err != nil {
		return nil, err
	}
	b := &Baseline{options: o, assays: len(assays), full: true, median: o.Link.Quantile(0.5)}
	var all []doseresp.Container
	for i, assay := range assays {
		b.addAssay(&b.counts, assay, false)
		b.full = b.full && hasControls(assay)
		all = append(all, assay...)
		if _, err := doseresp.Fit(assay, doseresp.Options{Link: o.Link, Natural: o.Natural}); err != nil {
			return nil, fmt.Errorf("baseline assay %d: %w", i+1, err)
		}
	}
	line, err := doseresp.Fit(all, doseresp.Options{Link: o.Link, Natural: o.Natural, Heterogeneity: o.Heterogeneity})
	switch {
	case err != nil:
		return nil, fmt.Errorf("baseline: %w", err)
	case line.Status != doseresp.Converged:
		return nil, fmt.Errorf("%w (%v); test more baseline mites at doses that kill some and not all", ErrBaseline, line.Status)
	}
	b.line = *line
	b.highest = line.HighestDose
	b.exposed = line.TreatedExposed
	n := 0.0
	for _, g := range b.counts.groups {
		if !g.control {
			b.centre += g.x
			n++
		}
	}
	b.centre /= n
	b.levels = b.counts.levels(b.centre)
	b.own = b.ownStart()
	b.h = b.ownFactor()
	b.ownGrid = sync.OnceValue(b.layOwnGrid)
	return b, nil
}

func hasControls(assay []doseresp.Container) bool {
	return slices.ContainsFunc(assay, func(c doseresp.Container) bool { return c.Dose == 0 && c.Exposed > 0 })
}

// addAssay appends an assay to c and settles its natural mortality.
func (b *Baseline) addAssay(c *counts, assay []doseresp.Container, field bool) {
	free, value, keep := false, 0.0, false
	switch n := b.options.Natural; n.Mode {
	case doseresp.Estimated:
		free = hasControls(assay)
		keep = free
	case doseresp.Fixed:
		value, keep = n.Value, n.Value > 0
	}
	c.add(assay, field, keep)
	b.freeC = append(b.freeC, free)
	b.natural = append(b.natural, value)
}

// spread is the variance of δ: that of a new population about the mean line of
// k others.
func (b *Baseline) spread() float64 {
	return b.options.Tau * b.options.Tau * (1 + 1/float64(b.assays))
}

// with joins a field to a copy of the baseline.
func (b *Baseline) with(field []doseresp.Container) *joint {
	whole := &Baseline{options: b.options, freeC: slices.Clone(b.freeC), natural: slices.Clone(b.natural)}
	c := counts{
		groups:      roomFor(b.counts.groups, len(field)),
		containers:  roomFor(b.counts.containers, len(field)),
		of:          roomFor(b.counts.of, len(field)),
		assays:      b.counts.assays,
		coefficient: b.counts.coefficient,
	}
	whole.addAssay(&c, field, true)
	for i := range c.groups {
		c.groups[i].x -= b.centre
	}
	m := &model{counts: &c, levels: b.levels, alive: c.living(), link: b.options.Link, variance: b.spread()}
	return &joint{
		base: b, m: m, freeC: whole.freeC, natural: whole.natural,
		climber: newClimber(m, math.Log10(b.options.LeastFold)),
	}
}

// roomFor is a copy to which n more can be added without moving it.
func roomFor[T any](list []T, n int) []T { return append(make([]T, 0, len(list)+n), list...) }

// ownStart is the fitted line with the natural mortality that the controls suggest
// or, where that leads to a summit of the baseline alone with about the same slope,
// that summit. A natural mortality of 0 gives way to what is suggested: an ascent
// that starts at a bound may stay there.
func (b *Baseline) ownStart() []float64 {
	j := b.with(nil)
	rough := make([]float64, j.m.size())
	rough[atB] = b.line.Slope
	rough[atA] = b.line.Intercept + rough[atB]*b.centre
	rough[atS] = math.Inf(1)
	for k := range b.assays {
		rough[atC+k] = j.suggested(k)
	}
	p := slices.Clone(rough)
	j.setForm(none, j.freeC)
	if _, arrived := j.climb(p, summit{}); !arrived || math.Abs(math.Log(p[atB]/rough[atB])) > math.Ln2 {
		p = rough
	}
	for k := range b.assays {
		if p[atC+k] == 0 {
			p[atC+k] = rough[atC+k]
		}
	}
	return p[:atC+b.assays]
}

// ownFactor is the heterogeneity factor of the baseline alone: as that of a
// fit, the larger of those over all and over the telling containers, about the
// line that its assays share.
func (b *Baseline) ownFactor() float64 {
	h := b.line.Heterogeneity
	if h.Rule == doseresp.Never || h.Rule == doseresp.WhenSignificant && !h.Applied || math.IsNaN(h.H) {
		return 1
	}
	var telling sums
	for _, k := range b.counts.containers {
		n, P := float64(k.Exposed), b.line.Mortality(k.Dose)
		if n*min(P, 1-P) >= tellingCount {
			d := float64(k.Dead) - n*P
			telling.add(d * d / (n * P * (1 - P)))
		}
	}
	return max(h.H, telling.factor(), 1)
}
