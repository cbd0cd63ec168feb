package bioassay

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"vialwise/internal/parallel"
)

// Refusal is an assay that was not compared, with the reason.
type Refusal struct {
	Assay Assay
	Err   error // a *NotComparableError, an ErrNoBaseline, an ErrDiscarded or that of a fit
}

// Errors of an assay that is not compared.
var (
	ErrNoBaseline = errors.New("there is no baseline to compare with")
	ErrDiscarded  = errors.New("the assay is discarded")
)

// SelectBaseline divides assays into those of susceptible mites and those to
// compare with them. With a name these are the assays, or else the populations,
// of that name, whatever their role; without one they are the assays whose role
// says so.
func SelectBaseline(assays []Assay, name string) (baseline, field []Assay, err error) {
	is := func(a Assay) bool { return a.Role == RoleBaseline }
	if name != "" {
		is = func(a Assay) bool { return a.Name == name }
		if !slices.ContainsFunc(assays, is) {
			is = func(a Assay) bool { return a.Population == name }
		}
	}
	for _, a := range assays {
		switch {
		case is(a):
			baseline = append(baseline, a)
		case name == "" || a.Role != RoleBaseline:
			field = append(field, a)
		}
	}
	switch {
	case baseline != nil:
		return baseline, field, nil
	case name != "":
		return nil, nil, fmt.Errorf("%w: no assay and no population is named %q; there are the assays %s", ErrNoBaseline, name, firstNames(assays))
	}
	return nil, nil, fmt.Errorf("%w: no assay has the role baseline; write baseline in the column role of the susceptible mites, or name one of the assays %s", ErrNoBaseline, firstNames(assays))
}

// firstNames lists a few of the assays.
func firstNames(assays []Assay) string {
	const most = 6
	var names []string
	for _, a := range assays[:min(most, len(assays))] {
		names = append(names, strconv.Quote(a.Name))
	}
	s := strings.Join(names, ", ")
	if more := len(assays) - most; more > 0 {
		s += fmt.Sprintf(" and %d more", more)
	}
	return s
}

// GroupBaselines sorts assays of susceptible mites into sets that can stand
// together: of one acaricide, protocol, unit, exposure and reading time.
func GroupBaselines(assays []Assay) [][]Assay {
	var groups [][]Assay
	for _, a := range assays {
		i := slices.IndexFunc(groups, func(g []Assay) bool {
			return !slices.ContainsFunc(g, func(b Assay) bool { return disagree(a, b) })
		})
		if i < 0 {
			groups = append(groups, []Assay{a})
			continue
		}
		groups[i] = append(groups[i], a)
	}
	return groups
}

// disagree says that two assays cannot stand together: a recorded value of one
// contradicts that of the other, or one of them names no acaricide.
func disagree(a, b Assay) bool {
	return slices.ContainsFunc(Mismatches(a, b), func(m Mismatch) bool { return !m.Unknown() || m.Field == "acaricide" })
}

// GroupNames are what sets of baseline assays are called where nobody named
// them: a single assay by its own name, several by acaricide and number and,
// where that is not enough, by protocol and unit too.
func GroupNames(groups [][]Assay) []string {
	names := make([]string, len(groups))
	count := map[string]int{}
	for i, g := range groups {
		names[i] = groupName(g)
		count[names[i]]++
	}
	for i, g := range groups {
		if count[names[i]] > 1 {
			names[i] = strings.Join(append([]string{names[i]}, filled(g[0].Protocol, g[0].Unit)...), ", ")
		}
	}
	return names
}

func groupName(assays []Assay) string {
	if len(assays) == 1 {
		return assays[0].Name
	}
	return strings.Join(append(filled(assays[0].Acaricide), fmt.Sprintf("%d assays", len(assays))), ", ")
}

// filled returns the words that are not blank.
func filled(words ...string) []string {
	return slices.DeleteFunc(words, func(w string) bool { return w == "" })
}

// CompareAll compares every field assay with the baseline that fits it, on all
// processors, and adjusts the tests for their number. Comparisons keep the
// order of the assays. done, where not nil, is called after every assay, by one
// goroutine at a time.
func CompareAll(fields []Assay, comparers []*Comparer, done func()) ([]*Comparison, []Refusal) {
	return compareEach(fields, comparers, (*Comparer).Compare, done)
}

// CompareAllInPart is CompareAll by Comparer.Part.
func CompareAllInPart(fields []Assay, comparers []*Comparer, done func()) ([]*Comparison, []Refusal) {
	return compareEach(fields, comparers, (*Comparer).Part, done)
}

func compareEach(fields []Assay, comparers []*Comparer, compare func(*Comparer, Assay) (*Comparison, error), done func()) ([]*Comparison, []Refusal) {
	results := make([]*Comparison, len(fields))
	failed := make([]error, len(fields))
	parallel.Each(len(fields), func(i int) {
		if k, err := MatchComparer(fields[i], comparers); err != nil {
			failed[i] = err
		} else {
			results[i], failed[i] = compare(comparers[k], fields[i])
		}
	}, done)
	var out []*Comparison
	var refused []Refusal
	for i, r := range results {
		if failed[i] != nil {
			refused = append(refused, Refusal{fields[i], failed[i]})
			continue
		}
		out = append(out, r)
	}
	for _, c := range comparers {
		Adjust(slices.DeleteFunc(slices.Clone(out), func(r *Comparison) bool { return r.Baseline != c.baseline }))
	}
	return out, refused
}

// comparableWith is Comparable with a baseline, but that a blank acaricide or
// unit on one side alone is refused too: without them a dose has no meaning, and
// one baseline would suit them all.
func comparableWith(a Assay, b *Baseline) ([]Warning, error) {
	example := b.Example()
	for _, m := range Mismatches(a, example) {
		if m.Unknown() && (m.Field == "acaricide" || m.Field == "unit") {
			return nil, &NotComparableError{m, a.Name, example.Name, a.origin(), example.origin()}
		}
	}
	return Comparable(a, example)
}

// MatchComparer finds the one baseline that an assay can be compared with.
func MatchComparer(a Assay, comparers []*Comparer) (int, error) {
	var found []int
	var nearest error // of a baseline of the same acaricide
	for i, c := range comparers {
		_, err := comparableWith(a, c.baseline)
		var m *NotComparableError
		switch {
		case err == nil:
			found = append(found, i)
		case errors.As(err, &m) && (m.Field != "acaricide" || len(comparers) == 1):
			nearest = err
		}
	}
	switch {
	case len(found) == 1:
		return found[0], nil
	case len(found) > 1:
		names := make([]string, len(found))
		for i, k := range found {
			names[i] = comparers[k].baseline.Name
		}
		return -1, fmt.Errorf("assay %s: several baselines would fit: %s; choose one by its name", located(a.Name, a.origin()), quoted(names))
	case nearest != nil:
		return -1, nearest
	}
	return -1, fmt.Errorf("assay %s: %w: none is of %s; test susceptible mites with it, under the same protocol",
		located(a.Name, a.origin()), ErrNoBaseline, orBlank(a.Acaricide))
}

func orBlank(s string) string {
	if s == "" {
		return "an unnamed acaricide"
	}
	return s
}
