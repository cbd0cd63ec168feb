package advice

import (
	"slices"
	"sync"

	"vialwise/bioassay"
)

// SectionID names a part of the note.
type SectionID string

// The sections, in the order of the page.
const (
	SectionFound SectionID = "found"
	SectionSure  SectionID = "sure"
	SectionDo    SectionID = "do"
	SectionDont  SectionID = "dont"
	SectionCare  SectionID = "care"
	SectionNext  SectionID = "next"
	SectionAsk   SectionID = "ask"
	SectionPrint SectionID = "print"
)

// SectionIDs lists the sections in the order of the page.
func SectionIDs() []SectionID {
	return []SectionID{SectionFound, SectionSure, SectionDo, SectionDont, SectionCare, SectionNext, SectionAsk, SectionPrint}
}

// Rule says when a statement stands on a note.
type Rule struct {
	ID      string // also the name of its message in the catalogues
	Section SectionID
	When    string   // the condition in words
	Source  string   // "common practice" where there is none
	Args    []string // placeholders of the message
	Spare   int      // 0 stays on every page; the highest leaves a full page first

	find func(*situation) []match
}

// match is one statement that a rule makes.
type match struct {
	names   []string // actives for the placeholder list
	count   int      // that decides the plural; the number of names when 0
	args    args
	about   []int // findings as given
	because string
}

// args fill the placeholders of a message. A value is text, or something that
// a catalogue puts into words.
type args map[string]any

// Values that a catalogue puts into words.
type (
	monthOf  bioassay.Date // a month with its year
	message  string        // the text of another message
	choices  []Option      // actives with their groups and open conditions
	animals  string        // the animals that a rule was borrowed from
	source   string        // where rules or groups come from
	bases    []bioassay.Basis
	activeOf string   // one active
	noneOf   []string // actives, after a not
	number   int
)

// Rules returns the table of rules in the order of the page.
func Rules() []Rule { return slices.Clone(allRules()) }

var allRules = sync.OnceValue(func() []Rule {
	return slices.Concat(foundRules, sureRules, doRules, dontRules, careRules, nextRules, askRules, printRules)
})

const common = "common practice"

// one returns a single match, or none without names.
func one(s *situation, names []string, because string) []match {
	if len(names) == 0 {
		return nil
	}
	return []match{{names: names, about: s.about(names), because: because}}
}

// always is a statement that every note holds.
func always(*situation) []match { return []match{{because: "always"}} }

// about are the positions of the findings on actives.
func (s *situation) about(names []string) []int {
	var list []int
	for _, j := range s.judged {
		if slices.Contains(names, j.common) {
			list = append(list, j.index)
		}
	}
	return list
}
