package advice

import (
	"testing"

	"vialwise/bioassay"
)

// TestWeakBaseline: the less is known of susceptible mites, the more they may vary
// by, which must not make mites susceptible.
func TestWeakBaseline(t *testing.T) {
	f := aKind("amitraz", "susceptible")
	f.Variation = Variation{Fold: 5, Basis: bands}
	f.RR50, f.RR90, f.Survivors = KnownRange(2.67, 2.08, 3.59), Range{}, Range{}
	if r, _, why := f.weigh(); r != Unclear {
		t.Errorf("%v: %s", r, why)
	}
	f.RR50 = KnownRange(1.2, 0.8, 1.9)
	if r, _, why := f.weigh(); r != Susceptible {
		t.Errorf("%v: %s", r, why)
	}
}

// TestNewerTestSetAside: an older good result beside a newer test that told nothing
// is an old one, and nobody is quite sure.
func TestNewerTestSetAside(t *testing.T) {
	for _, newer := range []string{"failed", "foreign"} {
		older := aKind("amitraz", "susceptible")
		later := aKind("amitraz", newer)
		older.TestedOn = day(2030, 10, 9)
		n, err := Write([]Finding{older, later}, Context{Date: noteDay, Apiary: "Pier 7", Language: "en", Protocol: "vial-residue", Authorised: fullList, Brood: bioassay.No, Supers: bioassay.No})
		if err != nil {
			t.Fatal(err)
		}
		if !n.Holds("found-stale") || n.Holds("sure-clear") || !n.Holds("next-soon") {
			t.Errorf("%s:\n%s", newer, n.Text())
		}
		for _, o := range n.Options {
			if o.Acaricide == "amitraz" && o.Standing == ShownToWork {
				t.Errorf("%s: amitraz is shown to work", newer)
			}
		}
		alone, err := Write([]Finding{older}, Context{Date: noteDay, Apiary: "Pier 7", Language: "en", Protocol: "vial-residue", Authorised: fullList, Brood: bioassay.No, Supers: bioassay.No})
		if err != nil {
			t.Fatal(err)
		}
		if alone.Holds("found-stale") || !alone.Holds("sure-clear") {
			t.Errorf("without a newer test:\n%s", alone.Text())
		}
	}
}
