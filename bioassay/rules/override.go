package rules

import (
	"fmt"
	"slices"
	"strings"

	"vialwise/bioassay"
)

// readOverrides reads the recorded decisions.
func (f *file) readOverrides(list []*section) {
	type key struct {
		assay, file string
		code        bioassay.WarningCode
	}
	seen := map[key]int{}
	for _, s := range list {
		before := len(f.errs)
		o := bioassay.Override{
			Assay: s.text("assay", true), File: s.text("file", false), Code: bioassay.WarningCode(s.text("code", true)),
			By: s.text("by", true), On: s.date("on"), Why: s.text("because", true), Origin: f.origin(s),
		}
		s.close()
		if _, found := s.values["on"]; !found {
			s.fail("on", "", "there is no date", "add the day of the decision, such as on = 2031-04-09")
		}
		if o.Code != "" && !slices.Contains(bioassay.Liftable(), o.Code) {
			s.fail("code", shown(string(o.Code)), "no finding of this code can be lifted", "write one of "+codes(bioassay.Liftable()))
		}
		k := key{o.Assay, o.File, o.Code}
		if line := seen[k]; line > 0 {
			s.fail("", "", fmt.Sprintf("the same finding is lifted on line %d", line), "delete one of the two")
		}
		if len(f.errs) == before {
			seen[k] = o.Line
			f.into.Overrides = append(f.into.Overrides, o)
		}
	}
}

func codes(list []bioassay.WarningCode) string {
	words := make([]string, len(list))
	for i, c := range list {
		words[i] = string(c)
	}
	return strings.Join(words, ", ")
}
