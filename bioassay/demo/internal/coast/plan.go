package coast

import (
	"fmt"
	"math"

	"vialwise/bioassay"
	"vialwise/doseresp/sim"
)

// plan is an assay before it is drawn.
type plan struct {
	name   string
	place  place // without code for the baselines
	role   bioassay.Role
	active active
	season season
	truth  sim.Truth
	size   size
	want   pattern // what the counts must show; nil for any
	story  string
}

// size is how many mites go where.
type size struct {
	controls, vials int     // untreated vials, and those of each concentration
	least, most     int     // mites in each
	concentrations  int     // each twice the one before
	lowest          float64 // concentration, as a fraction of the LC50 of the baseline
}

var (
	usualSize    = size{3, 3, 10, 15, 6, belowBaseline}
	baselineSize = size{4, 4, 12, 15, 6, belowBaseline}
	fewMites     = size{2, 2, 4, 4, 6, belowBaseline}
)

// tested is what each apiary tests in each season, by the letters of actives:
// as in real programmes, not everything everywhere.
var tested = map[string][4]string{
	"A01": {"atc", "at", "atc", "at"},
	"A02": {"ac", "a", "a", "a"},
	"A03": {"at", "t", "at", "t"},
	"A04": {"ac", "a", "ac", "at"},
	"A05": {"a", "at", "c", "t"},
	"A06": {"t", "", "t", "tc"},
	"A07": {"ac", "a", "a", "ac"},
	"A08": {"t", "at", "t", "at"},
	"A09": {"c", "c", "c", "c"},
	"A10": {"at", "", "atc", "a"},
}

// plans lists every assay: the first baseline of each active, the apiaries season
// by season, and the further baselines.
func plans() []plan {
	var all []plan
	for _, letter := range []byte("atc") {
		a := actives[letter]
		all = append(all, plan{
			name: "baseline-" + a.name, place: place{name: "reference colonies"}, role: bioassay.RoleBaseline,
			active: a, season: seasons[0], size: baselineSize,
			truth: sim.Truth{LC50: a.lc50, Slope: 2.8, NaturalMortality: 0.02},
			story: "susceptible baseline",
		})
	}
	for i, s := range seasons {
		for j, p := range places {
			for _, letter := range []byte(tested[p.code][i]) {
				population := uint64(j)<<8 | uint64(letter)
				f := field(p, actives[letter], s)
				f.truth = ordinary(f.active, population, uint64(i))
				if tell, ok := stories[f.name]; ok {
					tell(&f)
				}
				all = append(all, f)
			}
		}
	}
	return append(all, furtherBaselines()...)
}

// furtherBaselines are reference colonies elsewhere, tested in later seasons.
// Their LC50 vary as those of susceptible populations do, and the baselines
// together tell by how much. They come last, so that the draws before them stay
// what they are.
func furtherBaselines() (all []plan) {
	folds := []float64{0.84, 1.16, 0.95, 1.28}
	for _, letter := range []byte("atc") {
		a := actives[letter]
		for i, fold := range folds {
			all = append(all, plan{
				name:  fmt.Sprintf("baseline-%s-%d", a.name, i+2),
				place: place{name: fmt.Sprintf("reference colonies %d", i+2)}, role: bioassay.RoleBaseline,
				active: a, season: seasons[i%len(seasons)], size: baselineSize,
				truth: sim.Truth{LC50: round(a.lc50*fold, 0.01), Slope: 2.8, NaturalMortality: 0.02},
				story: "susceptible baseline, another population",
			})
		}
	}
	return all
}

// field plans an assay of an ordinary population, still without its truth.
func field(p place, a active, s season) plan {
	return plan{
		name: p.code + "-" + a.name + "-" + s.name, place: p, role: bioassay.RoleField,
		active: a, season: s, size: usualSize,
		story: "ordinary population",
	}
}

// ordinary is the truth of a population that is on the whole a little less
// susceptible than the baseline. Its LC50 keeps near one level, its other
// properties depend on the mites that happened to be sampled.
func ordinary(a active, population, season uint64) sim.Truth {
	level, sampled := levelOf(population, seed), sampleOf(population, season, seed)
	fold := (0.9 + 0.7*level.Float64()) * (0.93 + 0.14*sampled.Float64())
	return sampledTruth(a.lc50*fold, sampled)
}

// levelOf is the stream of what stays the same in a population of a data set.
func levelOf(population, seed uint64) *sim.Source {
	return sim.NewSource(seed, truthStreams+population<<8)
}

// sampleOf is the stream of what differs from season to season.
func sampleOf(population, season, seed uint64) *sim.Source {
	return sim.NewSource(seed, truthStreams+population<<8+1+season)
}

// sampledTruth is the truth of a population with an LC50. Its other properties
// are drawn.
func sampledTruth(lc50 float64, sampled *sim.Source) sim.Truth {
	return sim.Truth{
		LC50:             round(lc50, 0.01),
		Slope:            round(2.3+0.9*sampled.Float64(), 0.1),
		NaturalMortality: round(0.01+0.04*sampled.Float64(), 0.01),
		Rho:              round(0.03*sampled.Float64(), 0.01),
	}
}

// round returns the multiple of step nearest to x, written exactly as it will
// be read back from the table of truths.
func round(x, step float64) float64 { return math.Round(x/step) / math.Round(1/step) }
