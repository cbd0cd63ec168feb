package mixture

import (
	"cmp"
	"math"
	"slices"

	"vialwise/doseresp"
)

// group is all mites of one assay at one dose, which share their mortality:
// the binomial likelihood needs no more.
type group struct {
	tally
	field   bool // of the population that is compared
	control bool
	dose, x float64 // x is log10 dose less the centre
}

// tally is the mites of one assay at one dose.
type tally struct {
	assay       int // position of the assay, and of its natural mortality
	dead, alive float64
}

// level is a dose of the baseline with the mites of every assay at it. The assays
// share a line, and so what the likelihood needs of it there.
type level struct {
	x     float64 // as of a group
	alive float64 // of all assays
	of    []tally
}

// levels sorts the treated groups of a baseline by dose.
func (c *counts) levels(centre float64) (out []level) {
	at := map[float64]int{}
	for _, g := range c.groups {
		if g.control {
			continue
		}
		i, ok := at[g.dose]
		if !ok {
			i = len(out)
			at[g.dose] = i
			out = append(out, level{x: g.x - centre})
		}
		out[i].of = append(out[i].of, g.tally)
		out[i].alive += g.alive
	}
	return out
}

// counts is a set of assays as the likelihood walks through them: the
// baseline's first, the field last.
type counts struct {
	groups      []group
	containers  []doseresp.Container // those in the likelihood
	of          []int                // the group of each
	assays      int
	coefficient float64 // Σ log (n over r) by container
}

// add appends the containers of an assay by rising dose. Controls are left
// out where keep is false; empty containers always are.
func (c *counts) add(assay []doseresp.Container, field, keep bool) {
	sorted := slices.Clone(assay)
	slices.SortFunc(sorted, func(a, b doseresp.Container) int {
		return cmp.Or(cmp.Compare(a.Dose, b.Dose), a.Exposed-b.Exposed, a.Dead-b.Dead)
	})
	first := len(c.groups)
	for _, k := range sorted {
		if k.Exposed == 0 || k.Dose == 0 && !keep {
			continue
		}
		if n := len(c.groups); n == first || c.groups[n-1].dose != k.Dose {
			c.groups = append(c.groups, group{
				tally: tally{assay: c.assays}, field: field, control: k.Dose == 0, dose: k.Dose, x: math.Log10(k.Dose),
			})
		}
		g := &c.groups[len(c.groups)-1]
		g.dead += float64(k.Dead)
		g.alive += float64(k.Exposed - k.Dead)
		c.containers = append(c.containers, k)
		c.of = append(c.of, len(c.groups)-1)
		c.coefficient += logChoose(k.Exposed, k.Dead)
	}
	c.assays++
}

// living returns the mites of every assay that were alive, at any dose.
func (c *counts) living() []float64 {
	out := make([]float64, c.assays)
	for i := range c.groups {
		out[c.groups[i].assay] += c.groups[i].alive
	}
	return out
}

// logChoose is log (n over r).
func logChoose(n, r int) float64 {
	a, _ := math.Lgamma(float64(n) + 1)
	b, _ := math.Lgamma(float64(r) + 1)
	c, _ := math.Lgamma(float64(n-r) + 1)
	return a - b - c
}

// control returns the untreated counts of an assay, 0 and 0 where it has none.
func (c *counts) control(assay int) (dead, alive float64) {
	for i := range c.groups {
		if g := &c.groups[i]; g.assay == assay && g.control {
			return g.dead, g.alive
		}
	}
	return 0, 0
}

// fieldDoses returns the treated groups of the field.
func (c *counts) fieldDoses() []group {
	first := len(c.groups)
	for first > 0 && c.groups[first-1].field && !c.groups[first-1].control {
		first--
	}
	return c.groups[first:]
}
