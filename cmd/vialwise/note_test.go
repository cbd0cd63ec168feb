package main

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"
	"testing"

	"vialwise/bioassay"
	"vialwise/bioassay/advice"
	"vialwise/bioassay/demo"
	"vialwise/bioassay/tables"
)

// demoNotesOf writes the notes of the demo's programme as the demo does.
func demoNotesOf(t testing.TB, language string) (*noteWriter, []apiaryNote) {
	t.Helper()
	w := demoNoteWriter(t, "txt", language)
	treated, _, err := tables.ReadTreatments("treatments.csv", bytes.NewReader(demo.Treatments()))
	if err != nil {
		t.Fatal(err)
	}
	asked, _, err := tables.ReadHives("hives.csv", bytes.NewReader(demo.Hives()))
	if err != nil {
		t.Fatal(err)
	}
	w.hives, w.treatments = byApiary(asked, treated)
	notes, none := allNotes(t, w)
	if len(notes) < 50 || len(none) < 4 {
		t.Fatalf("%d notes, %d apiaries without", len(notes), len(none))
	}
	return w, notes
}

// chemistry names the groups of the demo's actives (IRAC classification, from
// memory), and those without a group by their own name.
var chemistry = map[string]string{
	"amitraz": "19", "tau-fluvalinate": "3A", "coumaphos": "1B", "oxalic acid": "oxalic acid", "formic acid": "formic acid", "thymol": "thymol",
}

// TestDemoNotesAreSafe: no note of the demo names an active that is not on the
// list, shares a group with one that fails or was used last, or is excluded by how
// the hives stand; and none lacks a caution.
func TestDemoNotesAreSafe(t *testing.T) {
	w, notes := demoNotesOf(t, "en")
	authorised := map[string]bioassay.AuthorisedActive{}
	for _, a := range w.known.programme.Authorised.Actives {
		authorised[a.Acaricide] = a
	}
	for _, n := range notes {
		for _, rule := range []string{"care-label", "care-gear", "care-authority", "care-no-dose", "dont-more", "do-wash"} {
			if !n.note.Holds(rule) {
				t.Errorf("%s lacks %s", n.apiary, rule)
			}
		}
		barred := map[string]bool{}
		for _, r := range n.note.Read {
			if r.Reading == advice.Resistant || r.Reading == advice.Some {
				barred[chemistry[r.Acaricide]] = true
			}
			if r.Reading == advice.Unclear {
				barred[r.Acaricide] = true
			}
		}
		for _, treatment := range w.treatments[n.apiary] { // one each in the demo
			barred[chemistry[treatment.Acaricide]] = true
		}
		hives := w.hives[n.apiary]
		for _, o := range n.note.Options {
			a, ok := authorised[o.Acaricide]
			if !ok || barred[chemistry[o.Acaricide]] || barred[o.Acaricide] {
				t.Errorf("%s: %s is named", n.apiary, o.Acaricide)
			}
			if a.NeedsNoBrood && hives.Brood == bioassay.Yes || a.NotWithSupers && hives.Supers == bioassay.Yes ||
				a.TemperatureFrom.Known && hives.TemperatureLow.Known && hives.TemperatureLow.Value < a.TemperatureFrom.Value {
				t.Errorf("%s: %s is named against the list", n.apiary, o.Acaricide)
			}
		}
	}
}

// truths are the populations of the demo's programme by assay.
func truths(t *testing.T) map[string][]string {
	t.Helper()
	rows, err := csv.NewReader(bytes.NewReader(demo.ProgrammeTruth())).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	out := map[string][]string{}
	for _, r := range rows[1:] {
		out[r[0]] = r
	}
	return out
}

// TestDemoNotesAreTrue holds the readings against what the counts were simulated
// from: columns lc50, resistant_fraction and story of truth.csv.
func TestDemoNotesAreTrue(t *testing.T) {
	baseline := map[string]float64{"amitraz": 0.5, "tau-fluvalinate": 4, "coumaphos": 2} // README of the demo
	w, notes := demoNotesOf(t, "en")
	truth := truths(t)
	usable, _ := w.known.newest()
	newest := map[[2]string][]string{}
	for k := range usable {
		row := truth[k.name]
		newest[[2]string{row[1], row[2]}] = row
	}
	readings := map[advice.Reading]int{}
	for _, n := range notes {
		for _, r := range n.note.Read {
			readings[r.Reading]++
			row := newest[[2]string{n.apiary, r.Acaricide}]
			if row == nil {
				continue // discarded
			}
			lc50, err := strconv.ParseFloat(row[5], 64)
			if err != nil {
				t.Fatal(err)
			}
			part, _ := strconv.ParseFloat(row[9], 64)
			fold := lc50 / baseline[r.Acaricide]
			switch {
			case r.Reading == advice.Resistant && fold < 2.5 && part < 0.3:
				t.Errorf("%s: %s is %v, its LC50 is raised %.2g-fold", n.apiary, r.Acaricide, r.Reading, fold)
			case r.Reading == advice.Susceptible && (fold > 2 || part > 0.2):
				t.Errorf("%s: %s is %v, its LC50 is raised %.2g-fold with a resistant part of %g", n.apiary, r.Acaricide, r.Reading, fold, part)
			case r.Reading == advice.Unclear && fold > 12:
				t.Errorf("%s: %s is %v, its LC50 is raised %.2g-fold: %s", n.apiary, r.Acaricide, r.Reading, fold, r.Because)
			}
		}
	}
	for _, r := range []advice.Reading{advice.Resistant, advice.Some, advice.Susceptible, advice.Unclear, advice.Discarded} {
		if readings[r] == 0 {
			t.Errorf("no test of the demo is read as %v", r)
		}
	}
}

// TestDemoStories: the notes tell the stories of the demo.
func TestDemoStories(t *testing.T) {
	_, notes := demoNotesOf(t, "en")
	byCode := map[string]advice.Note{}
	for _, n := range notes {
		byCode[n.apiary] = n.note
	}
	for _, k := range []struct{ apiary, acaricide, rule string }{
		{"A01", "tau-fluvalinate", "found-resistant"}, // the spread, in the north
		{"A01", "tau-fluvalinate", "field-weak"},      // and its treatment failed
		{"A03", "tau-fluvalinate", "found-rising"},
		{"A05", "amitraz", "found-some"}, // a growing part
		{"A07", "amitraz", "found-stale"},
		{"A09", "amitraz", "found-susceptible"},
		{"A10", "oxalic acid", "dont-last"},
		{"B23", "tau-fluvalinate", "found-resistant"}, // none died
		{"B30", "coumaphos", "found-discarded"},
		{"B52", "amitraz", "sure-nothing"}, // one concentration without classes
	} {
		n, ok := byCode[k.apiary]
		if !ok || !n.Holds(k.rule) {
			t.Errorf("%s does not hold %s", k.apiary, k.rule)
			continue
		}
		for _, s := range n.Sections {
			for _, st := range s.Statements {
				if st.Rule == k.rule && !strings.Contains(st.Text, k.acaricide) && k.rule != "field-weak" {
					t.Errorf("%s: %q is not about %s", k.apiary, st.Text, k.acaricide)
				}
			}
		}
	}
}

// TestDoubtsOfTables: a code without a test and an old answer are told of, and the
// old answer is not used.
func TestDoubtsOfTables(t *testing.T) {
	w := demoNoteWriter(t, "txt", "en")
	w.hives = map[string]bioassay.Hives{
		"A03":  {Apiary: "A03", AskedOn: bioassay.Date{Year: 2033, Month: 10, Day: 19}, Brood: bioassay.No, Supers: bioassay.No},
		"A05":  {Apiary: "A05", AskedOn: bioassay.Date{Year: 2033, Month: 10, Day: 20}, Brood: bioassay.No},
		"A06":  {Apiary: "A06", AskedOn: bioassay.Date{Year: 2033, Month: 11, Day: 21}, Brood: bioassay.No},
		"A 07": {Apiary: "A 07", Brood: bioassay.No},
	}
	w.treatments = map[string][]bioassay.Treatment{"a05": {{Apiary: "a05", Acaricide: "amitraz"}}}
	var got []string
	for _, d := range w.doubts(true) {
		got = append(got, fmt.Sprintf("%s: %s", d.Code, d.Message))
	}
	want := []string{"apiary-not-tested: apiary A 07", "hives-not-answered: what is known of the hives of apiary A03 is of 2033-10-19", "hives-not-answered: what is known of the hives of apiary A06", "apiary-not-tested: apiary a05"}
	if len(got) != len(want) {
		t.Fatalf("%q", got)
	}
	for i := range want {
		if !strings.HasPrefix(got[i], want[i]) {
			t.Errorf("%q, want %q", got[i], want[i])
		}
	}
	if n := len(w.doubts(false)); n != 2 {
		t.Errorf("%d doubts where some apiaries were left out", n)
	}
	for code, brood := range map[string]bioassay.Answer{"A03": bioassay.Unanswered, "A05": bioassay.No, "A06": bioassay.Unanswered} {
		if c := w.context(code); c.Brood != brood {
			t.Errorf("%s: brood %v", code, c.Brood)
		}
	}
}

// TestTreatmentsThatCount: those of the twelve months before the note, and those
// whose day nobody knows.
func TestTreatmentsThatCount(t *testing.T) {
	w := demoNoteWriter(t, "txt", "en")
	for i, day := range []bioassay.Date{{Year: 2032, Month: 11, Day: 19}, {Year: 2032, Month: 11, Day: 20}, {Year: 2033, Month: 11, Day: 20}, {Year: 2033, Month: 11, Day: 21}, {}} {
		w.treatments = map[string][]bioassay.Treatment{"A05": {{Apiary: "A05", Acaricide: "amitraz", On: day}}}
		if got, want := len(w.context("A05").Treatments), []int{0, 1, 1, 0, 1}[i]; got != want {
			t.Errorf("%v counts %d times", day, got)
		}
	}
}

// TestOpenRange: a list that sets one limit of the temperature sets no other.
func TestOpenRange(t *testing.T) {
	if r := openRange(bioassay.Optional{}, bioassay.Optional{}); r.Known {
		t.Errorf("%+v", r)
	}
	list := &bioassay.AuthorisedActives{Actives: []bioassay.AuthorisedActive{{Acaricide: "thymol", TemperatureFrom: bioassay.Known(15)}}}
	c := advice.Context{
		Date: bioassay.Date{Year: 2033, Month: 11, Day: 20}, Language: "en", Authorised: authorised(list),
		Temperature: advice.KnownRange(25, 20, 40),
	}
	n, err := advice.Write([]advice.Finding{{Acaricide: "amitraz"}}, c)
	if err != nil {
		t.Fatal(err)
	}
	if len(n.Options) != 1 || len(n.Options[0].Conditions) != 0 {
		t.Errorf("warm enough, and still %+v", n.Options)
	}
	c.Temperature = advice.KnownRange(12, 10, 14)
	if n, err = advice.Write([]advice.Finding{{Acaricide: "amitraz"}}, c); err != nil || len(n.Options) != 0 {
		t.Errorf("too cold: %+v, %v", n.Options, err)
	}
}

// TestNotesTellWhatCompareTells: the comparison in part that a note rests on gives
// the finding of the full one, of every newest assay of the demo's programme.
func TestNotesTellWhatCompareTells(t *testing.T) {
	known, err := demoKnown()
	if err != nil {
		t.Fatal(err)
	}
	usable, left := known.newest()
	fields, err := known.newestAssays(usable, left, &findings{map[string][]advice.Finding{}, map[string]string{}})
	if err != nil {
		t.Fatal(err)
	}
	part, _ := bioassay.CompareAllInPart(fields, known.comparers, nil)
	full, _ := bioassay.CompareAll(fields, known.comparers, nil)
	if len(part) != len(full) || len(full) < 100 {
		t.Fatalf("%d compared in part, %d in full", len(part), len(full))
	}
	judging := advice.Judging{Programme: known.programme, Bands: known.Options.Bands, Level: known.Tracking.Level}
	for i := range full {
		got, want := advice.FindingOf(part[i], judging, advice.TrendUnknown), advice.FindingOf(full[i], judging, advice.TrendUnknown)
		if fmt.Sprintf("%+v", got) != fmt.Sprintf("%+v", want) {
			t.Errorf("%s:\n%+v\nin full\n%+v", full[i].Field.Assay.Name, got, want)
		}
	}
}
