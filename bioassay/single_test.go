package bioassay

import (
	"math"
	"strings"
	"testing"
)

// whoClasses are the bands of the WHO tube test (mosquitoes), which the project
// borrows, and lc90Classes those of Almecija et al. 2024, Parasitologia 4:71-81.
var (
	whoClasses = &MortalityClasses{
		Basis: Basis{Name: "who", Source: "WHO tube test", Borrowed: "mosquitoes"}, At: "a discriminating concentration",
		Bands: RuleBands{{Name: "susceptible", From: 98}, {Name: "to be confirmed", From: 90}, {Name: "resistant"}},
	}
	lc90Classes = RuleBands{{Name: "not resistant", From: 70, Above: true}, {Name: "moderately", From: 40}, {Name: "highly"}}
)

func TestRuleBands(t *testing.T) {
	for _, c := range []struct {
		bands RuleBands
		value float64
		want  string
	}{
		{whoClasses.Bands, 100, "susceptible"}, {whoClasses.Bands, 98, "susceptible"}, {whoClasses.Bands, 97.99, "to be confirmed"},
		{whoClasses.Bands, 90, "to be confirmed"}, {whoClasses.Bands, 89.99, "resistant"}, {whoClasses.Bands, 0, "resistant"},
		{lc90Classes, 70.01, "not resistant"}, {lc90Classes, 70, "moderately"}, {lc90Classes, 40, "moderately"}, {lc90Classes, 39.99, "highly"},
	} {
		if got := c.bands.Of(c.value).Name; got != c.want {
			t.Errorf("%g is %s, want %s", c.value, got, c.want)
		}
	}
	limits := ControlLimits{CorrectAbove: 3, DiscardAbove: 10}
	for percent, want := range map[float64]ControlBand{0: ControlsFine, 3: ControlsFine, 3.01: ControlsCorrect, 10: ControlsCorrect, 10.01: ControlsDiscard, 100: ControlsDiscard} {
		if got := limits.Band(percent); got != want {
			t.Errorf("control mortality %g %%: %v, want %v", percent, got, want)
		}
	}
}

// singleOf has one treated vial and one control.
func singleOf(t *testing.T, dead, exposed, controlDead, controlExposed int, rules RuleSet) *Single {
	t.Helper()
	a := assayOf("single", row{2, float64(exposed), float64(dead)})
	if controlExposed > 0 {
		a = assayOf("single", row{0, float64(controlExposed), float64(controlDead)}, row{2, float64(exposed), float64(dead)})
	}
	s, ok := NewSingle(a, MoribundDead, rules, 0.95)
	if !ok {
		t.Fatalf("%d of %d: not taken for a single concentration", dead, exposed)
	}
	return s
}

// TestSingleExactLimits compares with the exact binomial limits (Clopper &
// Pearson, 95 %) of the project's check values: 0/30 upper 11.57 %, 0/60 upper
// 5.96 %, 28/30 77.93-99.18 %, 98/100 92.96-99.76 %.
func TestSingleExactLimits(t *testing.T) {
	const printed = 0.005 // percent, half of the last digit given
	for _, c := range []struct {
		dead, exposed int
		lower, upper  float64 // mortality, percent
	}{{30, 30, 100 - 11.57, 100}, {60, 60, 100 - 5.96, 100}, {28, 30, 77.93, 99.18}, {98, 100, 92.96, 99.76}} {
		s := singleOf(t, c.dead, c.exposed, 0, 20, RuleSet{})
		m := s.Mortality
		if math.Abs(100*m.Lower-c.lower) > printed+1e-9 || math.Abs(100*m.Upper-c.upper) > printed+1e-9 {
			t.Errorf("%d of %d: %g to %g, want %g to %g", c.dead, c.exposed, 100*m.Lower, 100*m.Upper, c.lower, c.upper)
		}
		if math.Abs(m.Lower+s.Survival.Upper-1) > 1e-9 || math.Abs(m.Upper+s.Survival.Lower-1) > 1e-9 || s.Survivors != c.exposed-c.dead {
			t.Errorf("%d of %d: mortality %v, survival %v", c.dead, c.exposed, m, s.Survival)
		}
	}
}

func TestSingleStatement(t *testing.T) {
	for want, c := range map[string][2]int{
		"0 of 30 survivors is compatible with up to 11.6 % survivors":       {30, 30},
		"2 of 30 survivors is compatible with 0.818 to 22.1 % survivors":    {28, 30},
		"30 of 30 survivors is compatible with 88.4 % or more survivors":    {0, 30},
		"1 of 1 survivor is compatible with 2.5 % or more survivors (exact": {0, 1},
	} {
		if got := singleOf(t, c[0], c[1], 0, 20, RuleSet{}).Statement; !strings.HasPrefix(got, want) {
			t.Errorf("says %q, want %q", got, want)
		}
	}
}

func TestSingleClass(t *testing.T) {
	controls := &ControlLimits{CorrectAbove: 5, DiscardAbove: 20}
	rules := RuleSet{Controls: controls, Classes: whoClasses}
	for _, c := range []struct {
		dead, exposed, controlDead, controlExposed int
		class, lowest, highest                     string
		corrected                                  bool
	}{
		{100, 100, 0, 20, "susceptible", "to be confirmed", "susceptible", false},
		{200, 200, 0, 20, "susceptible", "susceptible", "susceptible", false},
		{97, 100, 0, 20, "to be confirmed", "to be confirmed", "susceptible", false},
		{50, 100, 0, 20, "resistant", "resistant", "resistant", false},
		{91, 100, 1, 20, "to be confirmed", "resistant", "to be confirmed", false}, // 5 % of controls: as counted
		{91, 100, 3, 20, "resistant", "resistant", "to be confirmed", true},        // 15 %: 89.4 % once corrected
		{91, 100, 0, 0, "to be confirmed", "resistant", "to be confirmed", false},  // no controls
	} {
		s := singleOf(t, c.dead, c.exposed, c.controlDead, c.controlExposed, rules)
		k := s.Class
		if k == nil {
			t.Fatalf("%+v: no class: %s", c, s.NoClass)
		}
		if k.Class != c.class || k.Lowest != c.lowest || k.Highest != c.highest || k.Corrected != c.corrected {
			t.Errorf("%+v: %+v", c, *k)
		}
		if k.Certain() != (c.lowest == c.highest) || k.Borrowed != "mosquitoes" {
			t.Errorf("%+v: certain %v, borrowed from %q", c, k.Certain(), k.Borrowed)
		}
	}
	for want, s := range map[string]*Single{
		"no rule set": singleOf(t, 9, 10, 0, 20, RuleSet{Controls: controls}),
		"5 of 20 untreated mites died, above the limit of 20 %": singleOf(t, 9, 10, 5, 20, rules),
		"every untreated mite died":                             singleOf(t, 9, 10, 20, 20, RuleSet{Classes: whoClasses}),
	} {
		if s.Class != nil || !strings.Contains(s.NoClass, want) {
			t.Errorf("%q: class %v, because %q", want, s.Class, s.NoClass)
		}
	}
}

// TestMitesForBest agrees with the exact limits themselves.
func TestMitesForBest(t *testing.T) {
	n := singleOf(t, 50, 100, 0, 20, RuleSet{Classes: whoClasses}).Class.MitesForBest
	if exact(n, n, 0.95).Lower < 0.98 || exact(n-1, n-1, 0.95).Lower >= 0.98 {
		t.Errorf("%d mites: lower limit %g; one fewer: %g", n, exact(n, n, 0.95).Lower, exact(n-1, n-1, 0.95).Lower)
	}
}

func TestNewSingleRefuses(t *testing.T) {
	for name, a := range map[string]Assay{
		"two concentrations": assayOf("a", row{1, 10, 5}, row{2, 10, 5}),
		"only controls":      assayOf("a", row{0, 10, 1}),
		"nothing":            {},
		"impossible":         assayOf("a", row{1, 10, 11}),
	} {
		if _, ok := NewSingle(a, MoribundDead, RuleSet{}, 0.95); ok {
			t.Errorf("%s: taken for a single concentration", name)
		}
	}
	a := assayOf("a", row{1, 10, 5}, row{2, 0, 0}, row{1, 8, 2})
	a.Containers[0].Moribund = 2
	if s, ok := NewSingle(a, MoribundDead, RuleSet{}, 0.95); !ok || s.Dead != 9 || s.Exposed != 18 {
		t.Errorf("%v, %+v", ok, s)
	}
	if s, _ := NewSingle(a, MoribundAlive, RuleSet{}, 0.95); s.Dead != 7 {
		t.Errorf("moribund as alive: %+v", s)
	}
}

// TestCorrectedMortality: the estimate is Abbott's (50 % with a control of 10 %
// gives 44.44 %; MR4, Methods in Anopheles Research, ch. 5), and the limits tend
// to the exact ones.
func TestCorrectedMortality(t *testing.T) {
	if p := CorrectedMortality(50, 100, 10, 100, 0.95); math.Abs(100*p.Estimate-44.44) > 0.005 {
		t.Errorf("50 %% with a control of 10 %%: %g", 100*p.Estimate)
	}
	for _, dead := range []int{0, 1, 15, 29, 30} {
		plain := exact(dead, 30, 0.95)
		if p := CorrectedMortality(dead, 30, 0, 1_000_000, 0.95); math.Abs(p.Lower-plain.Lower) > 1e-4 || math.Abs(p.Upper-plain.Upper) > 1e-4 {
			t.Errorf("%d of 30, a million controls alive: %v, exact %v", dead, p, plain)
		}
		for _, controls := range []int{5, 20, 100} {
			if p := CorrectedMortality(dead, 30, 0, controls, 0.95); p.Lower > plain.Lower+1e-12 || p.Upper < plain.Upper-1e-12 {
				t.Errorf("%d of 30, %d controls alive: %v is narrower than %v", dead, controls, p, plain)
			}
		}
	}
	for dead := 0; dead <= 12; dead++ {
		for controlDead := 0; controlDead < 12; controlDead++ {
			p := CorrectedMortality(dead, 12, controlDead, 12, 0.95)
			if !(0 <= p.Lower && p.Lower <= p.Estimate && p.Estimate <= p.Upper && p.Upper <= 1) {
				t.Errorf("%d of 12 with controls %d of 12: %v", dead, controlDead, p)
			}
		}
	}
}

// TestCorrectedMortalityCoverage sums the exact probability that the limits
// hold the truth, without simulation: at least 95 % in every cell.
func TestCorrectedMortalityCoverage(t *testing.T) {
	least, mean, cells := 1.0, 0.0, 0
	for _, exposed := range []int{20, 30, 60} {
		for _, controls := range []int{12, 20, 36} {
			limits := map[[2]int]Proportion{}
			for d := 0; d <= exposed; d++ {
				for c := 0; c < controls; c++ {
					limits[[2]int{d, c}] = CorrectedMortality(d, exposed, c, controls, 0.95)
				}
			}
			for _, natural := range []float64{0.01, 0.05, 0.1, 0.2} {
				for _, mortality := range []float64{0, 0.3, 0.5, 0.8, 0.9, 0.98, 1} {
					p := natural + (1-natural)*mortality
					covered, possible := 0.0, 0.0
					for k, l := range limits {
						w := mass(k[0], exposed, p) * mass(k[1], controls, natural)
						possible += w
						if l.Lower-1e-12 <= mortality && mortality <= l.Upper+1e-12 {
							covered += w
						}
					}
					cover := covered / possible
					least, mean, cells = min(least, cover), mean+cover, cells+1
					if cover < 0.95 {
						t.Errorf("%d treated, %d controls, C %g, mortality %g: covered %.4f", exposed, controls, natural, mortality, cover)
					}
				}
			}
		}
	}
	t.Logf("least %.4f, mean %.4f of %d cells", least, mean/float64(cells), cells)
}

// mass is the binomial probability.
func mass(k, n int, p float64) float64 {
	if p == 1 {
		return map[bool]float64{true: 1}[k == n]
	}
	return math.Exp(logChoose(n, k) + float64(k)*math.Log(p) + float64(n-k)*math.Log1p(-p))
}
