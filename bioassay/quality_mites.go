package bioassay

import (
	"fmt"
	"math"
	"strings"
)

// judgeCounts discards an assay with a container that cannot be, and reports
// whether there is none. Tables refuse such counts; an assay from elsewhere may
// hold them.
func (j *judgement) judgeCounts() (possible bool) {
	broken, first, reason := 0, Container{}, ""
	for _, c := range j.assay.Containers {
		if why := c.impossible(); why != "" {
			if broken == 0 {
				first, reason = c, why
			}
			broken++
		}
	}
	if broken > 0 {
		j.addAt(first.Source, Discard, ImpossibleCount, Basis{}, "correct the counts from the bench sheet",
			"%d of %s cannot be; in the first, %q, %s", broken, Plural(len(j.assay.Containers), "container"), first.Label, reason)
	}
	return broken == 0
}

// impossible says why a container cannot be, or nothing.
func (c Container) impossible() string {
	switch {
	case !(c.Concentration >= 0) || math.IsInf(c.Concentration, 1):
		return fmt.Sprintf("the concentration is %g", c.Concentration)
	case min(c.Exposed, c.Dead, c.Moribund, c.Missing) < 0:
		return "a count is below zero"
	case c.Dead > c.Exposed-c.Moribund-c.Missing:
		return fmt.Sprintf("%d dead, %d moribund and %d missing are more than the %d exposed", c.Dead, c.Moribund, c.Missing, c.Exposed)
	}
	return ""
}

// judgeNumbers looks at how many mites there are, in all and at each dose.
func (j *judgement) judgeNumbers() {
	if len(j.doses) == 0 {
		j.add(Discard, NoTreated, Basis{}, "add the treated containers to the file, or check that concentrations above 0 were read",
			"no treated mite was read: there is nothing to judge the acaricide by")
		return
	}
	total := 0
	for _, d := range j.doses {
		total += d.exposed
	}
	if bound := j.minimum(j.Rules.Design.MitesInAll, func(m MinimumMites) int { return m.InAll }); bound.Set && float64(total) < bound.Value {
		lack, k := int(bound.Value)-total, len(j.doses)
		j.add(Doubt, FewMites, bound.Basis, fmt.Sprintf("test %s%s", Plural(lack, "more mite"), shareOf((lack+k-1)/k, "at", k, "concentration")),
			"%s, fewer than %g", Plural(total, "treated mite"), bound.Value)
	}
	if bound := j.minimum(j.Rules.Design.MitesPerConcentration, func(m MinimumMites) int { return m.PerConcentration }); bound.Set {
		j.judgeEachDose(bound)
	}
	j.judgeMissing()
}

// minimum is what the protocol asks for itself, or else the bound of the rules.
func (j *judgement) minimum(bound Bound, own func(MinimumMites) int) Bound {
	if p := j.Protocol; p != nil && own(p.Minimum) > 0 {
		return Bound{Value: float64(own(p.Minimum)), Set: true, Basis: Basis{Name: p.Name, Source: p.Source}}
	}
	return bound
}

func (j *judgement) judgeEachDose(bound Bound) {
	var few, add []string
	for _, d := range j.doses {
		if lack := int(bound.Value) - d.exposed; lack > 0 {
			few = append(few, fmt.Sprintf("%d at %.4g%s", d.exposed, d.dose, j.unit()))
			add = append(add, fmt.Sprintf("%d at %.4g", lack, d.dose))
		}
	}
	if few != nil {
		j.add(Doubt, FewAtDose, bound.Basis, "add mites: "+listed(add),
			"fewer than %g mites at %d of %s: %s", bound.Value, len(few), Plural(len(j.doses), "concentration"), listed(few))
	}
}

// listed joins the first few items of a list.
func listed(items []string) string {
	const most = 6
	if len(items) > most {
		return strings.Join(items[:most], ", ") + fmt.Sprintf(" and %d more", len(items)-most)
	}
	return strings.Join(items, ", ")
}

func (j *judgement) judgeMissing() {
	bound := j.Rules.Design.MissingPercent
	missing, placed := j.assay.Missing(), j.assay.Exposed()+j.assay.Missing()
	if !bound.Set || 100*float64(missing) <= bound.Value*float64(placed) {
		return
	}
	j.add(Doubt, ManyMissing, bound.Basis, fmt.Sprintf("search the containers again: at most %d of %d may be missing; seal them in the next assay", int(bound.Value*float64(placed)/100), placed),
		"%d of %d mites put in were not found at the reading (%.3g %%, more than %g %%); if the living escape, mortality is overstated",
		missing, placed, 100*float64(missing)/float64(placed), bound.Value)
}

// judgeContainers looks at how the mites were shared out.
func (j *judgement) judgeContainers() {
	d := j.Rules.Design
	least, most, placed, filled := math.MaxInt, 0, 0, 0
	for _, c := range j.assay.Containers {
		if c.Exposed > 0 {
			least, most = min(least, c.Exposed), max(most, c.Exposed)
			placed += c.Exposed
			filled++
		}
	}
	if filled == 0 {
		return
	}
	j.judgeEach(FewInContainer, d.MitesPerContainer, fmt.Sprintf("put %g or more mites into each container", d.MitesPerContainer.Value), "fewer",
		func(n int) bool { return float64(n) < d.MitesPerContainer.Value })
	j.judgeEach(Crowded, d.MostPerContainer, fmt.Sprintf("share the mites out over more containers, at most %g in each", d.MostPerContainer.Value), "more",
		func(n int) bool { return float64(n) > d.MostPerContainer.Value })
	if b := d.ContainerSpread; b.Set && float64(most) > b.Value*float64(least) {
		j.add(Note, UnequalNumbers, b.Basis, fmt.Sprintf("share the %d mites out evenly%s", placed, shareOf((placed+filled/2)/filled, "in", filled, "container")),
			"containers hold from %d to %d mites, more than %g times the emptiest", least, most, b.Value)
	}
}

// judgeEach counts the filled containers that break a bound.
func (j *judgement) judgeEach(code WarningCode, b Bound, cure, side string, breaks func(exposed int) bool) {
	if !b.Set {
		return
	}
	broken, filled := 0, 0
	var first Container
	for _, c := range j.assay.Containers {
		if c.Exposed == 0 {
			continue
		}
		filled++
		if breaks(c.Exposed) {
			if broken == 0 {
				first = c
			}
			broken++
		}
	}
	if broken > 0 {
		j.addAt(first.Source, Note, code, b.Basis, cure, "%d of %s with %s than %g mites, the first with %d", broken, Plural(filled, "container"), side, b.Value, first.Exposed)
	}
}

// shareOf says what each of several things gets, and nothing where there is one.
func shareOf(each int, where string, k int, noun string) string {
	if k < 2 {
		return ""
	}
	return fmt.Sprintf(", about %d %s each of the %d %ss", each, where, k, noun)
}
