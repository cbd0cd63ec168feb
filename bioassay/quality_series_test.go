package bioassay

import (
	"slices"
	"testing"
)

// doses sets the treated concentrations, two vials each.
func (a *Assay) doses(values ...float64) {
	a.Containers = a.Containers[:2+2*len(values)]
	for i, v := range values {
		a.Containers[2+2*i].Concentration, a.Containers[3+2*i].Concentration = v, v
	}
}

func TestJudgeSeries(t *testing.T) {
	doses := func(values ...float64) func(*Assay, *Standard) {
		return func(a *Assay, s *Standard) { a.doses(values...) }
	}
	dead := func(values ...int) func(*Assay, *Standard) {
		return func(a *Assay, s *Standard) { a.treated([]int{12, 12, 12, 12, 12}, values) }
	}
	checkJudged(t, []judged{
		{"four concentrations", doses(1, 2, 4, 8), FewDoses, Doubt, []string{"4 concentrations, fewer than 5", "add 1 concentration", "2.2 times"}},
		{"steps of 2.2", doses(1, 2.2, 4.84, 10.648, 23.4256), "", Note, nil},
		{"steps of 2.3", doses(1, 2.2, 4.84, 11.2, 24), WideSteps, Doubt, []string{"from 4.84 to 11.2 ug/vial the step is 2.31-fold", "put 1 concentration between 4.84 and 11.2"}},
		{"a step of 30", doses(1, 2, 60, 120, 240), WideSteps, Doubt, []string{"30-fold", "put 4 concentrations between 2 and 60 ug/vial"}},
		{"two partial kills", dead(0, 0, 5, 9, 12), "", Note, nil},
		{"one partial kill", dead(0, 0, 5, 12, 12), FewPartials, Doubt, []string{"1 concentration killed some", "fewer than 2", "add 1 concentration between 4 and 8"}},
		{"no partial kill", dead(0, 0, 12, 12, 12), FewPartials, Doubt, []string{"add 2 concentrations between 2 and 4"}},
		{"none dead", dead(0, 0, 0, 0, 0), FewPartials, Doubt, []string{"add concentrations above 16 ug/vial"}},
		{"all dead", dead(12, 12, 12, 12, 12), FewPartials, Doubt, []string{"add concentrations below 1 ug/vial"}},
		{"all below half", dead(0, 1, 2, 3, 5), OneSided, Doubt, []string{"all 5 concentrations lie below LC50", "above 16 ug/vial", "more than half die"}},
		{"just half", dead(0, 1, 2, 3, 6), "", Note, nil},
		{"all above half", dead(7, 8, 9, 10, 12), OneSided, Doubt, []string{"lie above LC50", "below 1 ug/vial", "fewer than half die"}},
		{"half at the lowest", dead(6, 8, 9, 10, 12), "", Note, nil},
	})
}

// TestOneSidedByTheFit trusts a fitted LC50 more than the counts, in which one
// concentration in the middle killed most.
func TestOneSidedByTheFit(t *testing.T) {
	a := sound()
	a.treated([]int{12, 12, 12, 12, 12}, []int{0, 1, 7, 4, 4})
	analysis := analysed(t, a, AnalysisOptions{})
	lc50, ok := (&judgement{analysis: analysis}).lc50()
	if !ok || lc50 < 16 {
		t.Fatalf("LC50 %g, %v", lc50, ok)
	}
	for _, c := range []struct {
		analysis *Analysis
		raised   bool
	}{{analysis, true}, {nil, false}} {
		if codes := codesOf(Judge(a, c.analysis, testStandard())); slices.Contains(codes, OneSided) != c.raised {
			t.Errorf("fitted %v: %v", c.analysis != nil, codes)
		}
	}
}

func TestJudgeSingleConcentration(t *testing.T) {
	one := func(series SeriesKind) func(*Assay, *Standard) {
		return func(a *Assay, s *Standard) {
			a.doses(8)
			s.Rules.Design.MitesInAll.Set = false
			s.Protocol.Series = series
		}
	}
	checkJudged(t, []judged{
		{"a protocol of one concentration", one(SeriesSingle), "", Note, nil},
		{"a protocol of a series", one(SeriesConcentration), SeriesMismatch, Doubt, []string{"only 8 ug/vial was tested"}},
		{"no protocol", func(a *Assay, s *Standard) { one(SeriesSingle)(a, s); s.Protocol = nil }, FewDoses, Doubt, []string{"add 4 concentrations"}},
		{"a series under a protocol of one", func(a *Assay, s *Standard) { s.Protocol.Series = SeriesSingle }, SeriesMismatch, Doubt, []string{"5 were tested"}},
		{"vials that differ", func(a *Assay, s *Standard) {
			one(SeriesSingle)(a, s)
			a.Containers[2].Dead, a.Containers[3].Dead = 2, 11
		}, ContainersVary, Doubt, []string{"2 treated containers", "df 1"}},
	})
	checkAbsent(t, []judged{
		{"vials that differ by chance", func(a *Assay, s *Standard) {
			one(SeriesSingle)(a, s)
			a.Containers[2].Dead, a.Containers[3].Dead = 6, 10
		}, ContainersVary, 0, nil},
		{"too few dead to tell", func(a *Assay, s *Standard) {
			one(SeriesSingle)(a, s)
			a.Containers[2].Dead, a.Containers[3].Dead = 1, 0
		}, ContainersVary, 0, nil},
	})
}

// TestFewDeadSayNothingOfVials: three dead of 72, all in one of six vials, would
// be a large χ², but its distribution does not hold for so few.
func TestFewDeadSayNothingOfVials(t *testing.T) {
	for dead, raised := range map[int]bool{3: false, 6: true} {
		a := sound()
		a.Containers = a.Containers[:8]
		for i := range a.Containers[2:] {
			a.Containers[2+i].Concentration, a.Containers[2+i].Dead = 8, 0
		}
		a.Containers[4].Dead = dead
		if codes := codesOf(Judge(a, nil, testStandard())); slices.Contains(codes, ContainersVary) != raised {
			t.Errorf("%d dead in one vial: %v", dead, codes)
		}
	}
}

func TestJudgeTrend(t *testing.T) {
	dead := func(values ...int) func(*Assay, *Standard) {
		return func(a *Assay, s *Standard) { a.treated([]int{12, 12, 12, 12, 12}, values) }
	}
	checkJudged(t, []judged{
		{"reversed", dead(11, 9, 6, 4, 2), DosesReversed, Discard, []string{"91.7 %", "at the lowest concentration, 1 ug/vial", "16.7 %"}},
		{"falls, with the peak inside", dead(8, 9, 6, 6, 4), MortalityFalls, Doubt, []string{"from 66.7 % at 1 ug/vial to 33.3 % at 16"}},
		{"falls a little", dead(7, 6, 7, 6, 6), "", Note, nil},
		{"two doses exchanged", dead(1, 10, 2, 9, 12), MortalityDips, Doubt, []string{"at 2 ug/vial 20 of 24 died and at 4, a higher concentration, only 4 of 24"}},
		{"a dip that chance makes", dead(2, 6, 4, 9, 12), "", Note, nil},
		{"flat at none", dead(0, 0, 0, 0, 0), OneSided, Doubt, nil},
	})
	checkAbsent(t, []judged{
		{"reversed is not also said to fall", dead(11, 9, 6, 4, 2), MortalityFalls, 0, nil},
		{"nor to dip", dead(11, 9, 6, 4, 2), MortalityDips, 0, nil},
		{"no trend where none died", dead(0, 0, 0, 0, 0), MortalityFalls, 0, nil},
	})
}
