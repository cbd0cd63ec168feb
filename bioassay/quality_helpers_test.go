package bioassay

import (
	"slices"
	"strings"
	"testing"
)

// testBasis marks the rules that the tests in this package apply.
func testBasis(name string) Basis { return Basis{Name: name, Source: "invented for the tests"} }

func bound(value float64) Bound { return Bound{Value: value, Set: true, Basis: testBasis("design")} }

// testStandard holds an assay to every rule there is.
func testStandard() Standard {
	rules := RuleSet{
		Basis:    testBasis("all"),
		Controls: &ControlLimits{Basis: testBasis("controls"), CorrectAbove: 5, DiscardAbove: 20},
		Design: Design{
			MitesPerContainer: bound(10), MostPerContainer: bound(15), MitesPerConcentration: bound(20), MitesInAll: bound(60),
			ControlMites: bound(20), Concentrations: bound(5), StepFactor: bound(2.2), PartialKills: bound(2),
			ContainerSpread: bound(1.5), MissingPercent: bound(10), DaysToTest: bound(1),
		},
	}
	p := &Protocol{
		Name: "vial-residue", Unit: "ug/vial", ExposureHours: Known(24), ReadingHours: Known(24), Source: "invented",
		Container: Quantities{VolumeML: 0.5},
	}
	return Standard{Protocol: p, Rules: rules, Known: []string{"vial-residue", "vapour"}}
}

// sound is an assay that no rule of testStandard finds fault with. The counts
// are invented.
func sound() Assay {
	a := Assay{
		Name: "Sound", Acaricide: "amitraz", Protocol: "vial-residue", Unit: "ug/vial",
		CollectedOn: Date{2031, 5, 9}, TestedOn: Date{2031, 5, 10}, ExposureHours: Known(24), ReadingHours: Known(24),
	}
	line := 1
	for i, dead := range []int{0, 2, 4, 6, 9, 11} {
		dose := float64(int(1)<<i) / 2
		if i == 0 {
			dose = 0
		}
		for vial := range 2 {
			line++
			a.Containers = append(a.Containers, Container{
				Label: string(rune('A' + 2*i + vial)), Concentration: dose, Exposed: 12, Dead: dead, TestedBlind: Yes,
				Source: Origin{File: "sound.csv", Line: line},
			})
		}
	}
	return a
}

// treated sets the counts of the treated containers, two vials a dose.
func (a *Assay) treated(exposed, dead []int) {
	for i := range exposed {
		for vial := range 2 {
			c := &a.Containers[2+2*i+vial]
			c.Exposed, c.Dead = exposed[i], dead[i]
		}
	}
}

// each changes every container.
func (a *Assay) each(change func(c *Container)) {
	for i := range a.Containers {
		change(&a.Containers[i])
	}
}

func codesOf(findings []Finding) []WarningCode {
	var codes []WarningCode
	for _, f := range findings {
		codes = append(codes, f.Code)
	}
	return codes
}

// judged is one change to the sound assay and what it must bring about.
type judged struct {
	name     string
	change   func(a *Assay, s *Standard)
	code     WarningCode // blank when no finding at all may follow
	severity Severity
	says     []string // in the message or the cure
}

// checkJudged runs the cases. A case may raise other findings beside its own,
// but one without a code must raise none.
func checkJudged(t *testing.T, cases []judged) {
	t.Helper()
	for _, c := range cases {
		a, s := sound(), testStandard()
		c.change(&a, &s)
		findings := Judge(a, nil, s)
		if c.code == "" {
			if findings != nil {
				t.Errorf("%s: found %v", c.name, findings)
			}
			continue
		}
		i := slices.IndexFunc(findings, func(f Finding) bool { return f.Code == c.code })
		if i < 0 {
			t.Errorf("%s: %s not found among %v", c.name, c.code, codesOf(findings))
			continue
		}
		f := findings[i]
		if f.Severity != c.severity {
			t.Errorf("%s: %v, want %v", c.name, f.Severity, c.severity)
		}
		for _, words := range c.says {
			if !strings.Contains(f.Message+" -> "+f.Cure, words) {
				t.Errorf("%s: %q is not said in %q, cure %q", c.name, words, f.Message, f.Cure)
			}
		}
		if f.Cure == "" || f.Message == "" {
			t.Errorf("%s: message %q, cure %q", c.name, f.Message, f.Cure)
		}
	}
}

// absent runs the cases whose code must not be raised, whatever else is.
func checkAbsent(t *testing.T, cases []judged) {
	t.Helper()
	for _, c := range cases {
		a, s := sound(), testStandard()
		c.change(&a, &s)
		if codes := codesOf(Judge(a, nil, s)); slices.Contains(codes, c.code) {
			t.Errorf("%s: raised %s", c.name, c.code)
		}
	}
}
