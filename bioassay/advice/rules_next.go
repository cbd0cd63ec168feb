package advice

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"vialwise/bioassay"
)

var nextRules = []Rule{
	{ID: "next-soon", Section: SectionNext, Source: common,
		When: "a finding is unclear, old or from another protocol, or its test failed, or there is none", find: func(s *situation) []match {
			if !s.hasOpen() {
				return nil
			}
			return []match{{about: s.about(s.where(judged.open)), because: "open question"}}
		}},
	{ID: "next-date", Section: SectionNext, Args: []string{"month"}, Source: common,
		When: "nothing is open", find: func(s *situation) []match {
			if s.hasOpen() {
				return nil
			}
			months := cmp.Or(s.RetestMonths, defaultMonths)
			return []match{{args: args{"month": monthOf(addMonths(s.Date, months))}, because: fmt.Sprintf("%d months from the note", months)}}
		}},
}

var askRules = []Rule{
	{ID: "ask-contact", Section: SectionAsk, Args: []string{"contact"}, Source: "the programme",
		When: "the programme gave a contact line", find: func(s *situation) []match {
			contact := shown(s.Contact, mostContact)
			if contact == "" {
				return nil
			}
			return []match{{args: args{"contact": contact}, because: "contact line"}}
		}},
	{ID: "ask-giver", Section: SectionAsk, Source: common,
		When: "the programme gave no contact line", find: func(s *situation) []match {
			if shown(s.Contact, mostContact) != "" {
				return nil
			}
			return []match{{because: "no contact line"}}
		}},
}

var printRules = []Rule{
	{ID: "print-method", Section: SectionPrint, Args: []string{"n"}, Source: "the findings",
		When: "there is a finding", find: func(s *situation) []match {
			n := 0
			for _, j := range s.judged {
				n += j.Mites
			}
			if len(s.judged) == 0 {
				return nil
			}
			return []match{{count: n, args: args{"n": number(n)}, because: "mites of the findings"}}
		}},
	{ID: "print-day", Section: SectionPrint, Args: []string{"day"}, Source: "the findings",
		When: "all tests whose day is known were on one day", find: func(s *situation) []match {
			first, last := s.days()
			if first.IsZero() || first != last {
				return nil
			}
			return []match{{args: args{"day": first}, because: "day of the tests"}}
		}},
	{ID: "print-days", Section: SectionPrint, Args: []string{"first", "last"}, Source: "the findings",
		When: "they were on several days", find: func(s *situation) []match {
			first, last := s.days()
			if first == last {
				return nil
			}
			return []match{{args: args{"first": first, "last": last}, because: "days of the tests"}}
		}},
	{ID: "print-rules", Section: SectionPrint, Args: []string{"rules"}, Source: "the findings",
		When: "a finding names a rule set", find: func(s *situation) []match {
			var all bases
			for _, j := range s.judged {
				all = append(all, j.bases()...)
			}
			slices.SortFunc(all, func(a, b bioassay.Basis) int { return strings.Compare(a.String(), b.String()) })
			if all = slices.Compact(all); len(all) == 0 {
				return nil
			}
			return []match{{args: args{"rules": all}, because: "rule sets"}}
		}},
	{ID: "print-own", Section: SectionPrint, Args: []string{"list"}, Source: "the findings",
		When: "what susceptible mites vary by was found among the assays of the baseline", find: func(s *situation) []match {
			return one(s, s.where(func(j judged) bool { return !j.idle() && j.byVariation() && j.Variation.Own }), "variation of the baseline")
		}},
	{ID: "print-groups", Section: SectionPrint, Args: []string{"source"}, Source: "the groups",
		When: "always", find: func(*situation) []match {
			return []match{{args: args{"source": source(GroupSource())}, because: "always"}}
		}},
	{ID: "print-version", Section: SectionPrint, Args: []string{"version"}, Source: "the program",
		When: "the version is known", find: func(s *situation) []match {
			version := shown(s.Version, mostName)
			if version == "" {
				return nil
			}
			return []match{{args: args{"version": version}, because: "version"}}
		}},
}

// open reports that a finding leaves the question open, or is old.
func (j judged) open() bool { return j.stale || j.idle() || j.reading == Unclear }

func (s *situation) hasOpen() bool {
	return len(s.judged) == 0 || slices.ContainsFunc(s.judged, judged.open)
}

// byVariation reports that a ratio was held against what susceptible mites vary by.
func (j judged) byVariation() bool {
	return j.Variation.Fold > 0 && (j.RR50.limited() || j.RR90.limited())
}

// mostBases is the number of rule sets that the small print names.
const mostBases = 3

// bases are the rule sets that a finding with a reading rests on.
func (j judged) bases() []bioassay.Basis {
	if j.idle() {
		return nil
	}
	var list []bioassay.Basis
	if j.byVariation() && !j.Variation.Own {
		list = append(list, j.Variation.Basis)
	}
	if j.Single.known() {
		list = append(list, j.Single.Basis)
	}
	if len(j.Bands.List) > 0 {
		list = append(list, j.Bands.Basis)
	}
	return slices.DeleteFunc(list, func(b bioassay.Basis) bool { return b.Name == "" })
}

// days are the first and the last known day of the tests, zero without any.
func (s *situation) days() (first, last bioassay.Date) {
	for _, j := range s.judged {
		day := j.TestedOn
		if day.IsZero() {
			continue
		}
		if first.IsZero() || day.Compare(first) < 0 {
			first = day
		}
		if day.Compare(last) > 0 {
			last = day
		}
	}
	return first, last
}
