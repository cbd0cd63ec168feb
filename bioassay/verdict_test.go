package bioassay

import (
	"slices"
	"strings"
	"testing"
)

// failed is an assay that its controls discard, with the programme that judges
// it.
func failed() (Assay, *Programme) {
	a, s := sound(), testStandard()
	a.Containers[0].Dead, a.Containers[1].Dead = 4, 2
	rules := s.Rules
	rules.Name = "all"
	s.Protocol.RuleSets = []string{"all"}
	return a, &Programme{Protocols: []Protocol{*s.Protocol}, RuleSets: []RuleSet{rules}, Fallback: []string{"all"}}
}

func decision() Override {
	return Override{Assay: "Sound", Code: ControlsFailed, By: "J. Doe", On: Date{2031, 6, 2}, Why: "one vial dried out", Origin: Origin{"programme.toml", 9}}
}

func TestVerdict(t *testing.T) {
	a, p := failed()
	v := p.Judge(a, nil)
	if v.Usable || len(v.Reasons) != 1 || v.Reasons[0].Code != ControlsFailed || v.Assay != "Sound" {
		t.Errorf("%+v", v)
	}
	p.Overrides = []Override{decision()}
	v = p.Judge(a, nil)
	if !v.Usable || len(v.Reasons) != 0 || !slices.Equal(v.Lifted, p.Overrides) {
		t.Errorf("with an override: %+v", v)
	}
	if !slices.Contains(codesOf(v.Findings), ControlsFailed) {
		t.Error("the lifted finding is gone from the record")
	}
	twice := Finding{Severity: Discard, Warning: Warning{Code: CountedTwice}}
	if v = p.Judge(a, nil, twice); v.Usable || len(v.Reasons) != 1 || v.Reasons[0].Code != CountedTwice {
		t.Errorf("an override lifted more than its finding: %+v", v)
	}
	if v = p.Judge(sound(), nil); !v.Usable || len(v.Reasons) != 0 {
		t.Errorf("sound: %+v", v)
	}
}

// TestIdleOverrides: what lifts nothing is said, with the place of the override.
func TestIdleOverrides(t *testing.T) {
	for name, c := range map[string]struct {
		change func(o *Override)
		says   string
	}{
		"no name":         {func(o *Override) { o.By = " " }, "must name by"},
		"no day, no why":  {func(o *Override) { o.On, o.Why = Date{}, "" }, "must name on, because"},
		"no code":         {func(o *Override) { o.Code = "" }, "must name code"},
		"no such finding": {func(o *Override) { o.Code = DosesReversed }, `no finding "doses-reversed"`},
		"only a note":     {func(o *Override) { o.Code = BlindUnanswered }, `"blind-unanswered" of assay "Sound" is a note and discards nothing`},
	} {
		a, p := failed()
		a.Containers[4].TestedBlind = Unanswered
		o := decision()
		c.change(&o)
		p.Overrides = []Override{o}
		v := p.Judge(a, nil)
		i := slices.IndexFunc(v.Findings, func(f Finding) bool { return f.Code == IdleOverride })
		if v.Usable || len(v.Lifted) != 0 || i < 0 {
			t.Errorf("%s: %+v", name, v)
			continue
		}
		if f := v.Findings[i]; !strings.Contains(f.Message, c.says) || f.Origin != o.Origin || f.Severity != Note {
			t.Errorf("%s: %+v", name, f)
		}
	}
}

// TestNothingToLift: counts that cannot be remain discarded.
func TestNothingToLift(t *testing.T) {
	a, p := failed()
	a.Containers[4].Dead = 99
	o := decision()
	o.Code = ImpossibleCount
	p.Overrides = []Override{o}
	if v := p.Judge(a, nil); v.Usable || !slices.Contains(codesOf(v.Findings), IdleOverride) {
		t.Errorf("%+v", v)
	}
}

func TestOverridesOfAssaysThatAreNotThere(t *testing.T) {
	a, p := failed()
	stray := decision()
	stray.Assay = "Elsewhere"
	p.Overrides = []Override{decision(), stray}
	findings := p.IdleOverrides([]Verdict{p.Judge(a, nil)})
	if len(findings) != 1 || !strings.Contains(findings[0].Message, `"Elsewhere"`) {
		t.Errorf("%v", findings)
	}
}

func TestStandard(t *testing.T) {
	a, p := failed()
	p.RuleSets = append(p.RuleSets, RuleSet{Basis: testBasis("bare")})
	p.Fallback = []string{"bare"}
	if s := p.Standard(a); s.Protocol == nil || s.Rules.Controls == nil {
		t.Errorf("%+v", s)
	}
	a.Protocol = "ring"
	if s := p.Standard(a); s.Protocol != nil || s.Rules.Controls != nil || !slices.Equal(s.Known, []string{"vial-residue"}) {
		t.Errorf("unknown protocol: %+v", s)
	}
}

// TestRulesJoin: two rule sets that rule on the same thing are refused.
func TestRulesJoin(t *testing.T) {
	controls, mites := RuleSet{Basis: testBasis("controls"), Controls: &ControlLimits{}}, RuleSet{Basis: testBasis("mites")}
	mites.Design.MitesInAll = bound(60)
	classes, ratios := RuleSet{Basis: testBasis("classes"), Classes: whoClasses}, RuleSet{Basis: testBasis("ratios"), Ratios: &RatioBands{}}
	p := &Programme{RuleSets: []RuleSet{controls, mites, classes, ratios}}
	all, err := p.Rules([]string{"controls", "mites", "classes", "ratios"})
	if err != nil || all.Controls == nil || all.Classes == nil || all.Ratios == nil || !all.Design.MitesInAll.Set {
		t.Errorf("%+v, %v", all, err)
	}
	for _, name := range []string{"controls", "mites", "classes", "ratios"} {
		if _, err := p.Rules([]string{name, name}); err == nil || !strings.Contains(err.Error(), "both set") {
			t.Errorf("%s twice: %v", name, err)
		}
	}
	if _, err := p.Rules([]string{"others"}); err == nil {
		t.Error("a rule set that is not there was found")
	}
}

func TestQualityWords(t *testing.T) {
	for got, want := range map[string]string{
		Note.String(): "note", Doubt.String(): "doubt", Discard.String(): "discard",
		ControlsFine.String(): "none", ControlsCorrect.String(): "correct", ControlsDiscard.String(): "discard",
		SeriesSingle.String(): "single", SeriesExposureTime.String(): "exposure-time",
		PPMByVolume.String():                           "w/v",
		Basis{"tube", "a test", "mosquitoes"}.String(): "tube (a test; borrowed from mosquitoes)",
		Basis{Name: "tube", Source: "a test"}.String(): "tube (a test)",
	} {
		if got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

// TestOverrideOfOneFile: a decision about one laboratory's assay does not lift
// the finding on another's of the same name.
func TestOverrideOfOneFile(t *testing.T) {
	failed := func(file string, exposed int) Assay {
		a := Assay{Name: "N2"}
		for i, dead := range []int{exposed / 2, 3, 9} {
			a.Containers = append(a.Containers, Container{Concentration: float64(i), Exposed: exposed, Dead: dead, Source: Origin{File: file, Line: i + 2}})
		}
		return a
	}
	a, b := failed("north/labA.csv", 20), failed("labF.csv", 22)
	decision := Override{Assay: "N2", Code: ControlsFailed, By: "A. Keeper", On: Date{Year: 2031, Month: 5, Day: 9}, Why: "a reason"}
	p := Programme{RuleSets: []RuleSet{{Basis: Basis{Name: "r"}, Controls: &ControlLimits{CorrectAbove: 5, DiscardAbove: 20}}}, Fallback: []string{"r"}}
	judged := func(file string, assays ...Assay) []Verdict {
		decision.File = file
		p.Overrides = []Override{decision}
		var twice Duplicates
		var out []Verdict
		for _, x := range assays {
			out = append(out, p.Judge(x, nil, twice.Add(x)...))
		}
		p.Settle(out)
		return out
	}
	for file, want := range map[string][2]bool{"labA.csv": {true, false}, "north/labA.csv": {true, false}, "./north//labA.csv": {true, false},
		"labF.csv": {false, true}, "south/labA.csv": {false, false}, "": {false, false}} {
		v := judged(file, a, b)
		if got := [2]bool{v[0].Usable, v[1].Usable}; got != want {
			t.Errorf("override with file %q: usable %v, want %v", file, got, want)
		}
		for _, v := range v {
			said := slices.ContainsFunc(v.Findings, func(f Finding) bool { return f.Code == IdleOverride && strings.Contains(f.Cure, `file = "labA.csv"`) })
			if v.Usable != (len(v.Lifted) == 1) || v.Usable != (len(v.Reasons) == 0) || said != (file == "") {
				t.Errorf("override with file %q: %+v", file, v)
			}
		}
		if idle := p.IdleOverrides(v); (len(idle) > 0) != (file == "south/labA.csv") {
			t.Errorf("override with file %q: idle %v", file, idle)
		}
	}
	// two files of one name in two folders need the folder
	elsewhere := failed("south/labA.csv", 24)
	for file, want := range map[string][2]bool{"labA.csv": {false, false}, "south/labA.csv": {false, true}} {
		if v := judged(file, a, elsewhere); v[0].Usable != want[0] || v[1].Usable != want[1] {
			t.Errorf("override with file %q of two folders: %v %v", file, v[0].Usable, v[1].Usable)
		}
	}
	// one alone of the name, or the same twice, needs no file
	if v := judged("", a); !v[0].Usable {
		t.Errorf("one assay of the name: %+v", v[0])
	}
	if v := judged("", a, a); !v[0].Usable || v[1].Usable {
		t.Errorf("the same twice: %v, %v", v[0].Usable, v[1].Usable)
	}
}
