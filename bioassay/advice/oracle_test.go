package advice

import (
	"math"
	"regexp"
	"slices"
	"strings"

	"vialwise/bioassay"
	"vialwise/bioassay/advice/readability"
)

// What a note must be is written here once more, from the findings and the
// context alone, without the rules and the data of the package.

// family names the groups of the actives in these tests.
var family = map[string]string{
	"tau-fluvalinate": "3A", "flumethrin": "3A", "acrinathrin": "3A", "amitraz": "19", "coumaphos": "1B",
	"oxalic acid": "oxalic acid", "formic acid": "formic acid", "thymol": "thymol",
}

// reporter is what the demands need of a test.
type reporter interface {
	Helper()
	Errorf(format string, args ...any)
}

// expectation is a finding with the reading that it must get.
type expectation struct {
	finding Finding
	reading Reading
}

var alwaysThere = []string{"care-label", "care-gear", "care-authority", "care-no-dose", "dont-more", "do-wash"}

// dosed matches what would be a dose or a time of treatment.
var dosed = regexp.MustCompile(`(?i)\d\s*(mg|g|ml|µl|ul|l|%|strips?|tiras?|days?|días?|weeks?|semanas?|hours?|horas?)\b|%`)

// checked are the statements without a dose so far; most notes share theirs.
var checked = map[string]bool{}

func isDosed(text string) bool {
	if checked[text] {
		return false
	}
	checked[text] = !dosed.MatchString(text)
	return !checked[text]
}

// demand checks a note against the findings on different acaricides and the
// context.
func demand(t reporter, expected []expectation, c Context, n Note) {
	t.Helper()
	for _, rule := range alwaysThere {
		if !n.Holds(rule) {
			t.Errorf("the note lacks %s", rule)
		}
	}
	if n.Holds("next-soon") == n.Holds("next-date") {
		t.Errorf("the note says once when to test next")
	}
	demandReadings(t, expected, n)
	demandOptions(t, expected, c, n)
	demandPictures(t, expected, n)
	for _, s := range n.Sections {
		for _, statement := range s.Statements {
			if s.ID != SectionPrint && s.ID != SectionAsk && isDosed(statement.Text) {
				t.Errorf("%q holds a dose or a time", statement.Text)
			}
		}
	}
	demandEase(t, n)
}

// demandReadings checks that each acaricide stands in the statement of its
// reading and in no other.
func demandReadings(t reporter, expected []expectation, n Note) {
	t.Helper()
	homes := map[Reading][]string{
		Resistant: {"found-resistant"}, Some: {"found-some", "found-slight"}, Susceptible: {"found-susceptible"},
		Raised: {"found-susceptible", "found-raised"}, Unclear: {"found-unclear"}, Discarded: {"found-discarded"}, Foreign: {"found-foreign"},
	}
	var all []string
	for _, h := range homes {
		all = append(all, h...)
	}
	for i, e := range expected {
		for _, s := range n.Section(SectionFound).Statements {
			if slices.Contains(all, s.Rule) && slices.Contains(s.About, i) && !slices.Contains(homes[e.reading], s.Rule) {
				t.Errorf("%s is %v and stands in %s: %q", e.finding.Acaricide, e.reading, s.Rule, s.Text)
			}
		}
		found := slices.ContainsFunc(n.Section(SectionFound).Statements, func(s Statement) bool {
			home := homes[e.reading][0]
			if f := e.finding; e.reading == Some && f.RR50.Known && f.Variation.Fold > 0 && f.RR50.Lower > f.Variation.Fold {
				home = "found-slight" // a shift of the whole is not told as a part
			}
			return s.Rule == home && slices.Contains(s.About, i)
		})
		if !found {
			t.Errorf("%s is %v and does not stand in %s", e.finding.Acaricide, e.reading, homes[e.reading][0])
		}
		// Never resistant where the limits hold what susceptible mites vary by.
		if f := e.finding; f.RR50.Known && f.RR50.Lower <= f.Variation.Fold && e.reading == Resistant {
			t.Errorf("%s is called resistant with a lower limit of %g", f.Acaricide, f.RR50.Lower)
		}
	}
}

// demandPictures checks that nothing is drawn of a test that says nothing.
func demandPictures(t reporter, expected []expectation, n Note) {
	t.Helper()
	for _, p := range n.Pictures {
		for _, e := range expected {
			idle := e.reading == Discarded || e.reading == Foreign
			if n.Language == "en" && p.Acaricide == e.finding.Acaricide && idle {
				t.Errorf("%s is drawn though its test is %v", p.Acaricide, e.reading)
			}
		}
		if !(0 <= p.Low && p.Low <= p.Likely && p.Likely <= p.High && p.High <= 100) {
			t.Errorf("%+v is no part of 100 mites", p)
		}
	}
}

// bad are the actives that fail, and the last ones used.
func bad(expected []expectation, c Context) []string {
	var names []string
	for _, e := range expected {
		if e.reading == Resistant || e.reading == Some {
			names = append(names, e.finding.Acaricide)
		}
	}
	var latest bioassay.Date
	for _, u := range c.Treatments {
		if u.On.Compare(latest) > 0 {
			latest = u.On
		}
	}
	for _, u := range c.Treatments {
		if u.On == latest || u.On.IsZero() {
			names = append(names, u.Acaricide)
		}
		least := 95.0
		if strings.Contains(u.Acaricide, "acid") || u.Acaricide == "thymol" || family[u.Acaricide] == "" {
			least = 90
		}
		dies := slices.ContainsFunc(expected, func(e expectation) bool {
			return e.finding.Acaricide == u.Acaricide && (e.reading == Susceptible || e.reading == Raised)
		})
		if u.Efficacy.Known && u.Efficacy.Upper < least && !dies {
			names = append(names, u.Acaricide)
		}
	}
	return names
}

func demandOptions(t reporter, expected []expectation, c Context, n Note) {
	t.Helper()
	for _, o := range n.Options {
		name := o.Acaricide
		for _, b := range bad(expected, c) {
			if family[b] == "" || family[name] == family[b] {
				t.Errorf("%s is named beside %s", name, b)
			}
		}
		for _, e := range expected {
			if e.finding.Acaricide == name && (e.reading == Unclear || e.reading == Foreign) {
				t.Errorf("%s is named though its reading is %v", name, e.reading)
			}
		}
		i := slices.IndexFunc(c.Authorised.Actives, func(a Active) bool { return a.Acaricide == name })
		if i < 0 || family[name] == "" {
			t.Errorf("%s is named and not authorised, or of unknown group", name)
			continue
		}
		a := c.Authorised.Actives[i]
		outside := a.Temperature.Known && c.Temperature.Known && (c.Temperature.Lower < a.Temperature.Lower || c.Temperature.Upper > a.Temperature.Upper)
		if a.NotWithSupers && c.Supers == bioassay.Yes || a.NeedsNoBrood && c.Brood == bioassay.Yes || outside {
			t.Errorf("%s is named against the list", name)
		}
		open := a.NotWithSupers && c.Supers != bioassay.No || a.NeedsNoBrood && c.Brood != bioassay.No ||
			a.Temperature.Known && !c.Temperature.Known || a.Other != ""
		if open != (len(o.Conditions) > 0) {
			t.Errorf("%s has the conditions %v, open %v", name, o.Conditions, open)
		}
	}
	demandNamed(t, n)
}

// demandNamed checks that what the note names as a change is what it holds as
// options, and that it says so where there is none.
func demandNamed(t reporter, n Note) {
	t.Helper()
	text := ""
	for _, s := range n.Section(SectionDo).Statements {
		if slices.Contains([]string{"do-tested", "do-tested-old", "do-untested", "do-check"}, s.Rule) {
			text += s.Text + "\n"
		}
	}
	for name := range family {
		named := strings.Contains(text, name)
		isOption := slices.ContainsFunc(n.Options, func(o Option) bool { return o.Acaricide == name })
		if n.Language == "en" && (named && !isOption || isOption && !named && len(n.Options) <= 4) {
			t.Errorf("%s: named %v, option %v, in %q", name, named, isOption, text)
		}
	}
	none := n.Holds("do-no-list") || n.Holds("do-no-group") || n.Holds("do-no-option")
	if none != (len(n.Options) == 0) {
		t.Errorf("%d options, and the note says that there is none: %v", len(n.Options), none)
	}
}

const (
	hardestGrade = 8.0  // of Flesch and Kincaid
	leastEase    = 60.0 // of Fernández Huerta
)

// body is the text of the note without the programme's contact line and
// without the small print.
func body(n Note) string {
	var b strings.Builder
	for _, s := range n.Sections {
		if s.ID == SectionAsk || s.ID == SectionPrint {
			continue
		}
		b.WriteString(s.Heading + "\n")
		for _, t := range s.Statements {
			b.WriteString(t.Text + "\n")
		}
	}
	return b.String()
}

func demandEase(t reporter, n Note) {
	t.Helper()
	switch n.Language {
	case "en":
		if g := readability.CountEnglish(body(n)).Grade(); !(g <= hardestGrade) || math.IsNaN(g) {
			t.Errorf("grade %.1f: %s", g, body(n))
		}
	case "es":
		if e := readability.CountSpanish(body(n)).Ease(); !(e >= leastEase) {
			t.Errorf("ease %.1f: %s", e, body(n))
		}
	}
}
