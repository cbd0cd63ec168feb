package advice

import (
	"cmp"
	"fmt"

	"vialwise/bioassay"
)

var foundRules = []Rule{
	{ID: "found-none", Section: SectionFound, Source: common,
		When: "there is no finding", find: func(s *situation) []match {
			if len(s.judged) > 0 {
				return nil
			}
			return []match{{because: "no finding"}}
		}},
	{ID: "found-resistant", Section: SectionFound, Args: []string{"list"}, Source: "Robertson & Preisler 1992 (limits of the ratio), beside the baseline's predictive limits or a named rule set",
		When: "the lower limit of the ratio lies above what susceptible mites vary by and the ratio is not likelier in the lowest band, or that of the survival at one concentration above the resistant class, and nothing contradicts it",
		find: byReading("", Resistant)},
	{ID: "found-some", Section: SectionFound, Args: []string{"list"}, Source: "mixture model, one-sided test at 5 % (boundary: half chi-square)",
		When: "the resistant fraction excludes 0, or RR90 or the single concentration shows resistance that RR50 does not",
		find: bySome("", false)},
	{ID: "found-slight", Section: SectionFound, Args: []string{"list"}, Source: "Robertson & Preisler 1992 (limits of the ratio), beside the baseline's predictive limits and a named rule set",
		When: "the lower limit of the ratio lies above what susceptible mites vary by, in the lowest band: the whole is shifted, no part is told",
		find: bySome("", true)},
	{ID: "found-all", Section: SectionFound, Args: []string{"n"}, Source: common,
		When: "at least two acaricides have a usable result, and all are read as resistant or resistant in part", find: allFail},
	{ID: "found-susceptible", Section: SectionFound, Args: []string{"list"}, Source: "the upper limit is compared as in a test of equivalence (common practice)",
		When: "the whole range lies within what susceptible mites vary by, and not above twofold",
		find: byReading("", Susceptible, Raised)},
	{ID: "found-raised", Section: SectionFound, Spare: 4, Args: []string{"list"}, Source: common,
		When: "as before, but the range of RR50 excludes 1", find: byReading("", Raised)},
	{ID: "found-unclear", Section: SectionFound, Args: []string{"list"}, Source: common,
		When: "the range holds both, nothing can be judged by, or two parts of the finding disagree",
		find: byReading("", Unclear)},
	{ID: "found-discarded", Section: SectionFound, Args: []string{"list", "reason"}, Source: common,
		When: "the quality rules discard the assay", find: discarded},
	{ID: "found-foreign", Section: SectionFound, Args: []string{"list"}, Source: "Brazilian larval-test comparison (abstract): one susceptible tick LC50 of amitraz was 2.9, 27.3 and 52.7 ug/mL by three methods",
		When: "the protocol is not that of the programme, or not that of the baseline",
		find: byReading("", Foreign)},
	{ID: "found-stale", Section: SectionFound, Args: []string{"list"}, Source: common,
		When: "the test is older than the programme's limit, or its day is not known",
		find: func(s *situation) []match {
			return one(s, s.where(func(j judged) bool { return j.stale && j.reading != Discarded }), "age of the test")
		}},
	{ID: "found-rising", Section: SectionFound, Spare: 5, Args: []string{"list"}, Source: common,
		When: "the trend of the ratio rises", find: byTrend(TrendRising)},
	{ID: "found-falling", Section: SectionFound, Spare: 7, Args: []string{"list"}, Source: common,
		When: "the trend of the ratio falls", find: byTrend(TrendFalling)},
	{ID: "field-brood", Section: SectionFound, Args: []string{"list"}, Source: "Gregorc & Planinc 2001, Apidologie 32:333-340",
		When: "efficacy in the hives was below what is expected, there was brood, and the mites still die of the active in the test",
		find: weakField(func(t Treatment, dies bool) bool { return dies && t.Brood == bioassay.Yes })},
	{ID: "field-open", Section: SectionFound, Spare: 1, Args: []string{"list"}, Source: "COLOSS BEEBOOK, varroa chapter, 4.5.4, citing EMA (expected efficacy)",
		When: "as before, without brood or with brood not recorded",
		find: weakField(func(t Treatment, dies bool) bool { return dies && t.Brood != bioassay.Yes })},
	{ID: "field-weak", Section: SectionFound, Spare: 2, Args: []string{"list"}, Source: "COLOSS BEEBOOK, varroa chapter, 4.5.4, citing EMA (expected efficacy)",
		When: "efficacy in the hives was below what is expected, and no test shows that the mites still die of the active",
		find: weakField(func(_ Treatment, dies bool) bool { return !dies })},
}

// byReading is one statement about all acaricides with one of the readings.
func byReading(because string, list ...Reading) func(*situation) []match {
	return func(s *situation) []match { return one(s, s.reading(list...), because) }
}

// bySome is about acaricides read as resistant in part: those of which the whole is
// shifted a little, or those with a part that resists.
func bySome(because string, shifted bool) func(*situation) []match {
	return func(s *situation) []match {
		return one(s, s.where(func(j judged) bool { return j.reading == Some && j.shifted() == shifted }), because)
	}
}

func byTrend(trend Trend) func(*situation) []match {
	return func(s *situation) []match {
		names := s.where(func(j judged) bool { return j.Trend == trend && !j.idle() })
		return one(s, names, "trend "+trend.String())
	}
}

// idle reports that the finding says nothing about the mites.
func (j judged) idle() bool { return j.reading == Discarded || j.reading == Foreign }

func allFail(s *situation) []match {
	usable := s.where(func(j judged) bool { return !j.idle() })
	failing := s.reading(Resistant, Some)
	if len(failing) < 2 || len(failing) != len(usable) {
		return nil
	}
	return []match{{count: len(failing), args: args{"n": number(len(failing))}, about: s.about(failing),
		because: fmt.Sprintf("%d of %d usable results", len(failing), len(usable))}}
}

// reasons are the messages that say why a test failed.
var reasons = map[bioassay.WarningCode]message{
	bioassay.ControlsFailed:  "reason-controls",
	bioassay.CountedTwice:    "reason-counts",
	bioassay.ImpossibleCount: "reason-counts",
	bioassay.DosesReversed:   "reason-order",
	bioassay.NoTreated:       "reason-none",
}

// discarded makes one statement for each reason.
func discarded(s *situation) []match {
	names := map[message][]string{}
	for _, j := range s.judged {
		if j.reading == Discarded {
			reason := cmp.Or(reasons[j.Quality.Reason], "reason-other")
			names[reason] = append(names[reason], j.common)
		}
	}
	var out []match
	for _, reason := range []message{"reason-controls", "reason-counts", "reason-order", "reason-none", "reason-other"} {
		for _, m := range one(s, names[reason], "quality rules") {
			m.args = args{"reason": reason}
			out = append(out, m)
		}
	}
	return out
}

// weakField is one statement about the treatments that worked less well than
// they should.
func weakField(picks func(t Treatment, dies bool) bool) func(*situation) []match {
	return func(s *situation) []match {
		var names []string
		for _, t := range s.weakInHives() {
			j, ok := s.of(Common(t.Acaricide))
			if picks(t, ok && j.reading.dies()) {
				names = append(names, Common(t.Acaricide))
			}
		}
		names = distinct(names)
		return one(s, names, "efficacy in the hives")
	}
}
