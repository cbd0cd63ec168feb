package rules

import (
	"errors"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/BurntSushi/toml"

	"vialwise/bioassay"
)

// good is a programme file without fault; the cases of TestErrors break it.
const good = `name = "ours"
fallback_rule_sets = ["our-controls"]

[[rule_set]]
name = "our-controls"
source = "common practice"
[rule_set.controls]
correct_above = 5
discard_above = 15

[[rule_set]]
name = "our-classes"
source = "common practice"
[rule_set.classes]
at = "our dose"
bands = [
  { name = "good", at_least = 95 },
  { name = "fair", above = 50 },
  { name = "poor" },
]
[rule_set.ratio_bands]
percent = 50
bands = [{ name = "high", above = 10 }, { name = "low" }]
[rule_set.design]
mites_in_all = 80
step_factor = 3.5

[[protocol]]
name = "our-dish"
surface = "dish"
series = "concentration"
unit = "ug/dish"
exposure_h = 6
reading_h = 24
death = "still"
rule_sets = ["our-controls", "our-classes"]
source = "common practice"

[[override]]
assay = "A"
code = "controls-failed"
by = "J. Doe"
on = "2031-06-02"
because = "reasons"
`

func TestGood(t *testing.T) {
	p, err := Read("ours.toml", strings.NewReader(good))
	if err != nil {
		t.Fatal(err)
	}
	r, _ := p.RuleSet("our-classes")
	if r.Classes.Bands.Of(95).Name != "good" || r.Classes.Bands.Of(50).Name != "poor" || r.Ratios.Percent != 50 || r.Design.StepFactor.Value != 3.5 || r.Design.StepFactor.Name != "our-classes" {
		t.Errorf("%+v", r)
	}
	if len(p.Overrides) != 1 || p.Overrides[0].On != (bioassay.Date{Year: 2031, Month: 6, Day: 2}) || !slices.Equal(p.Fallback, []string{"our-controls"}) {
		t.Errorf("%+v, %v", p.Overrides, p.Fallback)
	}
}

// TestErrors breaks one line of the good file at a time.
func TestErrors(t *testing.T) {
	const vial = "name = \"vial-residue\""
	for name, c := range map[string]struct {
		old, new string
		want     string // start of an error, after the name of the file
		says     string
	}{
		"syntax":                    {"correct_above = 5", "correct_above = ", ":8", "correct the line"},
		"key twice":                 {"discard_above = 15", "correct_above = 15", ":9", "already"},
		"unknown key at the top":    {"name = \"ours\"", "names = \"ours\"", ":1: names: the key is not known here", "fallback_rule_sets, map, name"},
		"unknown table":             {"[[override]]", "[[overrides]]", ":39: overrides", "not known here"},
		"unknown key":               {"discard_above = 15", "discard_at = 15", ":9: rule_set[1].controls.discard_at", "discard_above"},
		"limit is not given":        {"discard_above = 15", "", ":7: rule_set[1].controls.discard_above", "add discard_above"},
		"unknown key in a band":     {"above = 50", "over = 50", ":16: rule_set[2].classes.bands[2]", "one lower bound"},
		"unknown key in a protocol": {"death = ", "dead = ", ":35: protocol[1].dead", "death"},
		"wrong type":                {"discard_above = 15", `discard_above = "15"`, `:9: rule_set[1].controls.discard_above: found "15"`, "without quotation marks"},
		"text for a list":           {`rule_sets = ["our-controls", "our-classes"]`, `rule_sets = "our-controls"`, ":36: protocol[1].rule_sets", "list of texts"},
		"number for a text":         {`unit = "ug/dish"`, "unit = 5", ":32: protocol[1].unit: found 5", "in quotation marks"},
		"number for a flag":         {`surface = "dish"`, "surface = \"dish\"\nreplaces = 1", ":31: protocol[1].replaces", "true or false"},
		"table for an array":        {"[[override]]", "[override]", ":39: override", "[[override]]"},
		"out of range":              {"discard_above = 15", "discard_above = 150", ":9: rule_set[1].controls.discard_above: found 150", "between 0 and 100"},
		"not a number":              {"discard_above = 15", "discard_above = nan", ":9: rule_set[1].controls.discard_above: found NaN", "between 0 and 100"},
		"limits exchanged":          {"correct_above = 5", "correct_above = 50", ":9: rule_set[1].controls.discard_above: found 15", "below that of correction, 50"},
		"bands out of order":        {"at_least = 95", "at_least = 45", ":16: rule_set[2].classes.bands[2]", "not below that of the band before it, 45"},
		"band with two bounds":      {"at_least = 95", "at_least = 95, above = 95", ":16: rule_set[2].classes.bands[1]", "either at_least or above"},
		"lowest band with a bound":  {`name = "poor"`, `name = "poor", above = 1`, ":16: rule_set[2].classes.bands[3]", "the lowest band has a bound"},
		"two bands of a name":       {`name = "poor"`, `name = "good"`, ":16: rule_set[2].classes.bands[3].name", "two bands"},
		"one band":                  {`{ name = "high", above = 10 }, `, "", ":23: rule_set[2].ratio_bands.bands", "fewer than two"},
		"no percent":                {"percent = 50\n", "", ":21: rule_set[2].ratio_bands.percent", "which LC"},
		"half a mite":               {"mites_in_all = 80", "mites_in_all = 80.5", ":25: rule_set[2].design.mites_in_all: found 80.5", "not whole"},
		"step below one":            {"step_factor = 3.5", "step_factor = 0.5", ":26: rule_set[2].design.step_factor", "between 1.01"},
		"least above most":          {"step_factor = 3.5", "mites_per_container = 20\nmost_per_container = 10", ":27: rule_set[2].design.most_per_container", "below the least, 20"},
		"no source":                 {"source = \"common practice\"\n[rule_set.controls]", "[rule_set.controls]", ":4: rule_set[1].source", `"common practice" where there is none`},
		"no rule":                   {"[rule_set.controls]\ncorrect_above = 5\ndiscard_above = 15\n", "", ":4: rule_set[1]: the rule set holds no rule", ""},
		"name of a built-in set":    {`name = "our-controls"`, `name = "tube-controls"`, ":5: rule_set[1].name", "replaces = true"},
		"name of a built-in way":    {`name = "our-dish"`, vial, ":29: protocol[1].name", "replaces = true"},
		"nothing to replace":        {`surface = "dish"`, "surface = \"dish\"\nreplaces = true", ":31: protocol[1].replaces", `no built-in protocol "our-dish"`},
		"a set twice":               {`name = "our-classes"`, `name = "our-controls"`, ":12: rule_set[2].name", "also defined on line 4"},
		"name with a space":         {`name = "our-dish"`, `name = "our dish"`, ":29: protocol[1].name", "hyphens"},
		"line break in a text":      {`death = "still"`, `death = "st\nill"`, ":35: protocol[1].death", "one line"},
		"unknown rule set":          {`["our-controls", "our-classes"]`, `["our-controls", "your-classes"]`, ":36: protocol[1].rule_sets", `no rule set "your-classes"`},
		"rule sets that overlap":    {`["our-controls", "our-classes"]`, `["our-controls", "tube-controls"]`, ":36: protocol[1].rule_sets", "both set control limits"},
		"unknown fallback":          {`fallback_rule_sets = ["our-controls"]`, `fallback_rule_sets = ["other"]`, ":2: fallback_rule_sets", `no rule set "other"`},
		"no rule sets":              {`rule_sets = ["our-controls", "our-classes"]`, "", ":28: protocol[1].rule_sets", "names no rule set"},
		"empty rule sets":           {`rule_sets = ["our-controls", "our-classes"]`, "rule_sets = []", ":36: protocol[1].rule_sets", "names no rule set"},
		"unknown series":            {`series = "concentration"`, `series = "dose"`, ":31: protocol[1].series", "concentration, exposure-time or single"},
		"unknown unit":              {`unit = "ug/dish"`, `unit = "drops"`, ":32: protocol[1].unit", `"drops" is not known`},
		"ppm that is not explained": {`unit = "ug/dish"`, `unit = "ppm"`, ":32: protocol[1].unit", "two meanings"},
		"time as unit of a dose":    {`unit = "ug/dish"`, `unit = "min"`, ":32: protocol[1].unit", "exposure-time"},
		"dose as unit of a time":    {`series = "concentration"`, `series = "exposure-time"`, ":32: protocol[1].unit", "no time"},
		"exposure fixed and varied": {`series = "concentration"`, `series = "exposure-time"`, ":33: protocol[1].exposure_h", "the series varies it"},
		"reading before the end":    {"reading_h = 24", "reading_h = 4", ":34: protocol[1].reading_h: found 4", "before the end of the exposure, 6 h"},
		"nobody answers":            {`by = "J. Doe"`, "", ":39: override[1].by", "there is no by"},
		"no day":                    {`on = "2031-06-02"`, "", ":39: override[1].on", "there is no date"},
		"day of another form":       {`on = "2031-06-02"`, `on = "02.06.2031"`, `:43: override[1].on: found "02.06.2031"`, "2031-04-09"},
		"a moment, not a day":       {`on = "2031-06-02"`, `on = 2031-06-02T10:00:00Z`, ":43: override[1].on", "not a calendar day"},
		"code that lifts nothing":   {`code = "controls-failed"`, `code = "few-mites"`, ":41: override[1].code", "controls-failed, counted-twice, doses-reversed"},
		"lifted twice":              {"because = \"reasons\"\n", "because = \"reasons\"\n[[override]]\nassay = \"A\"\ncode = \"controls-failed\"\nby = \"x\"\non = 2031-01-01\nbecause = \"x\"\n", ":45: override[2]", "on line 39"},
	} {
		broken := strings.Replace(good, c.old, c.new, 1)
		if broken == good {
			t.Errorf("%s: %q is not in the file", name, c.old)
			continue
		}
		p, err := Read("ours.toml", strings.NewReader(broken))
		var list Errors
		if p != nil || !errors.As(err, &list) {
			t.Errorf("%s: %+v, %v", name, p, err)
			continue
		}
		want := "ours.toml" + c.want
		if !slices.ContainsFunc(list, func(e *Error) bool {
			return strings.HasPrefix(e.Error(), want) && strings.Contains(e.Error(), c.says)
		}) {
			t.Errorf("%s: no error begins with %q and says %q among\n%v", name, want, c.says, err)
		}
		for _, e := range list {
			if e.Remedy == "" || e.Line == 0 {
				t.Errorf("%s: an error without line or remedy: %v", name, e)
			}
		}
	}
}

// TestErrorsCannotSteerATerminal, whatever stands in keys and values.
func TestErrorsCannotSteerATerminal(t *testing.T) {
	for _, text := range []string{"\"\\u001b[2J\" = 1\n", "name = \"a\\u009b31m\"\n", "name = [\"\\u202e\"]\n"} {
		_, err := Read("f", strings.NewReader(text))
		if err == nil || strings.ContainsFunc(err.Error(), func(r rune) bool { return r != '\n' && unprintable(r) }) {
			t.Errorf("%q: %q", text, err)
		}
	}
}

// TestErrorsAllAtOnce, by rising line, and each of them reachable.
func TestErrorsAllAtOnce(t *testing.T) {
	broken := strings.NewReplacer("discard_above = 15", "discard_above = 1", "reading_h = 24", "reading_h = 1", "name = \"ours\"", "nom = 1").Replace(good)
	_, err := Read("ours.toml", strings.NewReader(broken))
	lines := regexp.MustCompile(`(?m)^ours\.toml:(\d+): `).FindAllStringSubmatch(err.Error(), -1)
	if len(lines) != 3 || lines[0][1] != "1" || lines[1][1] != "9" || lines[2][1] != "34" {
		t.Errorf("%v", err)
	}
	var one *Error
	if !errors.As(err, &one) || one.File != "ours.toml" {
		t.Errorf("%v", one)
	}
	_, err = Read("ours.toml", strings.NewReader("= 1"))
	var parse toml.ParseError
	if !errors.As(err, &parse) {
		t.Errorf("the cause is not kept: %v", err)
	}
}
