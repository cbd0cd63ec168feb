package rules

import (
	"fmt"
	"slices"

	"vialwise/bioassay"
)

// readRuleSet reads a rule set; ok is false when something in it is wrong.
func readRuleSet(s *section) (r bioassay.RuleSet, ok bool) {
	before := len(s.file.errs)
	r.Basis = bioassay.Basis{Name: s.text("name", true), Source: s.text("source", true), Borrowed: s.text("borrowed_from", false)}
	r.Title = s.text("title", false)
	rules := 0
	if t, found := s.table("controls"); found {
		r.Controls = readControls(t, r.Basis)
		rules++
	}
	if t, found := s.table("classes"); found {
		r.Classes = &bioassay.MortalityClasses{Basis: r.Basis, At: t.text("at", true), Bands: readBands(t, 100)}
		t.close()
		rules++
	}
	if t, found := s.table("ratio_bands"); found {
		percent := t.number("percent", 1, 99)
		if !percent.Known {
			t.fail("percent", "", "it is not said which LC the ratio is of", "add percent = 50")
		}
		r.Ratios = &bioassay.RatioBands{Basis: r.Basis, Percent: percent.Value, Bands: readBands(t, 1e6)}
		t.close()
		rules++
	}
	if t, found := s.table("design"); found {
		readDesign(t, &r)
		rules++
	}
	if rules == 0 {
		s.fail("", "", "the rule set holds no rule", "add a table such as [rule_set.controls], or delete the rule set")
	}
	return r, len(s.file.errs) == before
}

func readControls(t *section, basis bioassay.Basis) *bioassay.ControlLimits {
	correct, discard := t.number("correct_above", 0, 100), t.number("discard_above", 0, 100)
	t.close()
	switch {
	case !correct.Known && t.values["correct_above"] == nil:
		t.fail("correct_above", "", "it is not said above which control mortality to correct", "add correct_above in percent, 0 to correct for every death")
	case !discard.Known && t.values["discard_above"] == nil:
		t.fail("discard_above", "", "it is not said above which control mortality to discard", "add discard_above in percent")
	case correct.Known && discard.Known && correct.Value > discard.Value:
		t.fail("discard_above", fmt.Sprintf("%g", discard.Value), fmt.Sprintf("the limit is below that of correction, %g", correct.Value), "exchange the two, in percent")
	}
	return &bioassay.ControlLimits{Basis: basis, CorrectAbove: correct.Value, DiscardAbove: discard.Value}
}

// readBands reads bands from the highest to the lowest. Every band but the last
// has a lower bound, which belongs to it or to the band below.
func readBands(t *section, most float64) bioassay.RuleBands {
	var bands bioassay.RuleBands
	list := t.tables("bands")
	if len(list) < 2 {
		t.fail("bands", "", "there are fewer than two bands", `write them from the highest to the lowest, such as [{ name = "a", at_least = 98 }, { name = "b" }]`)
		return nil
	}
	for i, s := range list {
		b := bioassay.RuleBand{Name: s.text("name", true)}
		above, least := s.number("above", 0, most), s.number("at_least", 0, most)
		s.close()
		bounds := 0
		for _, key := range []string{"above", "at_least"} {
			if _, found := s.values[key]; found {
				bounds++
			}
		}
		last := i == len(list)-1
		switch {
		case last && bounds > 0:
			s.fail("", "", "the lowest band has a bound", "delete it: the lowest band takes all that is left")
		case !last && bounds != 1:
			s.fail("", "", "the band does not have one lower bound", "write either at_least or above")
		case above.Known:
			b.From, b.Above = above.Value, true
		case least.Known:
			b.From = least.Value
		}
		if i > 0 && !last && b.From >= bands[i-1].From {
			s.fail("", "", fmt.Sprintf("the bound %g is not below that of the band before it, %g", b.From, bands[i-1].From), "write the bands from the highest to the lowest")
		}
		if b.Name != "" && slices.ContainsFunc(bands, func(o bioassay.RuleBand) bool { return o.Name == b.Name }) {
			s.fail("name", shown(b.Name), "two bands have this name", "rename one of the two")
		}
		bands = append(bands, b)
	}
	return bands
}

// ranges are what the bounds of a design may be.
var ranges = map[string][2]float64{
	"mites_per_container": {1, 1e6}, "most_per_container": {1, 1e6}, "mites_per_concentration": {1, 1e6},
	"mites_in_all": {1, 1e6}, "control_mites": {1, 1e6}, "concentrations": {1, 100}, "step_factor": {1.01, 1e6},
	"partial_kills": {1, 100}, "container_spread": {1, 1e6}, "missing_percent": {0, 100}, "days_to_test": {0, 3650},
}

// counted are those that are whole numbers.
var counted = []string{"mites_per_container", "most_per_container", "mites_per_concentration", "mites_in_all", "control_mites", "concentrations", "partial_kills", "days_to_test"}

func readDesign(t *section, r *bioassay.RuleSet) {
	for _, b := range r.Design.Bounds() {
		limits := ranges[b.Name]
		x := bioassay.Optional{}
		if slices.Contains(counted, b.Name) {
			x.Value = float64(t.whole(b.Name, limits[0], limits[1]))
			_, x.Known = t.values[b.Name]
		} else {
			x = t.number(b.Name, limits[0], limits[1])
		}
		if x.Known {
			*b.Bound = bioassay.Bound{Value: x.Value, Set: true, Basis: r.Basis}
		}
	}
	t.close()
	d := r.Design
	if d.MitesPerContainer.Set && d.MostPerContainer.Set && d.MitesPerContainer.Value > d.MostPerContainer.Value {
		t.fail("most_per_container", fmt.Sprintf("%g", d.MostPerContainer.Value), fmt.Sprintf("the most is below the least, %g", d.MitesPerContainer.Value), "exchange the two")
	}
	if len(t.values) == 0 {
		t.fail("", "", "the design holds no rule", "add a key such as mites_in_all, or delete the table")
	}
}
