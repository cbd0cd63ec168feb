package advice

import (
	"fmt"
	"math"

	"vialwise/bioassay"
)

// Reading is what a finding says about the mites, in one word.
type Reading uint8

// The readings.
const (
	Unclear     Reading = iota // it may be either
	Susceptible                // the mites still die
	Raised                     // susceptible, but not quite like the baseline
	Some                       // a resistant part
	Resistant
	Discarded // the test failed
	Foreign   // another protocol, so nothing can be compared
)

var readingNames = [...]string{
	Unclear: "unclear", Susceptible: "susceptible", Raised: "raised, within the variation of susceptible mites",
	Some: "resistant in part", Resistant: "resistant", Discarded: "discarded", Foreign: "of another protocol",
}

// String returns the reading in words.
func (r Reading) String() string { return readingNames[r] }

// failing reports that the acaricide is no longer to be relied on.
func (r Reading) failing() bool { return r == Resistant || r == Some }

// dies reports that the mites are shown to die of the acaricide.
func (r Reading) dies() bool { return r == Susceptible || r == Raised }

// doubt is why a reading is unclear.
type doubt uint8

const (
	noDoubt  doubt = iota
	tooWide        // the limits hold both
	nothing        // there is nothing to judge by
	disagree       // two parts of the finding contradict each other
)

// judged is a finding with its reading and the words that explain it.
type judged struct {
	Finding
	index   int // in the list as given
	common  string
	reading Reading
	doubt   doubt
	stale   bool
	outrun  bool // a newer test of the acaricide told nothing
	because string
}

// judge reads one finding. Quality comes first, then the protocol, then the
// figures.
func judge(index int, f Finding, c Context) judged {
	j := judged{Finding: f, index: index, common: Common(f.Acaricide)}
	j.stale = c.isStale(f.TestedOn)
	switch why := f.foreign(c.Protocol); {
	case f.Quality.Discarded:
		j.reading, j.because = Discarded, "the assay was discarded: "+string(f.Quality.Reason)
	case why != "":
		j.reading, j.because = Foreign, why
	default:
		j.reading, j.doubt, j.because = f.weigh()
	}
	return j
}

// foreign says why a finding cannot be compared, or nothing.
func (f Finding) foreign(programme string) string {
	switch {
	case programme != "" && f.Protocol != programme:
		return fmt.Sprintf("protocol %q is not that of the programme, %q", f.Protocol, programme)
	case f.Reference != "" && f.Protocol != f.Reference:
		return fmt.Sprintf("protocol %q is not that of the baseline, %q", f.Protocol, f.Reference)
	}
	return ""
}

// isStale reports that a test is too old to speak for today. An unknown day
// counts as old.
func (c Context) isStale(day bioassay.Date) bool {
	months := c.StaleMonths
	if months == 0 {
		months = defaultMonths
	}
	return day.IsZero() || addMonths(day, months).Compare(c.Date) < 0
}

// The figures that make two parts of a finding disagree.
const (
	leastSusceptibleChance = 0.5 // of the lowest band, beside limits that lie within the variation; below it the ratio is of another band
	fewSurvivors           = 5   // of 100: an effect of 95 % or more, see groups.toml
	manySurvivors          = 50  // of 100
)

// weigh reads the figures of a finding. Limits decide, never an estimate: what
// the limits do not exclude stays possible.
func (f Finding) weigh() (Reading, doubt, string) {
	r, because := f.read()
	if r == Unclear {
		if because == "" {
			return Unclear, nothing, "no ratio with limits and variation, no resistant fraction, no single concentration"
		}
		return Unclear, tooWide, because
	}
	if why := f.contradiction(r); why != "" {
		return Unclear, disagree, because + ", but " + why
	}
	return r, noDoubt, because
}

// fold90 is the RR90 above which mites are resistant in part, 0 for unknown.
func (f Finding) fold90() float64 {
	if f.Variation.Fold == 0 {
		return 0
	}
	return max(f.Fold90, f.Variation.Fold)
}

// read is weigh without a look at contradictions.
func (f Finding) read() (Reading, string) {
	fold, s := f.Variation.Fold, f.Single
	ratio := fmt.Sprintf("RR50 %s against a variation of %.3g", f.RR50.words(), fold)
	one := fmt.Sprintf("survival %s at one concentration, %.3g susceptible, %.3g resistant", s.Survival.words(), s.SusceptibleUpTo, s.ResistantAbove)
	judgedByRatio := fold > 0 && f.RR50.limited()
	switch {
	case f.shifted():
		return Some, ratio + ", in the lowest band"
	case judgedByRatio && f.RR50.above(fold):
		return Resistant, ratio
	case f.Minority.shown():
		return Some, fmt.Sprintf("resistant fraction %s, P %.2g", f.Minority.Fraction.words(), f.Minority.P)
	case fold > 0 && f.RR90.above(f.fold90()):
		return Some, fmt.Sprintf("RR90 %s against a variation of %.3g", f.RR90.words(), f.fold90())
	case judgedByRatio && s.known() && s.Survival.above(s.ResistantAbove):
		return Some, ratio + ", " + one
	case judgedByRatio && f.RR50.within(f.equal()) && f.RR50.above(1):
		return Raised, ratio
	case judgedByRatio && f.RR50.within(f.equal()):
		return Susceptible, ratio
	case judgedByRatio:
		return Unclear, ratio
	case s.known() && s.Survival.above(s.ResistantAbove):
		return Resistant, one
	case s.known() && s.Survival.within(s.SusceptibleUpTo):
		return Susceptible, one
	case s.known():
		return Unclear, one
	case fold > 0 && f.RR90.within(f.equal()):
		return Susceptible, fmt.Sprintf("RR90 %s against a variation of %.3g", f.RR90.words(), fold)
	case fold > 0 && f.RR90.limited():
		return Unclear, fmt.Sprintf("RR90 %s against a variation of %.3g", f.RR90.words(), fold)
	}
	return Unclear, ""
}

// equalFold is the ratio up to which mites are called susceptible, whatever the
// baseline lets expect: a baseline of which little is known would otherwise make
// everything susceptible (common practice: a factor of two is what repeated tests
// of one population differ by).
const equalFold = 2.0

// equal is the largest ratio of mites that are called susceptible.
func (f Finding) equal() float64 { return min(f.Variation.Fold, equalFold) }

// slight says that a ratio beyond what susceptible mites vary by lies in the lowest
// band more likely than not. Bands tell the degree: most of such mites still die.
func (f Finding) slight() bool {
	chance, known := f.Bands.susceptible()
	return known && chance > leastSusceptibleChance
}

// shifted says that the ratio lies beyond what susceptible mites vary by, and slightly.
func (f Finding) shifted() bool {
	return f.Variation.Fold > 0 && f.RR50.above(f.Variation.Fold) && f.slight()
}

// contradiction says which part of the finding speaks against a reading.
func (f Finding) contradiction(r Reading) string {
	s := f.Single
	chance, known := f.Bands.susceptible()
	switch {
	case r.dies() && known && chance < leastSusceptibleChance:
		return fmt.Sprintf("the bands give susceptible mites a chance of %.2g", chance)
	case r == Resistant && s.known() && s.Survival.within(s.SusceptibleUpTo):
		return "the single concentration says susceptible"
	case r == Some && s.known() && f.Minority.Fraction.above(s.SusceptibleUpTo) && s.Survival.within(s.SusceptibleUpTo):
		return "the single concentration shows fewer survivors than the resistant fraction"
	case r == Resistant && f.Survivors.within(fewSurvivors),
		r.dies() && f.Survivors.above(manySurvivors):
		return fmt.Sprintf("of 100 mites %s survive", f.Survivors.words())
	}
	return ""
}

// words writes a range for the explanation.
func (r Range) words() string {
	if !r.Known {
		return "unknown"
	}
	if math.IsNaN(r.Estimate) {
		return fmt.Sprintf("(%.3g to %.3g)", r.Lower, r.Upper)
	}
	return fmt.Sprintf("%.3g (%.3g to %.3g)", r.Estimate, r.Lower, r.Upper)
}
