package advice

import (
	"fmt"
	"slices"
	"strings"
)

var doRules = []Rule{
	{ID: "do-change", Section: SectionDo, Source: "IRAC (change of mode of action), from memory",
		When: "some active fails or was used last, and another can be named", find: func(s *situation) []match {
			if len(s.options)+len(s.checks) == 0 || len(s.fails)+len(s.last) == 0 {
				return nil
			}
			return []match{{about: s.about(s.fails), because: s.whyBarred()}}
		}},
	{ID: "do-tested", Section: SectionDo, Args: []string{"options"}, Source: "IRAC (change of mode of action), from memory",
		When: "an active is on the programme's list, of another group than every failing one and the last one, excluded by no condition, and the mites still die of it",
		find: optionsOf(ShownToWork)},
	{ID: "do-tested-old", Section: SectionDo, Args: []string{"options"}, Source: "IRAC (change of mode of action), from memory",
		When: "as before, but the test is old", find: optionsOf(ShownLongAgo)},
	{ID: "do-untested", Section: SectionDo, Args: []string{"options"}, Source: "IRAC (change of mode of action), from memory",
		When: "as before, but there is no usable test", find: optionsOf(Untested)},
	{ID: "do-check", Section: SectionDo, Args: []string{"options"}, Source: "the programme's list",
		When: "as before, but the list sets a condition that nobody has answered",
		find: func(s *situation) []match { return offer(s, s.checks) }},
	{ID: "do-no-list", Section: SectionDo, Source: common,
		When: "the programme gave no list of authorised actives", find: func(s *situation) []match {
			if len(s.Authorised.Actives) > 0 {
				return nil
			}
			return []match{{because: "empty list"}}
		}},
	{ID: "do-no-group", Section: SectionDo, Args: []string{"list"}, Source: common,
		When: "nothing can be named because the group of a failing or the last active is not known", find: unknownGroup},
	{ID: "do-no-option", Section: SectionDo, Source: common,
		When: "there is a list, and nothing on it can be named", find: noOption},
	{ID: "do-send", Section: SectionDo, Args: []string{"n", "list"}, Source: "log limits shrink with the square root of n, see need",
		When: "a finding is unclear or of another protocol, or its test failed", find: send(false)},
	{ID: "do-send-least", Section: SectionDo, Args: []string{"n", "list"}, Source: "as before",
		When: "as before, and more would be wanted than can be collected at once", find: send(true)},
	{ID: "do-field", Section: SectionDo, Source: common,
		When: "a treatment worked less well than it should while the mites still die of it", find: func(s *situation) []match {
			var names []string
			for _, t := range s.weakInHives() {
				if j, ok := s.of(Common(t.Acaricide)); ok && j.reading.dies() {
					names = append(names, j.common)
				}
			}
			if len(names) == 0 {
				return nil
			}
			return []match{{about: s.about(names), because: "efficacy in the hives"}}
		}},
	{ID: "do-wash", Section: SectionDo, Source: common, When: "always", find: always},
}

// optionsOf is one statement about the options of one standing.
func optionsOf(standing Standing) func(*situation) []match {
	return func(s *situation) []match {
		var list []Option
		for _, o := range s.options {
			if o.Standing == standing {
				list = append(list, o)
			}
		}
		return offer(s, list)
	}
}

func offer(s *situation, list []Option) []match {
	if len(list) == 0 {
		return nil
	}
	var names []string
	for _, o := range list {
		names = append(names, o.Acaricide)
	}
	return []match{{count: len(list), args: args{"options": choices(list)}, about: s.about(names),
		because: "on the list of " + s.Authorised.On.String() + "; " + s.whyBarred()}}
}

// whyBarred lists what was not named and why.
func (s *situation) whyBarred() string {
	if len(s.barred) == 0 {
		return "nothing on the list is barred"
	}
	var list []string
	for _, b := range s.barred {
		list = append(list, fmt.Sprintf("not %s: %s", b.Acaricide, b.Why))
	}
	return strings.Join(list, "; ")
}

func (s *situation) nothingToName() bool {
	return len(s.Authorised.Actives) > 0 && len(s.options)+len(s.checks) == 0
}

// ungrouped are the failing and the last actives whose group is not known.
func (s *situation) ungrouped() []string {
	var names []string
	for _, name := range slices.Concat(s.fails, s.last) {
		if _, known := GroupOf(name); !known {
			names = append(names, name)
		}
	}
	return distinct(names)
}

func unknownGroup(s *situation) []match {
	if !s.nothingToName() {
		return nil
	}
	return one(s, s.ungrouped(), s.whyBarred())
}

func noOption(s *situation) []match {
	if !s.nothingToName() || len(s.ungrouped()) > 0 {
		return nil
	}
	return []match{{because: s.whyBarred()}}
}

// send asks for mites: one number for all acaricides that need them.
func send(least bool) func(*situation) []match {
	return func(s *situation) []match {
		total, any := 0, false
		var names, why []string
		for _, j := range s.judged {
			if !slices.Contains([]Reading{Unclear, Discarded, Foreign}, j.reading) {
				continue
			}
			more, capped := j.need(j.doubt)
			total, any = total+more, any || capped
			names = append(names, j.common)
			why = append(why, fmt.Sprintf("%s %d", shown(j.common, mostName), more))
		}
		if len(names) == 0 || any != least {
			return nil
		}
		return []match{{names: names, count: total, args: args{"n": number(total)}, about: s.about(names), because: "mites: " + strings.Join(why, ", ")}}
	}
}
