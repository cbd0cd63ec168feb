package advice

import "slices"

var dontRules = []Rule{
	{ID: "dont-failing", Section: SectionDont, Args: []string{"nor"}, Source: "IRAC (do not go on with a failing mode of action), from memory",
		When: "the mites are read as resistant, or resistant in part", find: byReading("", Resistant, Some)},
	{ID: "dont-last", Section: SectionDont, Args: []string{"nor"}, Source: "IRAC (change of mode of action), from memory",
		When: "an active was used last and the mites are not read as resistant to it", find: func(s *situation) []match {
			failing := s.reading(Resistant, Some)
			names := slices.DeleteFunc(slices.Clone(s.last), func(n string) bool { return slices.Contains(failing, n) })
			return one(s, names, "last treatment")
		}},
	{ID: "dont-repeat", Section: SectionDont, Source: "IRAC (change of mode of action), from memory",
		When: "no treatment is on record", find: func(s *situation) []match {
			if len(s.Treatments) > 0 {
				return nil
			}
			return []match{{because: "no treatment on record"}}
		}},
	{ID: "dont-group", Section: SectionDont, Args: []string{"list", "code"}, Source: "IRAC mode of action classification, from memory; Milani 1995, Apidologie 26:415-429 (cross-resistance)",
		When: "a failing or the last active shares its group with another that was tested, used or is on the list", find: sharedGroups},
	{ID: "dont-unclear", Section: SectionDont, Args: []string{"nor"}, Spare: 3, Source: common,
		When: "a finding is unclear or comes from another protocol", find: byReading("", Unclear, Foreign)},
	{ID: "dont-more", Section: SectionDont, Source: common, When: "always", find: always},
}

// sharedGroups makes one statement for each group of a failing or the last
// active in which the beekeeper could think to change.
func sharedGroups(s *situation) []match {
	bad := slices.Concat(s.fails, s.last)
	met := slices.Clone(bad)
	for _, j := range s.judged {
		met = append(met, j.common)
	}
	for _, t := range s.Treatments {
		met = append(met, Common(t.Acaricide))
	}
	for _, a := range s.Authorised.Actives {
		met = append(met, Common(a.Acaricide))
	}
	var out []match
	for _, g := range Groups() {
		in := func(n string) bool { return slices.Contains(g.Actives, n) }
		if !slices.ContainsFunc(bad, in) {
			continue
		}
		members := distinct(slices.DeleteFunc(slices.Clone(met), func(n string) bool { return !in(n) }))
		if len(members) < 2 {
			continue
		}
		for _, m := range one(s, members, "group "+g.Code) {
			m.args = args{"code": g.Code}
			out = append(out, m)
		}
	}
	return out
}
