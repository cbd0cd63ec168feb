package advice

import (
	"fmt"
	"slices"
	"strings"
)

// Note is one page for one apiary, as statements.
type Note struct {
	Language string
	Title    string
	Subtitle string // apiary and day
	Sections []Section
	Pictures []Picture // at most mostPictures, the worst first

	picture PagePicture // its words, without rows
	mark    string      // of invented data

	Options []Option    // actives that the note names as a change, conditional ones last
	Barred  []Barred    // actives of the list that it does not name
	LeftOut []Statement // for want of room

	Read []Outcome
	Set  []Outcome // findings that a better one on the same acaricide replaces
}

// Outcome is how a finding was read.
type Outcome struct {
	Finding   int // position in the list as given
	Acaricide string
	Reading   Reading
	Stale     bool
	Because   string
}

// Section is a part of the note. A section without statements is left out.
type Section struct {
	ID         SectionID
	Heading    string
	Statements []Statement
}

// Statement is one or a few sentences with the rule that made them.
type Statement struct {
	Rule    string // see Rules
	Text    string
	About   []int // positions of the findings behind it
	because string
	short   string // for a full page; blank where there is none
}

// Write makes the note of one apiary from the findings on its mites. It fails
// on figures that cannot be, on a note without a day, and on a language that
// has no catalogue.
func Write(findings []Finding, c Context) (Note, error) {
	if err := c.Check(); err != nil {
		return Note{}, err
	}
	for _, f := range findings {
		if err := f.Check(); err != nil {
			return Note{}, err
		}
	}
	words := c.Catalogue
	if words == nil {
		var err error
		if words, err = CatalogueOf(c.Language); err != nil {
			return Note{}, err
		}
	}
	s := newSituation(findings, c)
	n := Note{
		Language: words.Language,
		Title:    words.text("title", 0, nil),
		Subtitle: subtitle(words, c),
		Pictures: pictures(s, words),
		picture: PagePicture{
			Heading: words.text("picture", 0, nil), Live: words.text("picture-live", 0, nil), LikelyLive: words.text("picture-likely-live", 0, nil),
			LikelyDie: words.text("picture-likely-die", 0, nil), Die: words.text("picture-die", 0, nil),
		},
		Options: slices.Concat(s.options, s.checks),
		Barred:  s.barred,
		Read:    outcomes(s.judged),
		Set:     outcomes(s.older),
	}
	if c.Invented {
		n.mark = words.text("mark-invented", 0, nil)
	}
	for _, id := range SectionIDs() {
		if statements := state(s, words, id); len(statements) > 0 {
			n.Sections = append(n.Sections, Section{id, words.heading(id), statements})
		}
	}
	n.fit()
	return n, nil
}

func subtitle(words *Catalogue, c Context) string {
	apiary := shown(c.Apiary, mostName)
	if apiary == "" {
		return words.day(c.Date)
	}
	return words.text("subtitle", 0, args{"apiary": apiary, "date": c.Date})
}

// state applies the rules of a section.
func state(s *situation, words *Catalogue, id SectionID) []Statement {
	var out []Statement
	for _, r := range allRules() {
		if r.Section != id {
			continue
		}
		for _, m := range r.find(s) {
			filled := args{}
			for k, v := range m.args {
				filled[k] = v
			}
			if len(m.names) > 0 {
				filled["list"], filled["nor"] = m.names, noneOf(m.names)
			}
			count := m.count
			if count == 0 {
				count = len(m.names)
			}
			id := message(r.ID)
			out = append(out, Statement{Rule: r.ID, Text: words.text(id, count, filled), About: m.about, because: shown(m.because, mostBecause), short: words.short(id, filled)})
		}
	}
	return out
}

func outcomes(list []judged) []Outcome {
	var out []Outcome
	for _, j := range list {
		out = append(out, Outcome{j.index, shown(j.common, mostName), j.reading, j.stale, shown(j.because, mostBecause)})
	}
	return out
}

// Section returns the section of an ID, with no statements where the note has
// none.
func (n Note) Section(id SectionID) Section {
	i := slices.IndexFunc(n.Sections, func(s Section) bool { return s.ID == id })
	if i < 0 {
		return Section{ID: id}
	}
	return n.Sections[i]
}

// Holds reports whether a rule made a statement.
func (n Note) Holds(rule string) bool {
	for _, s := range n.Sections {
		if slices.ContainsFunc(s.Statements, func(t Statement) bool { return t.Rule == rule }) {
			return true
		}
	}
	return false
}

// Reason says where a statement comes from.
type Reason struct {
	Statement string
	Rule      string
	When      string // the condition of the rule in words
	Source    string // of the rule
	Because   string // what met the condition
	Findings  []Outcome
}

// Explain returns the reason for every statement, in the order of the page.
func (n Note) Explain() []Reason {
	var out []Reason
	for _, section := range n.Sections {
		for _, t := range section.Statements {
			r := ruleOf(t.Rule)
			reason := Reason{Statement: t.Text, Rule: t.Rule, When: r.When, Source: r.Source, Because: t.because}
			for _, o := range n.Read {
				if slices.Contains(t.About, o.Finding) {
					reason.Findings = append(reason.Findings, o)
				}
			}
			out = append(out, reason)
		}
	}
	return out
}

func ruleOf(id string) Rule {
	all := allRules()
	return all[slices.IndexFunc(all, func(r Rule) bool { return r.ID == id })]
}

// String writes the reason on a few lines, for the programme and not for the
// beekeeper.
func (r Reason) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s\n  rule %s: %s\n  source: %s\n", r.Statement, r.Rule, r.When, r.Source)
	if r.Because != "" {
		fmt.Fprintf(&b, "  because: %s\n", r.Because)
	}
	for _, o := range r.Findings {
		fmt.Fprintf(&b, "  finding %d, %s, is %v: %s\n", o.Finding+1, o.Acaricide, o.Reading, o.Because)
	}
	return b.String()
}
