package bioassay

import (
	"fmt"
	"strings"
)

// Basis says where a rule comes from.
type Basis struct {
	Name     string // of the rule set
	Source   string // "common practice" where there is none
	Borrowed string // the animals it was made for, such as "mosquitoes"; blank when made for mites
}

// String returns the name and, in brackets, the source and the animals that the
// rule was borrowed from.
func (b Basis) String() string {
	s := b.Source
	if b.Borrowed != "" {
		s += "; borrowed from " + b.Borrowed
	}
	return fmt.Sprintf("%s (%s)", b.Name, s)
}

// RuleSet is a set of rules under one name, from one source. What it leaves
// out, it does not judge.
type RuleSet struct {
	Basis
	Title    string // what it rules on, in words
	Controls *ControlLimits
	Classes  *MortalityClasses
	Ratios   *RatioBands
	Design   Design
}

// ControlLimits are the bands of control mortality, in percent of the mites in
// untreated containers: up to CorrectAbove nothing is done, up to DiscardAbove
// natural mortality must be part of the model, and above that the assay is
// discarded. A value on a limit belongs to the milder band.
type ControlLimits struct {
	Basis
	CorrectAbove, DiscardAbove float64
}

// ControlBand is what a rule set does with a control mortality.
type ControlBand uint8

// The bands of control mortality.
const (
	ControlsFine ControlBand = iota
	ControlsCorrect
	ControlsDiscard
)

var controlNames = [...]string{ControlsFine: "none", ControlsCorrect: "correct", ControlsDiscard: "discard"}

// String returns what is done: "none", "correct" or "discard".
func (b ControlBand) String() string { return controlNames[b] }

// Band returns the band of a control mortality in percent.
func (c ControlLimits) Band(percent float64) ControlBand {
	switch {
	case percent > c.DiscardAbove:
		return ControlsDiscard
	case percent > c.CorrectAbove:
		return ControlsCorrect
	}
	return ControlsFine
}

// MortalityClasses class the mortality at one concentration, in percent. They
// hold at the concentration they were made for and at no other.
type MortalityClasses struct {
	Basis
	At    string // that concentration, in words
	Bands RuleBands
}

// RatioBands class a resistance ratio.
type RatioBands struct {
	Basis
	Percent float64 // the LCp of the ratio, such as 50
	Bands   RuleBands
}

// RuleBand is a class with its lower bound. The lowest class of all is bounded
// by 0.
type RuleBand struct {
	Name  string
	From  float64
	Above bool // From itself belongs to the class below
}

// RuleBands are classes that cover everything from 0 on, by falling bound.
type RuleBands []RuleBand

// Of returns the class of a value.
func (b RuleBands) Of(value float64) RuleBand {
	for _, band := range b {
		if value > band.From || value == band.From && !band.Above {
			return band
		}
	}
	return b[len(b)-1]
}

// Bound is a limit to a design with the rule set that sets it.
type Bound struct {
	Value float64
	Set   bool // false when no rule set says anything
	Basis
}

// Design holds the limits within which an assay is well laid out.
type Design struct {
	MitesPerContainer     Bound // least
	MostPerContainer      Bound
	MitesPerConcentration Bound // least, over the containers of a concentration
	MitesInAll            Bound // least, over the treated containers
	ControlMites          Bound // least, over the controls
	Concentrations        Bound // least number of them
	StepFactor            Bound // most, from one concentration to the next
	PartialKills          Bound // least number of concentrations that kill some but not all
	ContainerSpread       Bound // most, the fullest container over the emptiest
	MissingPercent        Bound // most, of the mites put in
	DaysToTest            Bound // most, from collecting to testing
}

// Bounds are the bounds of a design by the names that programme files give
// them.
func (d *Design) Bounds() []NamedBound {
	return []NamedBound{
		{"mites_per_container", &d.MitesPerContainer}, {"most_per_container", &d.MostPerContainer},
		{"mites_per_concentration", &d.MitesPerConcentration}, {"mites_in_all", &d.MitesInAll},
		{"control_mites", &d.ControlMites}, {"concentrations", &d.Concentrations},
		{"step_factor", &d.StepFactor}, {"partial_kills", &d.PartialKills},
		{"container_spread", &d.ContainerSpread}, {"missing_percent", &d.MissingPercent},
		{"days_to_test", &d.DaysToTest},
	}
}

// NamedBound is a bound with its name.
type NamedBound struct {
	Name  string
	Bound *Bound
}

// Rules joins rule sets into one. Two that rule on the same thing are an error,
// as nobody could say which holds.
func (p *Programme) Rules(names []string) (RuleSet, error) {
	var all RuleSet
	all.Name = strings.Join(names, " + ")
	for _, name := range names {
		r, ok := p.RuleSet(name)
		if !ok {
			return RuleSet{}, fmt.Errorf("there is no rule set %q", name)
		}
		if err := all.add(r); err != nil {
			return RuleSet{}, err
		}
	}
	return all, nil
}

func (r *RuleSet) add(other RuleSet) error {
	clash := func(what string, a, b Basis) error {
		return fmt.Errorf("rule sets %q and %q both set %s", a.Name, b.Name, what)
	}
	switch {
	case r.Controls != nil && other.Controls != nil:
		return clash("control limits", r.Controls.Basis, other.Basis)
	case r.Classes != nil && other.Classes != nil:
		return clash("classes of mortality", r.Classes.Basis, other.Basis)
	case r.Ratios != nil && other.Ratios != nil:
		return clash("bands of the resistance ratio", r.Ratios.Basis, other.Basis)
	}
	if other.Controls != nil {
		r.Controls = other.Controls
	}
	if other.Classes != nil {
		r.Classes = other.Classes
	}
	if other.Ratios != nil {
		r.Ratios = other.Ratios
	}
	mine, theirs := r.Design.Bounds(), other.Design.Bounds()
	for i, b := range theirs {
		if !b.Bound.Set {
			continue
		}
		if mine[i].Bound.Set {
			return clash(b.Name, mine[i].Bound.Basis, other.Basis)
		}
		*mine[i].Bound = *b.Bound
	}
	return nil
}
