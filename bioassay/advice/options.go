package advice

import (
	"cmp"
	"slices"

	"vialwise/bioassay"
)

// Option is an active that a note names as a change.
type Option struct {
	Acaricide  string // common name
	Group      Group
	Standing   Standing
	Conditions []Condition // of the list, that nobody has answered
	Other      string      // a further condition in the words of the list
}

// Standing is what the tests say for an option.
type Standing uint8

// The standings, best first.
const (
	ShownToWork Standing = iota // the mites still die of it
	ShownLongAgo
	Untested
)

// Condition is a kind of condition that a list sets.
type Condition uint8

// The conditions.
const (
	WithoutSupers Condition = iota
	WithoutBrood
	RightTemperature
	OtherCondition
)

var conditionNames = [...]string{
	WithoutSupers: "supers", WithoutBrood: "brood", RightTemperature: "temperature", OtherCondition: "other",
}

// String returns the word that names the condition in catalogues.
func (c Condition) String() string { return conditionNames[c] }

// Barred is an active of the list that a note does not name as a change, and
// why.
type Barred struct {
	Acaricide string
	Why       string
}

// sortOptions divides the programme's list into what may be named, what may be
// named with a condition, and what is barred.
func (s *situation) sortOptions() {
	seen := map[string]bool{}
	for _, a := range s.Authorised.Actives {
		name := Common(a.Acaricide)
		if seen[name] {
			continue
		}
		seen[name] = true
		if why := cmp.Or(s.barredByGroup(name), s.barredByFinding(name)); why != "" {
			s.barred = append(s.barred, Barred{shown(name, mostName), why})
			continue
		}
		broken, open, other := s.conditions(name)
		if broken != "" {
			s.barred = append(s.barred, Barred{shown(name, mostName), broken})
			continue
		}
		group, _ := GroupOf(name)
		o := Option{Acaricide: name, Group: group, Standing: s.standing(name), Conditions: open, Other: other}
		if len(open) > 0 {
			s.checks = append(s.checks, o)
		} else {
			s.options = append(s.options, o)
		}
	}
	order := func(a, b Option) int {
		return cmp.Or(cmp.Compare(a.Standing, b.Standing), cmp.Compare(a.Acaricide, b.Acaricide))
	}
	slices.SortFunc(s.options, order)
	slices.SortFunc(s.checks, order)
	slices.SortFunc(s.barred, func(a, b Barred) int { return cmp.Compare(a.Acaricide, b.Acaricide) })
}

// barredByGroup says why an active is no change of group. Where the group of
// the active, of a failing one or of the last one is not known, nobody can say
// that it is one.
func (s *situation) barredByGroup(name string) string {
	if _, known := GroupOf(name); !known {
		return "its group is not known"
	}
	for _, bad := range s.fails {
		if _, known := GroupOf(bad); !known {
			return "the group of " + shown(bad, mostName) + ", which fails, is not known"
		}
		if Related(name, bad) {
			return "shares the group of " + shown(bad, mostName) + ", which fails"
		}
	}
	for _, last := range s.last {
		if _, known := GroupOf(last); !known {
			return "the group of " + shown(last, mostName) + ", used last, is not known"
		}
		if Related(name, last) {
			return "shares the group of " + shown(last, mostName) + ", used last"
		}
	}
	return ""
}

// barredByFinding says why the tests speak against naming an active, its own
// first, then those of its group while it has none that shows that mites die.
func (s *situation) barredByFinding(name string) string {
	j, tested := s.of(name)
	if tested && (j.reading == Unclear || j.reading == Foreign) {
		return "its test is " + j.reading.String()
	}
	if tested && j.reading.dies() {
		return ""
	}
	for _, other := range s.judged {
		if other.reading == Unclear && Related(name, other.common) {
			return "the test of " + shown(other.common, mostName) + ", of its group, is unclear"
		}
	}
	return ""
}

// conditions compares the conditions of the list with the context. An active
// that stands twice on the list must meet the conditions of both.
func (s *situation) conditions(name string) (broken string, open []Condition, other string) {
	for _, a := range s.Authorised.Actives {
		if Common(a.Acaricide) != name {
			continue
		}
		if a.NotWithSupers && s.Supers == bioassay.Yes {
			return "not with honey supers, by the list", nil, ""
		}
		if a.NeedsNoBrood && s.Brood == bioassay.Yes {
			return "not with brood, by the list", nil, ""
		}
		if a.Temperature.limited() && s.Temperature.limited() &&
			(s.Temperature.Lower < a.Temperature.Lower || s.Temperature.Upper > a.Temperature.Upper) {
			return "not at the expected temperatures, by the list", nil, ""
		}
		if a.NotWithSupers && s.Supers != bioassay.No {
			open = append(open, WithoutSupers)
		}
		if a.NeedsNoBrood && s.Brood != bioassay.No {
			open = append(open, WithoutBrood)
		}
		if a.Temperature.Known && !(a.Temperature.limited() && s.Temperature.limited()) {
			open = append(open, RightTemperature)
		}
		if text := shown(a.Other, mostRule); text != "" {
			open, other = append(open, OtherCondition), text
		}
	}
	slices.Sort(open)
	return "", slices.Compact(open), other
}

func (s *situation) standing(name string) Standing {
	j, tested := s.of(name)
	switch {
	case !tested || !j.reading.dies():
		return Untested
	case j.stale:
		return ShownLongAgo
	}
	return ShownToWork
}
