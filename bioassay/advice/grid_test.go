package advice

import (
	"fmt"
	"testing"

	"vialwise/bioassay"
)

// TestGrid goes over the table of decisions: every way of reading one
// acaricide, with a second one or none, every last treatment and how it worked,
// brood, supers, temperatures and lists.
func TestGrid(t *testing.T) {
	stride := 1
	if testing.Short() {
		stride = 7
	}
	notes, longest := 0, 0
	for i, c := range grid() {
		if i%stride != 0 {
			continue
		}
		notes++
		c.context.Language = Languages()[i/stride%2]
		var findings []Finding
		for _, e := range c.expected {
			findings = append(findings, e.finding)
		}
		note, err := Write(findings, c.context)
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		demand(t, c.expected, c.context, note)
		longest = max(longest, note.Words())
		if words := note.Words(); words > MostWords {
			t.Errorf("%d words", words)
		}
		if t.Failed() {
			t.Fatalf("case %s:\n%s", c.name, note.Text())
		}
	}
	t.Logf("%d notes, the longest of %d words", notes, longest)
	if notes < 5000 {
		t.Errorf("only %d notes", notes)
	}
}

type gridCase struct {
	name     string
	expected []expectation
	context  Context
}

func grid() []gridCase {
	var all []gridCase
	firsts := append(kinds("tau-fluvalinate"), kind{name: "none"})
	for _, first := range firsts {
		for _, second := range seconds() {
			for _, used := range treatments() {
				for i, c := range places() {
					var expected []expectation
					if first.name != "none" {
						expected = append(expected, expectation{first.finding, first.reading})
					}
					if second.finding.Acaricide != "" {
						expected = append(expected, expectation{second.finding, second.reading})
					}
					c.Treatments = used
					all = append(all, gridCase{fmt.Sprintf("%s, %s %s, %v, place %d", first.name, second.finding.Acaricide, second.name, used, i), expected, c})
				}
			}
		}
	}
	return all
}

func seconds() []kind {
	list := []kind{{name: "none"}}
	for _, active := range []string{"flumethrin", "amitraz"} {
		for _, k := range kinds(active) {
			switch k.name {
			case "resistant", "unclear":
				list = append(list, k)
			case "susceptible":
				list = append(list, k)
				k.finding.TestedOn = oldDay
				list = append(list, k)
			}
		}
	}
	return list
}

func treatments() [][]Treatment {
	list := [][]Treatment{nil}
	for _, active := range []string{"tau-fluvalinate", "flumethrin", "coumaphos", "borax"} {
		for _, u := range []Treatment{{}, {Efficacy: KnownRange(55, 44, 66), Brood: bioassay.Yes}} {
			u.Acaricide, u.On = active, day(2030, 9, 3)
			list = append(list, []Treatment{u})
		}
	}
	list = append(list, []Treatment{{Acaricide: "tau-fluvalinate", On: day(2030, 9, 3), Efficacy: KnownRange(55, 44, 66), Brood: bioassay.No}})
	earlier := Treatment{Acaricide: "amitraz", On: day(2030, 7, 1), Efficacy: KnownRange(60, 50, 69)}
	return append(list, []Treatment{earlier, {Acaricide: "coumaphos", On: day(2030, 9, 3)}}, []Treatment{{Acaricide: "amitraz"}, {Acaricide: "thymol", On: day(2030, 9, 3)}})
}

func places() []Context {
	var list []Context
	for _, authorised := range []Authorised{
		{}, fullList,
		{Actives: []Active{{Acaricide: "flumethrin"}, {Acaricide: "tau-fluvalinate"}}},
		{On: noteDay, Actives: []Active{{Acaricide: "oxalic acid", NeedsNoBrood: true}, {Acaricide: "borax"}, {Acaricide: "amitraz", Other: "with a permit"}}},
	} {
		warm, cold := KnownRange(20, 16, 26), KnownRange(9, 2, 15)
		for _, hives := range []struct {
			brood, supers bioassay.Answer
			temperature   Range
		}{
			{}, {brood: bioassay.No, supers: bioassay.No, temperature: warm}, {bioassay.Yes, bioassay.Yes, warm},
			{bioassay.Yes, bioassay.No, cold}, {bioassay.No, bioassay.Yes, Range{}}, {bioassay.Unanswered, bioassay.No, cold},
		} {
			c := harbour()
			c.Authorised, c.Brood, c.Supers, c.Temperature = authorised, hives.brood, hives.supers, hives.temperature
			list = append(list, c)
		}
	}
	return list
}
