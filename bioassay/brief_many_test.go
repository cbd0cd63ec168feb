package bioassay_test

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"sync"
	"testing"

	"vialwise/bioassay"
	"vialwise/bioassay/demo"
	"vialwise/bioassay/tables"
	"vialwise/doseresp"
	"vialwise/doseresp/sim"
)

var threeBands = bioassay.RuleBands{{Name: "high", From: 10, Above: true}, {Name: "moderate", From: 5}, {Name: "low"}}

// TestBriefOfDemo holds Brief to Compare over every field assay of the demo,
// invented, each against the baseline that fits it.
func TestBriefOfDemo(t *testing.T) {
	comparers, fields := demoComparers(t, []float64{50})
	compared := 0
	for _, a := range fields {
		i, err := bioassay.MatchComparer(a, comparers)
		if err != nil {
			continue
		}
		holdBrief(t, comparers[i], a)
		compared++
	}
	if compared < 30 {
		t.Errorf("only %d assays of the demo were compared", compared)
	}
}

// demoComparers are the baselines of the demo, with bands, and its field assays.
func demoComparers(t *testing.T, percents []float64) (comparers []*bioassay.Comparer, fields []bioassay.Assay) {
	t.Helper()
	table, err := tables.Read("counts.csv", bytes.NewReader(demo.Counts()))
	if err != nil {
		t.Fatal(err)
	}
	baselines, fields, err := bioassay.SelectBaseline(table.Assays, "")
	if err != nil {
		t.Fatal(err)
	}
	o := bioassay.CompareOptions{Bands: &bioassay.RatioBands{Percent: 50, Bands: threeBands}}
	o.Analysis.Fit.Percents = percents
	for _, group := range bioassay.GroupBaselines(baselines) {
		comparers = append(comparers, comparer(t, o, group...))
	}
	return comparers, fields
}

// holdBrief compares an assay in brief and in full.
func holdBrief(t *testing.T, c *bioassay.Comparer, a bioassay.Assay) {
	t.Helper()
	holdShort(t, c, a, "brief", c.Brief, compareBrief)
}

// holdShort compares a shorter comparison of an assay with that in full; both
// succeed or fail.
func holdShort[T any](t *testing.T, c *bioassay.Comparer, a bioassay.Assay, what string, of func(bioassay.Assay) (T, error), compare func(*testing.T, string, T, *bioassay.Comparison)) {
	t.Helper()
	full, err := c.Compare(a)
	short, shortErr := of(a)
	if err != nil || shortErr != nil {
		if err == nil || shortErr == nil || err.Error() != shortErr.Error() {
			t.Errorf("%s: in full %v, in %s %v", a.Name, err, what, shortErr)
		}
		return
	}
	compare(t, a.Name, short, full)
}

// briefSets are the settings under which a Brief must equal a Comparison.
func briefSets() map[string]bioassay.CompareOptions {
	sets := map[string]bioassay.CompareOptions{
		"probit": {}, "logit": {}, "cloglog": {}, "without natural mortality": {}, "bands of LC90": {}, "level 0.9, heterogeneity never": {},
	}
	for name, o := range sets {
		o.Bands = &bioassay.RatioBands{Percent: 50, Bands: threeBands}
		fit := &o.Analysis.Fit
		fit.Percents = []float64{50, 90}
		switch name {
		case "logit":
			fit.Link = doseresp.Logit
		case "cloglog":
			fit.Link = doseresp.Cloglog
		case "without natural mortality":
			fit.Natural.Mode = doseresp.None
		case "bands of LC90":
			o.Bands = &bioassay.RatioBands{Percent: 90, Bands: threeBands}
		case "level 0.9, heterogeneity never":
			fit.Level, fit.Heterogeneity = 0.9, doseresp.Never
		}
		sets[name] = o
	}
	return sets
}

// TestBriefOfSimulated holds Brief to Compare over 50 drawn assays under each of
// six settings, with baselines of one assay, of five, and of one with a given
// variation.
func TestBriefOfSimulated(t *testing.T) {
	for name, o := range briefSets() {
		t.Run(name, func(t *testing.T) {
			random := rand.New(rand.NewPCG(11, 5))
			var comparers []*bioassay.Comparer
			for k, folds := range [][]float64{{1}, {.6, .8, 1, 1.3, 1.8}, {1}} {
				given := bioassay.BaselineOptions{Analysis: o.Analysis}
				if k == 2 {
					given.BetweenSD, given.BetweenSource = bioassay.Optional{Value: .15, Known: true}, "invented"
				}
				comparers = append(comparers, comparerOf(t, given, o, baselineAssays(folds...)...))
			}
			for i := range 50 {
				holdBrief(t, comparers[i%3], drawn(random, fmt.Sprint(i)))
			}
		})
	}
}

// drawn is an assay of any design, resistance, slope and variation between
// containers.
func drawn(random *rand.Rand, name string) bioassay.Assay {
	truth := sim.Truth{LC50: math.Pow(10, 3*random.Float64()-1), Slope: 1 + 4*random.Float64(), NaturalMortality: .15 * random.Float64(), Rho: .15 * random.Float64()}
	if random.IntN(3) == 0 {
		truth.ResistantFraction, truth.ResistantShift = random.Float64(), 10
	}
	design := sim.Design{Replicates: 1 + random.IntN(3), Exposed: 3 + random.IntN(25), Controls: random.IntN(4)}
	for d := range 1 + random.IntN(7) {
		design.Doses = append(design.Doses, .25*math.Pow(2, float64(d)))
	}
	a := bioassay.Assay{Name: name, Acaricide: "amitraz", Unit: "ug/vial", Protocol: "vial-residue"}
	for i, k := range sim.Assay(truth, design, sim.NewSource(random.Uint64(), 1)) {
		a.Containers = append(a.Containers, bioassay.Container{Label: fmt.Sprint(i), Concentration: k.Dose, Exposed: k.Exposed, Dead: k.Dead})
	}
	return a
}

// TestBriefByManyGoroutines: one comparer serves several at once, with the same
// bytes for each.
func TestBriefByManyGoroutines(t *testing.T) {
	c := comparer(t, bioassay.CompareOptions{Bands: &bioassay.RatioBands{Percent: 50, Bands: threeBands}}, baselineAssays(.8, 1, 1.2)...)
	a := simulated("field", moved(susceptible, 3), 9)
	want := encodedBrief(t, c, a)
	var wait sync.WaitGroup
	for range 4 {
		wait.Go(func() {
			for range 5 {
				if got := encodedBrief(t, c, a); !bytes.Equal(got, want) {
					t.Errorf("%x, want %x", got, want)
				}
			}
		})
	}
	wait.Wait()
}

func encodedBrief(t *testing.T, c *bioassay.Comparer, a bioassay.Assay) []byte {
	b, err := c.Brief(a)
	if err != nil {
		t.Error(err)
		return nil
	}
	raw, err := b.MarshalBinary()
	if err != nil {
		t.Error(err)
	}
	return raw
}
