package bioassay

import (
	"math"
	"slices"
	"testing"

	"vialwise/doseresp"
)

func TestSoundAssayHasNoFinding(t *testing.T) {
	checkJudged(t, []judged{{"sound", func(*Assay, *Standard) {}, "", Note, nil}})
}

func TestJudgeControls(t *testing.T) {
	set := func(deadA, deadB, exposed int) func(*Assay, *Standard) {
		return func(a *Assay, s *Standard) {
			a.Containers[0].Exposed, a.Containers[1].Exposed = exposed, exposed
			a.Containers[0].Dead, a.Containers[1].Dead = deadA, deadB
			s.Rules.Design.MostPerContainer.Set, s.Rules.Design.ContainerSpread.Set = false, false
		}
	}
	checkJudged(t, []judged{
		{"1 of 20 is at the limit of correction", set(1, 0, 10), "", Note, nil},
		{"2 of 38 is above it", set(1, 1, 19), ControlsCorrected, Note, []string{"2 of 38 untreated mites died, 5.26 %", "above 5 %"}},
		{"4 of 20 is at the limit of discarding", set(4, 0, 10), ControlsCorrected, Note, []string{"20 %"}},
		{"5 of 24 is above it", set(3, 2, 12), ControlsFailed, Discard, []string{"5 of 24", "20.8 %", "limit of 20 %", "7.13 to 42.2 %"}},
		{"20 controls are enough", set(0, 0, 10), "", Note, nil},
		{"18 are not", set(0, 0, 9), FewControls, Doubt, []string{"18 untreated mites, fewer than 20", "18.5 %", "add 2 untreated mites"}},
		{"no controls", func(a *Assay, s *Standard) { a.Containers = a.Containers[2:] }, NoControls, Doubt, []string{"20 or more untreated mites"}},
		{"empty controls are none", set(0, 0, 0), NoControls, Doubt, nil},
		{"more died untreated", func(a *Assay, s *Standard) {
			set(6, 6, 12)(a, s)
			a.treated([]int{12, 12, 12, 12, 12}, []int{0, 1, 2, 3, 3})
		}, ControlsExceed, Doubt, []string{"12 of 24 untreated mites", "of 120 treated ones 18 (15 %)"}},
	})
	checkAbsent(t, []judged{
		{"fails, but treated die as well", set(6, 6, 12), ControlsExceed, 0, nil},
		{"no rule set on controls", func(a *Assay, s *Standard) { set(9, 9, 12)(a, s); s.Rules.Controls = nil }, ControlsFailed, 0, nil},
	})
}

// TestControlsIgnoredByFit raises the correction to a doubt where the fit made
// none.
func TestControlsIgnoredByFit(t *testing.T) {
	a := sound()
	a.Containers[0].Dead = 2
	for mode, want := range map[doseresp.NaturalMode]Severity{doseresp.Estimated: Note, doseresp.None: Doubt} {
		analysis := analysed(t, a, AnalysisOptions{Fit: doseresp.Options{Natural: doseresp.NaturalMortality{Mode: mode}}})
		findings := Judge(a, analysis, testStandard())
		if i := slices.Index(codesOf(findings), ControlsCorrected); i < 0 || findings[i].Severity != want {
			t.Errorf("natural mortality %v: %v", mode, findings)
		}
	}
}

func TestJudgeNumbers(t *testing.T) {
	share := func(exposed ...int) func(*Assay, *Standard) {
		return func(a *Assay, s *Standard) {
			dead := make([]int, len(exposed))
			for i := range exposed {
				dead[i] = exposed[i] * (i + 1) / (len(exposed) + 1)
			}
			a.treated(exposed, dead)
		}
	}
	in60 := func(total float64) func(*Assay, *Standard) {
		return func(a *Assay, s *Standard) { s.Rules.Design.MitesInAll = bound(total) }
	}
	checkJudged(t, []judged{
		{"120 of 120", in60(120), "", Note, nil},
		{"120 of 131", in60(131), FewMites, Doubt, []string{"120 treated mites, fewer than 131", "test 11 more mites, about 3 at each of the 5 concentrations"}},
		{"the protocol's own number goes first", func(a *Assay, s *Standard) { s.Protocol.Minimum.InAll = 121 }, FewMites, Doubt, []string{"fewer than 121", "test 1 more mite"}},
		{"10 in each of two vials", share(10, 12, 12, 12, 12), "", Note, nil},
		{"18 at one concentration", share(12, 9, 12, 12, 12), FewAtDose, Doubt, []string{"18 at 2 ug/vial", "at 1 of 5 concentrations", "add mites: 2 at 2"}},
		{"the protocol's own number of each", func(a *Assay, s *Standard) { s.Protocol.Minimum.PerConcentration = 30 }, FewAtDose, Doubt, []string{"fewer than 30", "6 at 1, 6 at 2"}},
		{"nine in a vial", share(12, 12, 9, 12, 12), FewInContainer, Note, []string{"2 of 12 containers with fewer than 10 mites, the first with 9", "put 10 or more"}},
		{"fifteen in a vial", share(12, 12, 15, 12, 12), "", Note, nil},
		{"sixteen in a vial", share(12, 12, 16, 12, 12), Crowded, Note, []string{"2 of 12 containers with more than 15"}},
		{"from 10 to 15", share(10, 12, 15, 12, 12), "", Note, nil},
		{"from 10 to 16", share(10, 12, 16, 12, 12), UnequalNumbers, Note, []string{"from 10 to 16", "about 12 in each of the 12 containers"}},
		{"only controls", func(a *Assay, s *Standard) { a.Containers = a.Containers[:2] }, NoTreated, Discard, nil},
		{"nothing at all", func(a *Assay, s *Standard) { a.Containers = nil }, NoTreated, Discard, nil},
	})
	s := testStandard()
	s.Protocol.Minimum.InAll = 121
	if f := Judge(sound(), nil, s); len(f) != 1 || f[0].Rule.Name != "vial-residue" {
		t.Errorf("the protocol's own minimum is put down to %v", f)
	}
}

func TestJudgeMissing(t *testing.T) {
	missing := func(n int) func(*Assay, *Standard) {
		return func(a *Assay, s *Standard) {
			s.Rules.Design.MitesPerConcentration.Set, s.Rules.Design.ContainerSpread.Set = false, false
			a.each(func(c *Container) { c.Exposed, c.Dead = 10, c.Dead/2 }) // 120 in all
			for i := 0; n > 0; i = (i + 1) % len(a.Containers) {
				a.Containers[i].Missing++
				n--
			}
			s.Rules.Design.ControlMites.Set = false
		}
	}
	checkJudged(t, []judged{
		{"12 of 120", missing(12), "", Note, nil},
		{"13 of 120", missing(13), ManyMissing, Doubt, []string{"13 of 120", "10.8 %", "more than 10 %", "at most 12 of 120"}},
	})
}

func TestJudgeImpossibleCounts(t *testing.T) {
	at := func(change func(c *Container)) func(*Assay, *Standard) {
		return func(a *Assay, s *Standard) { change(&a.Containers[5]) }
	}
	checkJudged(t, []judged{
		{"all dead", at(func(c *Container) { c.Dead = 12 }), "", Note, nil},
		{"dead above exposed", at(func(c *Container) { c.Dead = 13 }), ImpossibleCount, Discard, []string{"1 of 12 containers cannot be", `"F"`, "13 dead", "12 exposed"}},
		{"dead and missing above exposed", at(func(c *Container) { c.Missing = 9 }), ImpossibleCount, Discard, []string{"4 dead, 0 moribund and 9 missing"}},
		{"negative", at(func(c *Container) { c.Missing = -1 }), ImpossibleCount, Discard, []string{"below zero"}},
		{"no number", at(func(c *Container) { c.Concentration = math.NaN() }), ImpossibleCount, Discard, []string{"NaN"}},
		{"infinite", at(func(c *Container) { c.Concentration = math.Inf(1) }), ImpossibleCount, Discard, nil},
		{"overflow", at(func(c *Container) { c.Dead, c.Moribund = math.MaxInt, math.MaxInt }), ImpossibleCount, Discard, nil},
	})
	a := sound()
	a.Containers[5].Dead = 13
	if f := Judge(a, nil, testStandard()); f[0].Line != 7 || f[0].File != "sound.csv" {
		t.Errorf("the impossible container is said to stand at %v", f[0].Origin)
	}
}

// TestFindingsComeGravestFirst of an assay with several faults.
func TestFindingsComeGravestFirst(t *testing.T) {
	a := sound()
	a.Containers[0].Dead = 12
	a.each(func(c *Container) { c.TestedBlind = No })
	a.TestedOn = Date{2031, 6, 1}
	findings := Judge(a, nil, testStandard())
	if !slices.IsSortedFunc(findings, func(a, b Finding) int { return int(b.Severity) - int(a.Severity) }) || len(findings) < 3 {
		t.Errorf("%v", findings)
	}
}

// TestShares: nothing is shared out among one.
func TestShares(t *testing.T) {
	for k, want := range map[int]string{0: "", 1: "", 2: ", about 7 at each of the 2 vials"} {
		if got := shareOf(7, "at", k, "vial"); got != want {
			t.Errorf("%d: %q, want %q", k, got, want)
		}
	}
}
