package rules

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"vialwise/bioassay"
)

// TestBuiltinFacts compares with the facts of the trade that the project keeps,
// each with its source beside it in the file.
func TestBuiltinFacts(t *testing.T) {
	p := Builtin()
	for name, want := range map[string]struct {
		correct, discard float64
		source, borrowed string
	}{
		"bottle-controls":  {3, 10, "MR4", "mosquitoes"},
		"tube-controls":    {5, 20, "WHO tube test, from memory", "mosquitoes"},
		"bee-controls":     {0, 10, "OECD", "honey bees"},
		"contact-controls": {0, 30, "varroa contact test, from memory", ""},
	} {
		r, ok := p.RuleSet(name)
		if !ok || r.Controls == nil {
			t.Errorf("%s: %+v", name, r)
			continue
		}
		if c := r.Controls; c.CorrectAbove != want.correct || c.DiscardAbove != want.discard || !strings.Contains(c.Source, want.source) || c.Borrowed != want.borrowed {
			t.Errorf("%s: %+v", name, c)
		}
	}
	design, _ := p.RuleSet("arena-design")
	if d := design.Design; d.MitesPerContainer.Value != 10 || d.MostPerContainer.Value != 15 || d.Concentrations.Value != 5 || d.StepFactor.Value != 2.2 || !strings.Contains(d.StepFactor.Source, "BEEBOOK") {
		t.Errorf("arena-design: %+v", d)
	}
	for _, c := range []struct {
		set   string
		value float64
		want  string
	}{
		{"lc90-classes", 71, "not resistant"}, {"lc90-classes", 70, "moderately resistant"}, {"lc90-classes", 40, "moderately resistant"}, {"lc90-classes", 39, "highly resistant"},
		{"discriminating-classes", 98, "susceptible"}, {"discriminating-classes", 97.9, "to be confirmed"}, {"discriminating-classes", 90, "to be confirmed"}, {"discriminating-classes", 89.9, "resistant"},
		{"fold-bands", 4.9, "low"}, {"fold-bands", 5, "moderate"}, {"fold-bands", 10, "moderate"}, {"fold-bands", 10.1, "high"},
	} {
		r, _ := p.RuleSet(c.set)
		bands := bioassay.RuleBands(nil)
		if r.Classes != nil {
			bands = r.Classes.Bands
		} else if r.Ratios != nil {
			bands = r.Ratios.Bands
		}
		if len(bands) != 3 || bands.Of(c.value).Name != c.want {
			t.Errorf("%s at %g: %+v", c.set, c.value, bands)
		}
	}
}

// TestBuiltinProtocols: six, each complete, and every rule says where it is from
// and where it is borrowed.
func TestBuiltinProtocols(t *testing.T) {
	p := Builtin()
	var names []string
	for _, q := range p.Protocols {
		names = append(names, q.Name)
		rules, err := p.Rules(q.RuleSets)
		if err != nil || rules.Controls == nil || !rules.Design.MitesInAll.Set {
			t.Errorf("%s: %+v, %v", q.Name, rules, err)
		}
		if q.Title == "" || q.Surface == "" || q.Death == "" || q.Source == "" || !q.ReadingHours.Known || q.ExposureHours.Known == (q.Series == bioassay.SeriesExposureTime) {
			t.Errorf("%s is not complete: %+v", q.Name, q)
		}
		if (rules.Classes != nil) != (q.Series == bioassay.SeriesSingle) {
			t.Errorf("%s: classes %v for a series by %v", q.Name, rules.Classes, q.Series)
		}
	}
	if want := []string{"vial-residue", "strip-jar", "coated-capsule", "dish-residue", "vapour", "discriminating"}; !slices.Equal(names, want) {
		t.Errorf("protocols %v, want %v", names, want)
	}
	for _, r := range p.RuleSets {
		if (strings.Contains(r.Source, "WHO") || strings.Contains(r.Source, "MR4")) != (r.Borrowed == "mosquitoes") {
			t.Errorf("%s: source %q, borrowed from %q", r.Name, r.Source, r.Borrowed)
		}
	}
}

// TestBuiltinIsFresh keeps one programme from changing another.
func TestBuiltinIsFresh(t *testing.T) {
	p := Builtin()
	p.Protocols[0].Name, p.RuleSets[0].Controls.DiscardAbove = "changed", 99
	if q := Builtin(); q.Protocols[0].Name == "changed" || q.RuleSets[0].Controls.DiscardAbove == 99 {
		t.Error("a change to one programme shows in the next")
	}
}

func TestLoadExample(t *testing.T) {
	p, err := Load(filepath.Join("testdata", "harbour.toml"))
	if err != nil {
		t.Fatal(err)
	}
	own, ok := p.Protocol("harbour-dish")
	if !ok || own.Minimum.InAll != 90 || own.Container.AreaCm2 != 19.6 || own.Moribund != bioassay.MoribundDead || own.ExposureHours != bioassay.Known(6) {
		t.Errorf("%+v", own)
	}
	vial, _ := p.Protocol("vial-residue")
	if vial.ReadingHours != bioassay.Known(48) || vial.Moribund != bioassay.MoribundAlive || len(p.Protocols) != 7 {
		t.Errorf("replaced: %+v, %d protocols", vial, len(p.Protocols))
	}
	want := bioassay.Override{
		Assay: "Pier-2031-spring", Code: bioassay.ControlsFailed, By: "J. Doe, laboratory head (invented)",
		On: bioassay.Date{Year: 2031, Month: 6, Day: 2}, Why: "one control vial was left open overnight; the two others lost 1 of 30 mites",
		Origin: bioassay.Origin{File: filepath.Join("testdata", "harbour.toml"), Line: 44},
	}
	if len(p.Overrides) != 1 || p.Overrides[0] != want || !strings.HasPrefix(p.Name, "Harbour") {
		t.Errorf("%q, %+v", p.Name, p.Overrides)
	}
	if _, err := Load("testdata/none.toml"); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("a file that is not there: %v", err)
	}
}

func TestReadRefusesOtherFiles(t *testing.T) {
	for name, text := range map[string]string{
		"a table": "assay,concentration,exposed,dead\nA,0,20,1\n", "a huge file": strings.Repeat("# \n", maxBytes/3+1),
		"not text": "\x00\x01PK", "Latin-1": "name = \"caf\xe9\"\n",
	} {
		if p, err := Read(name, strings.NewReader(text)); err == nil {
			t.Errorf("%s was read as %+v", name, p)
		}
	}
	if p, err := Read("empty", strings.NewReader("")); err != nil || len(p.Protocols) != 6 {
		t.Errorf("an empty file, which adds nothing: %v", err)
	}
}

// TestReplacedRuleSet: one that upsets a built-in protocol is refused.
func TestReplacedRuleSet(t *testing.T) {
	const upset = "[[rule_set]]\nname = \"bench-habits\"\nreplaces = true\nsource = \"ours\"\n[rule_set.design]\nstep_factor = 3\n"
	if _, err := Read("ours.toml", strings.NewReader(upset)); err == nil || !strings.Contains(err.Error(), `"arena-design" and "bench-habits" both set step_factor`) {
		t.Errorf("%v", err)
	}
}

func TestIndexLines(t *testing.T) {
	at := indexLines(`# a remark
top = 1
text = """
top = 2
[not.a.header]
"""
quoted = '''x''' # closed on its line
[[set]]
  name = "a"
  [set.part]
  "key" = 1
[[set]]
part.key = 2
list = [
  1,
]
[[set.sub]]
x = 1
[[set.sub]]
x = 2
`)
	for path, want := range map[string]int{
		"top": 2, "text": 3, "quoted": 7, "set[1]": 8, "set[1].name": 9, "set[1].part": 10, "set[1].part.key": 11,
		"set[2].part.key": 13, "set[2].list": 14, "set[2].list[1]": 14, "set[2].sub[1].x": 18, "set[2].sub[2].x": 20, "set[2].sub[2].none": 19,
		"nothing": 0,
	} {
		if got := at.of(path); got != want {
			t.Errorf("%s is on line %d, want %d", path, got, want)
		}
	}
}
