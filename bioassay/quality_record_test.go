package bioassay

import (
	"slices"
	"testing"
)

func TestJudgeBlind(t *testing.T) {
	answers := func(first, rest Answer) func(*Assay, *Standard) {
		return func(a *Assay, s *Standard) {
			a.each(func(c *Container) { c.TestedBlind = rest })
			a.Containers[3].TestedBlind = first
		}
	}
	checkJudged(t, []judged{
		{"blind", answers(Yes, Yes), "", Note, nil},
		{"one was not", answers(No, Yes), NotBlind, Doubt, []string{"1 of 12 containers"}},
		{"one is open", answers(Unanswered, Yes), BlindUnanswered, Note, []string{"1 of 12 containers", "tested_blind"}},
		{"no goes before open", answers(No, Unanswered), NotBlind, Doubt, nil},
	})
	checkAbsent(t, []judged{{"only one of the two is said", answers(No, Unanswered), BlindUnanswered, 0, nil}})
}

func TestJudgeSampleReason(t *testing.T) {
	reason := func(column, value string) func(*Assay, *Standard) {
		return func(a *Assay, s *Standard) {
			a.Containers[4].Extra = []Field{{"photo", "17"}, {column, value}}
		}
	}
	checkJudged(t, []judged{
		{"routine", reason("sample_reason", "routine"), "", Note, nil},
		{"random", reason("Sample reason", " Random "), "", Note, nil},
		{"another column", reason("reason", "after-failure"), "", Note, nil},
		{"after failure", reason("sample_reason", "after-failure"), AfterFailure, Doubt, []string{"1 of 12 containers", "not for the region"}},
		{"after failure, spelled freely", reason("sample-reason", "After failure"), AfterFailure, Doubt, nil},
		{"unknown reason", reason("sample_reason", "why not"), UnknownReason, Note, []string{`"why not"`, "routine, random or after-failure"}},
	})
}

func TestJudgeDates(t *testing.T) {
	days := func(collected, tested Date) func(*Assay, *Standard) {
		return func(a *Assay, s *Standard) { a.CollectedOn, a.TestedOn = collected, tested }
	}
	checkJudged(t, []judged{
		{"the next day, over a leap day", days(Date{2032, 2, 29}, Date{2032, 3, 1}), "", Note, nil},
		{"two days later", days(Date{2032, 2, 28}, Date{2032, 3, 1}), TestedLate, Note, []string{"tested 2 days after", "within 1 day"}},
		{"before collecting", days(Date{2032, 1, 1}, Date{2031, 12, 31}), DatesReversed, Doubt, []string{"2031-12-31", "1 day before"}},
		{"one date", days(Date{}, Date{2031, 12, 31}), "", Note, nil},
	})
}

func TestJudgeLabels(t *testing.T) {
	again := func(dead int) func(*Assay, *Standard) {
		return func(a *Assay, s *Standard) {
			a.Containers[3].Label, a.Containers[3].Dead = a.Containers[2].Label, dead
		}
	}
	checkJudged(t, []judged{
		{"the same container with the same counts", again(2), SameContainer, Doubt, []string{"1 of them with the same counts", `"C" at 1 ug/vial`}},
		{"with other counts", again(3), SameContainer, Doubt, []string{"0 of them"}},
		{"the same label at another concentration", func(a *Assay, s *Standard) { a.Containers[4].Label = "C" }, "", Note, nil},
		{"no labels", func(a *Assay, s *Standard) { a.each(func(c *Container) { c.Label = "" }) }, "", Note, nil},
	})
}

func TestJudgeProtocol(t *testing.T) {
	type change = func(*Assay, *Standard)
	named := func(name string) change {
		return func(a *Assay, s *Standard) { a.Protocol, s.Protocol = name, nil }
	}
	hours := func(exposure, reading Optional) change {
		return func(a *Assay, s *Standard) { a.ExposureHours, a.ReadingHours = exposure, reading }
	}
	checkJudged(t, []judged{
		{"no protocol", named(""), NoProtocol, Note, nil},
		{"unknown protocol", named("ring"), UnknownProtocol, Doubt, []string{`"ring" is not one of the 2`, "vial-residue, vapour"}},
		{"misspelled protocol", named("Vial residue"), UnknownProtocol, Doubt, []string{"write vial-residue"}},
		{"24 h by rounding", hours(Known(24.005), Known(23.995)), "", Note, nil},
		{"another exposure", hours(Known(6), Known(24)), ExposureMismatch, Doubt, []string{"6 h, while protocol vial-residue has 24 h"}},
		{"no exposure", hours(Optional{}, Known(24)), ExposureMismatch, Note, []string{"exposure_h"}},
		{"another reading", hours(Known(24), Known(48)), ReadingMismatch, Doubt, []string{"48 h"}},
		{"no reading", hours(Known(24), Optional{}), ReadingMismatch, Note, []string{"reading_h"}},
		{"a protocol that leaves them open", func(a *Assay, s *Standard) {
			hours(Known(6), Optional{})(a, s)
			s.Protocol.ExposureHours, s.Protocol.ReadingHours = Optional{}, Optional{}
		}, "", Note, nil},
		{"a series by exposure", func(a *Assay, s *Standard) {
			hours(Known(6), Known(24))(a, s)
			s.Protocol.Series, s.Protocol.Unit, a.Unit = SeriesExposureTime, "min", "min"
		}, "", Note, nil},
	})
}

func TestJudgeUnit(t *testing.T) {
	unit := func(text string) func(*Assay, *Standard) {
		return func(a *Assay, s *Standard) { a.Unit = text }
	}
	checkJudged(t, []judged{
		{"spelled otherwise", unit("µg / vial"), "", Note, nil},
		{"with mc", unit("mcg/vial"), "", Note, nil},
		{"none", unit(""), NoUnit, Note, nil},
		{"not a unit", unit("drops"), UnclearUnit, Doubt, []string{`"drops"`}},
		{"ppm", unit("ppm"), UnclearUnit, Doubt, []string{"two meanings", "w/w or w/v"}},
		{"a thousandfold", unit("ng/vial"), UnitMismatch, Note, []string{"1 ng/vial is 0.001 ug/vial"}},
		{"moles", unit("nmol/vial"), UnitMismatch, Note, []string{"1 nmol/vial is 0.2934 ug/vial"}},
		{"by the volume that the protocol knows", unit("ug/mL"), UnitMismatch, Note, []string{"1 ug/mL is 0.5 ug/vial"}},
		{"by an area that it does not know", unit("ug/cm2"), UnitMismatch, Doubt, []string{"the treated area of a container is not known"}},
		{"of another container", unit("ug/dish"), UnitMismatch, Doubt, []string{"a dish is not a vial"}},
	})
	a, s := sound(), testStandard()
	a.Unit, s.Protocol.Unit, s.Protocol.PPM = "ppm", "ug/g", PPMByMass
	if f := Judge(a, nil, s); f != nil {
		t.Errorf("ppm that the protocol explains: %v", f)
	}
}

// TestJudgeDeath compares how moribund mites were counted.
func TestJudgeDeath(t *testing.T) {
	a := sound()
	for _, c := range []struct {
		moribund int
		counted  Moribund
		raised   bool
	}{{2, MoribundDead, false}, {2, MoribundAlive, true}, {0, MoribundAlive, false}} {
		a.Containers[4].Moribund = c.moribund
		codes := codesOf(Judge(a, analysed(t, a, AnalysisOptions{Moribund: c.counted}), testStandard()))
		if slices.Contains(codes, DeathMismatch) != c.raised {
			t.Errorf("%d %v: %v", c.moribund, c.counted, codes)
		}
	}
}

func TestDuplicates(t *testing.T) {
	renamed := func(a Assay, name, file string) Assay {
		a.Name, a.Containers = name, slices.Clone(a.Containers)
		for i := range a.Containers {
			a.Containers[i].Source.File = file
		}
		return a
	}
	other := renamed(sound(), "Sound", "b.csv")
	other.Containers[4].Dead++
	shuffled := renamed(sound(), "Twin", "c.csv")
	slices.Reverse(shuffled.Containers)
	bare := sound()
	bare.treated([]int{12, 12, 12, 12, 12}, []int{0, 0, 6, 12, 12}) // two vials with dead and living
	for name, c := range map[string]struct {
		first, second Assay
		code          WarningCode
		severity      Severity
	}{
		"the same file twice":     {sound(), renamed(sound(), "Sound", "b.csv"), CountedTwice, Discard},
		"one name, other counts":  {sound(), other, SameName, Doubt},
		"two names, equal counts": {sound(), shuffled, SameCounts, Doubt},
		"other name and counts":   {sound(), renamed(other, "Other", "b.csv"), "", 0},
		"counts that are common":  {bare, renamed(bare, "Other", "b.csv"), "", 0},
	} {
		var d Duplicates
		if f := d.Add(c.first); f != nil {
			t.Errorf("%s: the first is said to be a duplicate: %v", name, f)
		}
		findings := d.Add(c.second)
		if c.code == "" {
			if findings != nil {
				t.Errorf("%s: %v", name, findings)
			}
			continue
		}
		if len(findings) != 1 || findings[0].Code != c.code || findings[0].Severity != c.severity {
			t.Errorf("%s: %v", name, findings)
			continue
		}
		if f := findings[0]; f.File != c.second.File() || f.File == c.first.File() {
			t.Errorf("%s: said of %v", name, f.Origin)
		}
	}
}
