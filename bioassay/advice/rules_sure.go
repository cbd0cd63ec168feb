package advice

import (
	"fmt"
	"math"
	"slices"
)

// The chances that a note writes out; beyond them it would say more than a
// range that holds both.
const (
	leastChance = 0.05
	mostChance  = 0.95
)

var sureRules = []Rule{
	{ID: "sure-clear", Section: SectionSure, Args: []string{"list"}, Source: "limits at the level of the analysis, 95 % unless set",
		When: "the reading holds at both limits, and no newer test was set aside", find: func(s *situation) []match {
			return one(s, s.where(func(j judged) bool {
				return !j.outrun && slices.Contains([]Reading{Resistant, Susceptible, Raised}, j.reading)
			}), "both limits agree")
		}},
	{ID: "sure-some", Section: SectionSure, Args: []string{"list"}, Source: "mixture model",
		When: "a part of the mites is read as resistant", find: bySome("the limits exclude 0", false)},
	{ID: "sure-slight", Section: SectionSure, Args: []string{"list"}, Source: "limits at the level of the analysis, 95 % unless set",
		When: "the whole is shifted beyond what susceptible mites vary by, in the lowest band", find: bySome("the lower limit", true)},
	{ID: "sure-wide", Section: SectionSure, Args: []string{"list"}, Source: common,
		When: "a finding is unclear because its range holds both", find: byDoubt(tooWide)},
	{ID: "sure-nothing", Section: SectionSure, Args: []string{"list"}, Source: common,
		When: "a finding is unclear because nothing can be judged by", find: byDoubt(nothing)},
	{ID: "sure-disagree", Section: SectionSure, Args: []string{"list"}, Source: common,
		When: "a finding is unclear because two parts of it disagree", find: byDoubt(disagree)},
	{ID: "sure-chance", Section: SectionSure, Spare: 6, Args: []string{"active", "n"}, Source: "posterior probability of the bands of the ratio",
		When: "the range holds both, and the bands are known; only the acaricide with the highest chance of resistance", find: chance},
	{ID: "sure-seasons", Section: SectionSure, Spare: 8, Source: "with fewer than 4 seasons the limits of a trend are too wide to read",
		When: "some trend is asked for and has too few seasons", find: func(s *situation) []match {
			names := s.where(func(j judged) bool { return j.Trend == TrendTooFewSeasons && !j.idle() })
			if len(names) == 0 {
				return nil
			}
			return []match{{about: s.about(names), because: "trend " + TrendTooFewSeasons.String()}}
		}},
	{ID: "sure-borrowed", Section: SectionSure, Args: []string{"animals"}, Source: "the rule set of the finding",
		When: "a reading rests on a rule set made for other animals", find: borrowed},
}

func byDoubt(d doubt) func(*situation) []match {
	return func(s *situation) []match {
		return one(s, s.where(func(j judged) bool { return j.reading == Unclear && j.doubt == d }), "")
	}
}

// chance is about the unclear acaricide that is most likely resisted.
func chance(s *situation) []match {
	highest, name := 0.0, ""
	for _, j := range s.judged {
		p, known := j.Bands.susceptible()
		if j.reading == Unclear && j.doubt == tooWide && known && 1-p >= leastChance && 1-p <= mostChance && 1-p > highest {
			highest, name = 1-p, j.common
		}
	}
	if name == "" {
		return nil
	}
	n := int(math.Round(100 * highest))
	return []match{{count: n, args: args{"active": activeOf(name), "n": number(n)}, about: s.about([]string{name}),
		because: fmt.Sprintf("the bands of susceptible mites have probability %.3g", 1-highest)}}
}

// borrowed is about the first rule set of a usable finding that was made for
// other animals.
func borrowed(s *situation) []match {
	for _, j := range s.judged {
		for _, b := range j.bases() {
			if b.Borrowed != "" {
				return []match{{args: args{"animals": animals(b.Borrowed)}, about: []int{j.index}, because: b.String()}}
			}
		}
	}
	return nil
}
