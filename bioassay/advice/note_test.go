package advice

import (
	"math"
	"slices"
	"strings"
	"testing"
	"unicode"

	"vialwise/bioassay"
)

func write(t *testing.T, c Context, findings ...Finding) Note {
	t.Helper()
	n, err := Write(findings, c)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// TestCases demands of the named cases the statements that make them right.
func TestCases(t *testing.T) {
	for name, c := range map[string]struct{ has, lacks []string }{
		"susceptible":     {[]string{"found-susceptible", "do-change", "do-tested", "dont-last"}, []string{"dont-failing", "do-send"}},
		"resistant":       {[]string{"found-resistant", "field-weak", "dont-failing", "do-untested"}, []string{"dont-last", "do-tested"}},
		"unclear":         {[]string{"found-unclear", "sure-wide", "sure-chance", "do-send-least", "dont-unclear", "next-soon"}, []string{"found-resistant", "sure-clear"}},
		"failed":          {[]string{"found-discarded", "do-send", "next-soon"}, []string{"found-resistant", "sure-clear", "dont-failing"}},
		"minority":        {[]string{"found-some", "sure-some", "dont-failing"}, []string{"found-resistant", "found-susceptible"}},
		"everything":      {[]string{"found-all", "do-no-option"}, []string{"do-tested", "do-untested", "do-check", "do-change"}},
		"field":           {[]string{"found-susceptible", "field-brood", "do-field"}, []string{"found-resistant", "dont-failing"}},
		"stale":           {[]string{"found-stale", "do-tested-old", "next-soon"}, []string{"do-tested"}},
		"none-authorised": {[]string{"do-no-option", "dont-group"}, []string{"do-tested", "do-untested", "do-check"}},
		"no-list":         {[]string{"do-no-list"}, []string{"do-no-option", "care-list"}},
		"one-group":       {[]string{"dont-group", "dont-last", "do-untested"}, nil},
		"foreign":         {[]string{"found-foreign", "do-send", "dont-unclear"}, []string{"found-resistant", "found-susceptible"}},
		"open":            {[]string{"do-check"}, []string{"do-tested", "do-untested"}},
		"untested":        {[]string{"found-none", "do-untested", "dont-repeat", "next-soon"}, []string{"do-change"}},
	} {
		n := write(t, cases()[name].Context, cases()[name].Findings...)
		for _, rule := range c.has {
			if !n.Holds(rule) {
				t.Errorf("%s lacks %s", name, rule)
			}
		}
		for _, rule := range c.lacks {
			if n.Holds(rule) {
				t.Errorf("%s holds %s", name, rule)
			}
		}
	}
}

// TestExplain demands for every statement its rule with a source, and for one
// the finding behind it.
func TestExplain(t *testing.T) {
	c := cases()["mixed"]
	n := write(t, c.Context, c.Findings...)
	statements := 0
	for _, s := range n.Sections {
		statements += len(s.Statements)
	}
	reasons := n.Explain()
	if len(reasons) != statements {
		t.Fatalf("%d reasons for %d statements", len(reasons), statements)
	}
	for _, r := range reasons {
		if r.When == "" || r.Source == "" || r.Statement == "" {
			t.Errorf("%+v", r)
		}
		if r.Rule == "found-resistant" && (len(r.Findings) != 1 || r.Findings[0].Acaricide != "tau-fluvalinate" || !strings.Contains(r.String(), "RR50 14 (9 to 21) against a variation of 2.6")) {
			t.Errorf("%v", r)
		}
		if r.Rule == "do-no-option" && !strings.Contains(r.Because, "not oxalic acid: not with brood, by the list") {
			t.Errorf("%v", r)
		}
	}
	if len(n.LeftOut) == 0 {
		t.Error("the full page left nothing out")
	}
}

// TestEveryRuleSpeaks finds each rule in some note of the cases or the grid.
func TestEveryRuleSpeaks(t *testing.T) {
	spoken := map[string]bool{}
	mark := func(n Note) {
		for _, s := range n.Sections {
			for _, r := range s.Statements {
				spoken[r.Rule] = true
			}
		}
	}
	for _, c := range cases() {
		mark(write(t, c.Context, c.Findings...))
	}
	for i, c := range grid() {
		if i%11 == 0 && len(c.expected) > 0 {
			c.context.Contact = ""
			mark(write(t, c.context, c.expected[0].finding))
		}
	}
	falling := aKind("amitraz", "susceptible")
	falling.Trend = TrendFalling
	mark(write(t, harbour(), falling))
	older := aKind("coumaphos", "susceptible")
	older.TestedOn = oldDay
	mark(write(t, harbour(), falling, older))
	for _, r := range Rules() {
		if !spoken[r.ID] {
			t.Errorf("no note holds %s", r.ID)
		}
		if r.When == "" || r.Source == "" {
			t.Errorf("rule %s has no condition or no source", r.ID)
		}
	}
}

// TestNewestCounts: of two findings on one acaricide the newest usable one
// counts, and the other is set aside, not lost.
func TestNewestCounts(t *testing.T) {
	old, now, failed := aKind("amitraz", "resistant"), aKind("amitraz", "susceptible"), aKind("Amitraz ", "failed")
	old.TestedOn, failed.TestedOn = oldDay, noteDay
	n := write(t, harbour(), old, now, failed)
	if len(n.Read) != 1 || n.Read[0].Finding != 1 || n.Read[0].Reading != Susceptible || len(n.Set) != 2 {
		t.Errorf("read %+v, set aside %+v", n.Read, n.Set)
	}
	same := aKind("amitraz", "resistant")
	if n = write(t, harbour(), now, same); n.Read[0].Reading != Resistant {
		t.Errorf("on one day the graver reading counts, not %v", n.Read[0].Reading)
	}
}

// TestHostile: no text from outside can steer a terminal, turn the direction of
// writing, fill the page or be taken for a placeholder.
func TestHostile(t *testing.T) {
	hostile := "{n}\x1b[31m\u202e\u200b\x00\xff<b>\nx\r\t" + strings.Repeat("long ", 200)
	f := aKind(hostile, "resistant")
	f.Variation.Name, f.Variation.Source, f.Variation.Borrowed = hostile, hostile, hostile
	c := harbour()
	c.Apiary, c.Contact, c.Version = hostile, hostile, hostile
	c.Treatments = []Treatment{{Acaricide: hostile, On: testDay}}
	c.Authorised.Actives = append(c.Authorised.Actives, Active{Acaricide: "amitraz", Other: hostile})
	n := write(t, c, f)
	texts := n.Text()
	for _, r := range n.Explain() {
		texts += r.String()
	}
	for _, b := range n.Barred {
		texts += b.Acaricide + b.Why
	}
	for _, r := range texts {
		if r != '\n' && !unicode.IsPrint(r) || r == unicode.ReplacementChar {
			t.Fatalf("%q stands in %q", r, texts)
		}
	}
	if !strings.Contains(texts, "{n}") || !strings.Contains(texts, "<b>") || n.Words() > MostWords {
		t.Errorf("%d words: %s", n.Words(), texts)
	}
}

func TestWriteRefuses(t *testing.T) {
	f, c := aKind("amitraz", "resistant"), harbour()
	for name, change := range map[string]func(*Finding, *Context){
		"no acaricide is named":         func(f *Finding, _ *Context) { f.Acaricide = " " },
		"found -1 mites":                func(f *Finding, _ *Context) { f.Mites = -1 },
		"RR50: the lower limit 21":      func(f *Finding, _ *Context) { f.RR50 = KnownRange(14, 21, 9) },
		"RR90: found -2":                func(f *Finding, _ *Context) { f.RR90 = KnownRange(1, -2, 3) },
		"resistant fraction: found 1.5": func(f *Finding, _ *Context) { f.Minority.Fraction = KnownRange(0.5, 0.1, 1.5) },
		"expected survivors: found 120": func(f *Finding, _ *Context) { f.Survivors = KnownRange(90, 80, 120) },
		"susceptible variation of 0.5":  func(f *Finding, _ *Context) { f.Variation.Fold = 0.5 },
		"not in order": func(f *Finding, _ *Context) {
			f.Single = Single{Exposed: 3, Survival: KnownRange(0, 0, 1), SusceptibleUpTo: 2}
		},
		"probability of NaN for band":    func(f *Finding, _ *Context) { f.Bands.List = []Band{{Name: "low", Probability: math.NaN()}} },
		"the note has no date":           func(_ *Finding, c *Context) { c.Date = bioassay.Date{} },
		"no messages in language \"fr\"": func(_ *Finding, c *Context) { c.Language = "fr" },
		"found -1 and 0 months":          func(_ *Finding, c *Context) { c.StaleMonths = -1 },
		"expected temperature":           func(_ *Finding, c *Context) { c.Temperature = KnownRange(20, 10, 300) },
		"efficacy of thymol": func(_ *Finding, c *Context) {
			c.Treatments = []Treatment{{Acaricide: "thymol", Efficacy: KnownRange(101, 99, 102)}}
		},
		"temperature on the list for": func(_ *Finding, c *Context) {
			c.Authorised.Actives = []Active{{Acaricide: "thymol", Temperature: KnownRange(0, 9, 3)}}
		},
	} {
		f, c := f, c
		change(&f, &c)
		if _, err := Write([]Finding{f}, c); err == nil || !strings.Contains(err.Error(), name) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestPage(t *testing.T) {
	c := cases()["mixed"]
	p := write(t, c.Context, c.Findings...).Page()
	if p.Language != "en" || len(p.Blocks) != 7 || len(p.SmallPrint) == 0 || p.Picture.Heading == "" {
		t.Errorf("%+v", p)
	}
	if !slices.IsSortedFunc(p.Picture.Rows, func(a, b Picture) int { return b.Likely - a.Likely }) {
		t.Errorf("%+v", p.Picture.Rows)
	}
	row := p.Picture.Rows[0]
	if row.Likely != 71 || row.Low != 58 || row.High != 82 || row.Acaricide != "tau-fluvalinate" {
		t.Errorf("%+v", row)
	}
	for line := range strings.Lines(write(t, c.Context, c.Findings...).Text()) {
		if n := len([]rune(strings.TrimRight(line, "\n"))); n > 72 {
			t.Errorf("%d characters: %s", n, line)
		}
	}
}
