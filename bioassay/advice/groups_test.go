package advice

import (
	"testing"

	"vialwise/bioassay"
)

// TestGroups compares with the IRAC mode of action classification, from memory,
// and with Milani 1995 (Apidologie 26:415-429) for cross-resistance.
func TestGroups(t *testing.T) {
	for active, code := range map[string]string{
		"tau-fluvalinate": "3A", "flumethrin": "3A", "acrinathrin": "3A", "amitraz": "19", "coumaphos": "1B",
		"oxalic acid": "", "formic acid": "", "thymol": "", "Tau_Fluvalinate": "3A", "oxalic-acid": "", " Oxalic Acid Dihydrate": "",
	} {
		if g, ok := GroupOf(active); !ok || g.Code != code {
			t.Errorf("%s: %+v, %v", active, g, ok)
		}
	}
	if _, ok := GroupOf("borax"); ok {
		t.Error("borax has a group")
	}
	for _, c := range []struct {
		a, b string
		want bool
	}{
		{"tau-fluvalinate", "flumethrin", true}, {"Acrinathrin", "fluvalinate", true}, {"amitraz", "coumaphos", false},
		{"oxalic acid", "formic acid", false}, {"oxalic acid", "oxalic acid dihydrate", true}, {"borax", "Borax", true}, {"borax", "thymol", false},
	} {
		if got := Related(c.a, c.b); got != c.want || Related(c.b, c.a) != c.want {
			t.Errorf("%s and %s: %v", c.a, c.b, got)
		}
	}
	if cross := CrossResistance(); len(cross) != 1 || cross[0].Source == "" || GroupSource() == "" {
		t.Errorf("%+v", cross)
	}
}

// TestGroupsKnown demands that every active with a molar mass has a group here.
func TestGroupsKnown(t *testing.T) {
	for _, m := range bioassay.Molars() {
		if _, ok := GroupOf(m.Active); !ok {
			t.Errorf("%s has no group", m.Active)
		}
	}
}

// TestSingleOf takes over results at one concentration; counts are invented,
// classes are those of the WHO tube test, borrowed from mosquitoes.
func TestSingleOf(t *testing.T) {
	basis := bioassay.Basis{Name: "discriminating-classes", Source: "WHO tube test", Borrowed: "mosquitoes"}
	classes := bioassay.MortalityClasses{Basis: basis, Bands: bioassay.RuleBands{{Name: "susceptible", From: 98}, {Name: "to be confirmed", From: 90}, {Name: "resistant"}}}
	for _, c := range []struct {
		exposed, dead int
		want          Reading
	}{{240, 240, Susceptible}, {60, 58, Unclear}, {60, 30, Resistant}} {
		a := bioassay.Assay{Containers: []bioassay.Container{{Concentration: 1, Exposed: c.exposed, Dead: c.dead}}}
		s, ok := bioassay.NewSingle(a, 0, bioassay.RuleSet{Classes: &classes}, 0.95)
		if !ok {
			t.Fatal("no single concentration")
		}
		got := SingleOf(s, classes, "resistant")
		if got.Survivors != c.exposed-c.dead || got.Basis != basis {
			t.Errorf("%+v", got)
		}
		n := write(t, harbour(), Finding{Acaricide: "amitraz", Protocol: "vial-residue", TestedOn: testDay, Single: got})
		if n.Read[0].Reading != c.want {
			t.Errorf("%d of %d dead: %+v", c.dead, c.exposed, n.Read[0])
		}
	}
	if SingleOf(nil, classes).Exposed != 0 || SingleOf(&bioassay.Single{Exposed: 9}, classes).Exposed != 0 {
		t.Error("a result without a class was taken over")
	}
}
