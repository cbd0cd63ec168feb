package advice

import (
	"slices"

	"vialwise/bioassay"
)

// SingleOf takes over a single-concentration result with the classes that
// judged it. The first class is the susceptible one; resistant names those that
// mean resistance, and what lies between decides nothing. It returns the zero
// Single where the result has no class, as where the controls failed.
func SingleOf(s *bioassay.Single, classes bioassay.MortalityClasses, resistant ...string) Single {
	if s == nil || s.Class == nil {
		return Single{}
	}
	mortality := s.Mortality
	if s.Class.Corrected {
		mortality = s.Corrected
	}
	out := Single{
		Basis: classes.Basis, Exposed: s.Exposed, Survivors: s.Survivors,
		Survival:        KnownRange(1-mortality.Estimate, 1-mortality.Upper, 1-mortality.Lower),
		SusceptibleUpTo: 1 - classes.Bands[0].From/100,
		ResistantAbove:  1,
	}
	for i := 1; i < len(classes.Bands); i++ {
		if slices.Contains(resistant, classes.Bands[i].Name) {
			out.ResistantAbove = 1 - classes.Bands[i-1].From/100
			break
		}
	}
	return out
}
