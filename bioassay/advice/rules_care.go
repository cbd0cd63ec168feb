package advice

var careRules = []Rule{
	{ID: "care-label", Section: SectionCare, Source: common, When: "always", find: always},
	{ID: "care-gear", Section: SectionCare, Source: common, When: "always", find: always},
	{ID: "care-authority", Section: SectionCare, Source: common, When: "always", find: always},
	{ID: "care-list", Section: SectionCare, Args: []string{"date"}, Source: "the programme's list",
		When: "there is a list and its day is known", find: func(s *situation) []match {
			if len(s.Authorised.Actives) == 0 || s.Authorised.On.IsZero() {
				return nil
			}
			return []match{{args: args{"date": s.Authorised.On}, because: "day of the list"}}
		}},
	{ID: "care-list-undated", Section: SectionCare, Source: "the programme's list",
		When: "there is a list and its day is not known", find: func(s *situation) []match {
			if len(s.Authorised.Actives) == 0 || !s.Authorised.On.IsZero() {
				return nil
			}
			return []match{{because: "the list has no day"}}
		}},
	{ID: "care-no-dose", Section: SectionCare, Source: common, When: "always", find: always},
}
