package bioassay

import (
	"fmt"
	"strings"
)

// judgeRecord looks at how the assay was done and written down.
func (j *judgement) judgeRecord() {
	j.judgeBlind()
	j.judgeReason()
	j.judgeDates()
	j.judgeLabels()
}

func (j *judgement) judgeBlind() {
	not, open := 0, 0
	for _, c := range j.assay.Containers {
		switch c.TestedBlind {
		case No:
			not++
		case Unanswered:
			open++
		}
	}
	const cure = "code the containers, and let someone read them who does not know the concentrations"
	switch n := len(j.assay.Containers); {
	case not > 0:
		j.add(Doubt, NotBlind, Basis{}, cure, "%d of %s were read by someone who knew the concentration", not, Plural(n, "container"))
	case open > 0:
		j.add(Note, BlindUnanswered, Basis{}, "fill the column tested_blind with yes or no", "for %d of %s it is not recorded whether the reader knew the concentration", open, Plural(n, "container"))
	}
}

// SampleReasonColumn is the optional column that says why the mites of an assay
// were sampled. It is read from the columns that a table keeps, see
// [Container.Extra].
const SampleReasonColumn = "sample_reason"

// SampleReason is why mites were sampled.
type SampleReason string

// The reasons. A sample drawn because a treatment failed is no sample of its
// region.
const (
	ReasonUnknown      SampleReason = ""
	ReasonRoutine      SampleReason = "routine"
	ReasonRandom       SampleReason = "random"
	ReasonAfterFailure SampleReason = "after-failure"
)

// SampleReasons lists the reasons that the column knows.
func SampleReasons() []SampleReason {
	return []SampleReason{ReasonRoutine, ReasonRandom, ReasonAfterFailure}
}

var hyphens = strings.NewReplacer(" ", "-", "_", "-")

// SampleReason returns why the container's mites were sampled, with what was
// entered. A reason that is not among [SampleReasons] is ReasonUnknown.
func (c Container) SampleReason() (reason SampleReason, entered string) {
	for _, f := range c.Extra {
		if hyphens.Replace(strings.ToLower(f.Name)) != hyphens.Replace(SampleReasonColumn) {
			continue
		}
		text := hyphens.Replace(strings.ToLower(strings.TrimSpace(f.Value)))
		for _, r := range SampleReasons() {
			if text == string(r) {
				return r, f.Value
			}
		}
		return ReasonUnknown, f.Value
	}
	return ReasonUnknown, ""
}

func (j *judgement) judgeReason() {
	after, odd := 0, 0
	var oddText string
	var at Origin
	for _, c := range j.assay.Containers {
		reason, entered := c.SampleReason()
		switch {
		case reason == ReasonAfterFailure:
			if after == 0 {
				at = c.Source
			}
			after++
		case reason == ReasonUnknown && entered != "":
			if odd == 0 {
				oddText = entered
			}
			odd++
		}
	}
	if after > 0 {
		j.addAt(at, Doubt, AfterFailure, Basis{}, "leave it out of regional means, or sample apiaries of the region at random beside it",
			"%d of %s hold mites that were sampled because a treatment had failed: they speak for their apiary, not for the region", after, Plural(len(j.assay.Containers), "container"))
	}
	if odd > 0 {
		j.add(Note, UnknownReason, Basis{}, "write routine, random or after-failure",
			"column %s has %q, which is none of the known reasons, in %s", SampleReasonColumn, oddText, Plural(odd, "container"))
	}
}

func (j *judgement) judgeDates() {
	collected, tested := j.assay.CollectedOn, j.assay.TestedOn
	if collected.IsZero() || tested.IsZero() {
		return
	}
	days := daysBetween(collected, tested)
	b := j.Rules.Design.DaysToTest
	switch {
	case days < 0:
		j.add(Doubt, DatesReversed, Basis{}, "correct one of the two dates", "tested on %v, %s before the mites were collected on %v", tested, Plural(-days, "day"), collected)
	case b.Set && float64(days) > b.Value:
		j.add(Note, TestedLate, b.Basis, fmt.Sprintf("test within %s of collecting: mites kept off their host weaken and die sooner", Plural(int(b.Value), "day")),
			"tested %s after the mites were collected, more than %g", Plural(days, "day"), b.Value)
	}
}

// daysBetween counts the days from one date to another.
func daysBetween(from, to Date) int {
	return int(to.Time().Sub(from.Time()).Hours() / 24)
}

// judgeLabels looks for containers that stand in the table twice.
func (j *judgement) judgeLabels() {
	type key struct {
		label         string
		concentration float64
	}
	seen := map[key]Container{}
	again, alike := 0, 0
	var first Container
	for _, c := range j.assay.Containers {
		if c.Label == "" {
			continue // rows without a label may be replicates, however alike
		}
		k := key{c.Label, c.Concentration}
		before, ok := seen[k]
		if !ok {
			seen[k] = c
			continue
		}
		if again == 0 {
			first = c
		}
		again++
		if before.Exposed == c.Exposed && before.Dead == c.Dead && before.Moribund == c.Moribund && before.Missing == c.Missing {
			alike++
		}
	}
	if again > 0 {
		j.addAt(first.Source, Doubt, SameContainer, Basis{}, "delete the rows that were entered twice; give the others different labels",
			"%s with a label and concentration that stand in the assay before, %d of them with the same counts; the first is %q at %.4g%s",
			Plural(again, "container"), alike, first.Label, first.Concentration, j.unit())
	}
}
