package tables

import (
	"fmt"
	"strings"

	"vialwise/bioassay"
)

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

// lookAtUnknown looks at the first filled cell of an unknown column. Where it is
// one of the words for a role, the column is perhaps the one of that name, and a
// baseline would be taken for a field population.
func (c *counts) lookAtUnknown(cell int, text string) {
	at, ok := c.header.unread[cell]
	if !ok {
		return
	}
	delete(c.header.unread, cell)
	if c.header.place[colRole] >= 0 {
		return
	}
	_, err := bioassay.ParseRole(strings.ToLower(text))
	if _, known := roleWords[keyOf(text)]; err == nil || known {
		c.warnings[at].Cure = fmt.Sprintf("it holds %s: if it is the role of the assay, rename it to role; otherwise all assays count as field", quoted(shortened(text, mostShown)))
	}
}
