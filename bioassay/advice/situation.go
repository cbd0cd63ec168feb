package advice

import (
	"cmp"
	"math"
	"slices"

	"vialwise/bioassay"
)

// situation is everything the rules look at.
type situation struct {
	Context
	judged  []judged // one for each acaricide, by name
	older   []judged // findings that a better one of the same acaricide replaces
	fails   []string // see failing
	last    []string // see lastUsed
	options []Option // ready to be named
	checks  []Option // named with a condition that must be checked
	barred  []Barred
}

func newSituation(findings []Finding, c Context) *situation {
	s := &situation{Context: c}
	var all []judged
	for i, f := range findings {
		all = append(all, judge(i, f, c))
	}
	slices.SortStableFunc(all, func(a, b judged) int { return cmp.Or(cmp.Compare(a.common, b.common), a.before(b)) })
	for _, j := range all {
		if n := len(s.judged); n > 0 && s.judged[n-1].common == j.common {
			s.older = append(s.older, j)
			s.judged[n-1].outrunBy(j)
		} else {
			s.judged = append(s.judged, j)
		}
	}
	s.fails, s.last = s.failing(), s.lastUsed()
	s.sortOptions()
	return s
}

// outrunBy notes that a newer test of the acaricide told nothing. What an older one
// told may no longer hold, so that it counts as old.
func (j *judged) outrunBy(other judged) {
	if other.TestedOn.Compare(j.TestedOn) > 0 && !j.idle() {
		j.stale, j.outrun = true, true
		j.because += "; a newer test was set aside: " + other.because
	}
}

// before orders the findings on one acaricide by what they are worth: usable
// and comparable ones first, then the newest, then the graver reading.
func (j judged) before(other judged) int {
	rank := func(j judged) int {
		return map[Reading]int{Foreign: 1, Discarded: 2}[j.reading]
	}
	grave := func(j judged) int {
		return map[Reading]int{Resistant: 0, Some: 1, Unclear: 2, Raised: 3, Susceptible: 4}[j.reading]
	}
	return cmp.Or(cmp.Compare(rank(j), rank(other)), other.TestedOn.Compare(j.TestedOn), cmp.Compare(grave(j), grave(other)))
}

// of returns the finding that counts for an acaricide.
func (s *situation) of(common string) (judged, bool) {
	i := slices.IndexFunc(s.judged, func(j judged) bool { return j.common == common })
	if i < 0 {
		return judged{}, false
	}
	return s.judged[i], true
}

// lastUsed are the actives of the latest treatments. A treatment of an unknown
// day may be the latest.
func (s *situation) lastUsed() []string {
	var latest bioassay.Date
	for _, t := range s.Treatments {
		if t.On.Compare(latest) > 0 {
			latest = t.On
		}
	}
	var names []string
	for _, t := range s.Treatments {
		if t.On.IsZero() || t.On == latest {
			names = append(names, Common(t.Acaricide))
		}
	}
	return distinct(names)
}

// weakInHives are the treatments whose whole range of efficacy lies below what
// is expected.
func (s *situation) weakInHives() []Treatment {
	return slices.DeleteFunc(slices.Clone(s.Treatments), func(t Treatment) bool { return !t.weak() })
}

func (t Treatment) weak() bool {
	bound, e := expectedEfficacy(t.Acaricide), t.Efficacy
	if !e.Known || e.Estimate >= bound {
		return false
	}
	if math.IsNaN(e.Upper) {
		return e.Estimate < bound
	}
	return e.Upper < bound
}

// failing are the actives that the mites resist, or that did not work in the
// hives while no test shows that the mites still die of them.
func (s *situation) failing() []string {
	var names []string
	for _, j := range s.judged {
		if j.reading.failing() {
			names = append(names, j.common)
		}
	}
	for _, t := range s.weakInHives() {
		if j, ok := s.of(Common(t.Acaricide)); !ok || !j.reading.dies() {
			names = append(names, Common(t.Acaricide))
		}
	}
	return distinct(names)
}

// where returns the names of the acaricides whose finding has a property.
func (s *situation) where(has func(judged) bool) []string {
	var names []string
	for _, j := range s.judged {
		if has(j) {
			names = append(names, j.common)
		}
	}
	return names
}

func (s *situation) reading(list ...Reading) []string {
	return s.where(func(j judged) bool { return slices.Contains(list, j.reading) })
}

// distinct sorts names and drops repetitions.
func distinct(names []string) []string { return slices.Compact(slices.Sorted(slices.Values(names))) }
