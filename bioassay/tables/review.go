package tables

import "fmt"

// review warns of what is odd about an assay although every cell is in order.
func (c *counts) review(a *gathered) {
	type vial struct {
		label         string
		concentration float64
	}
	seen := map[vial]int{}
	for _, v := range a.Containers {
		if v.AtRisk() == 0 {
			c.warn(NothingExposed, v.Source.Line, fmt.Sprintf("no mite was at risk in this container of assay %s; it carries no information", quoted(a.Name)),
				"enter the counts if there were mites, or leave the row out")
		}
		if v.Label == "" {
			continue // rows without a label may be replicates, however alike
		}
		key := vial{v.Label, v.Concentration}
		if line := seen[key]; line > 0 {
			c.warn(DuplicateRow, v.Source.Line, fmt.Sprintf("container %s at this concentration of assay %s is also on line %d; both count", quoted(v.Label), quoted(a.Name), line),
				"delete one row if it was entered twice, or give the containers different labels")
			continue
		}
		seen[key] = v.Source.Line
	}
	c.reviewDates(a)
}

func (c *counts) reviewDates(a *gathered) {
	if a.TestedOn.IsZero() || a.CollectedOn.IsZero() || a.TestedOn.Compare(a.CollectedOn) >= 0 {
		return
	}
	c.warn(TestedTooEarly, int(a.line[colTestedOn]), fmt.Sprintf("assay %s was tested on %v, before its mites were collected on %v", quoted(a.Name), a.TestedOn, a.CollectedOn),
		"correct one of the two dates")
}
