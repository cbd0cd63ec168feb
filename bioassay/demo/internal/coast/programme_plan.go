package coast

import (
	"fmt"
	"math"
	"slices"

	"vialwise/bioassay"
	"vialwise/doseresp/sim"
)

// The designs of the programme: small, so that many apiaries can be tested.
var (
	fieldSize       = size{2, 2, 11, 12, 5, belowBaseline}
	widerSize       = size{2, 2, 11, 12, 6, belowBaseline}  // one concentration more
	singleSize      = size{2, 4, 11, 12, 1, discriminating} // one concentration
	programmeColony = size{3, 3, 12, 15, 6, belowBaseline}  // the baselines
)

// discriminating is the single concentration, as a multiple of the LC50 of the
// baseline: it kills 99 % where the slope is 2.6.
const discriminating = 8

// follows is the chance that an apiary follows an active through the years.
var follows = map[byte]float64{'a': 0.45, 't': 0.85, 'c': 0.38}

// The chance that it does so in a given season, missing at random otherwise.
const (
	tests         = 0.63
	testsThorough = 0.9
)

// Apiaries that differ from the others in what they test.
var (
	neverTested = []string{"B17", "B34", "B44", "B60"}
	oneDose     = []string{"B52", "B53", "B54", "B55"} // of amitraz, in the neighbourhood of Fennegarth

	// thorough is the neighbourhood of Quennacre, which tests tau-fluvalinate in
	// nearly every apiary and season.
	thorough = []string{"A06", "B26", "B27", "B28", "B29", "B30", "B31", "B32", "B33"}
)

// programmePlans lists every assay of the programme: the baselines, then the
// apiaries season by season.
func programmePlans() []plan {
	all := programmeBaselines()
	for i := range programmeSeasons {
		for j, p := range programmePlaces() {
			for _, letter := range []byte("atc") {
				all = append(all, programmeTests(p, letter, i, uint64(j)<<8|uint64(letter))...)
			}
		}
	}
	return all
}

// programmeTests plans what is tested of a population in the season at position
// i: mostly one assay or none.
func programmeTests(p place, letter byte, i int, population uint64) []plan {
	f := programmeField(p, letter, i, population)
	tell, story := programmeStories[f.name]
	twice := slices.Contains(repeated, f.name)
	if !story && !twice && !isTested(p, letter, uint64(i), population) {
		return nil
	}
	if story {
		tell(&f)
	}
	if !twice {
		return []plan{f}
	}
	again := f
	again.name += "-2"
	again.story = "second assay of the season: " + f.story
	return []plan{f, again}
}

// isTested decides whether a population is tested in a season.
func isTested(p place, letter byte, season, population uint64) bool {
	if slices.Contains(neverTested, p.code) {
		return false
	}
	if letter == 'a' && (slices.Contains(oneDose, p.code) || slices.Contains(emergence, p.code)) {
		return true
	}
	follow, test := follows[letter], tests
	if letter == 't' && slices.Contains(thorough, p.code) {
		follow, test = 1, testsThorough
	}
	return programmeLevel(population).Float64() < follow && programmeSample(population, season).Float64() < test
}

// programmeField plans an assay with its truth. Laboratories know roughly what
// to expect, and raise their series with it.
func programmeField(p place, letter byte, i int, population uint64) plan {
	a, s := actives[letter], programmeSeasons[i]
	f := plan{
		name:  fmt.Sprintf("%s-%s-%d%c", p.code, a.name[:3], s.year%100, s.name[len("2031-")]), // A05-ami-31s
		place: p, role: bioassay.RoleField, active: a, season: s, size: fieldSize,
	}
	expected, story := expectation(p, letter, float64(i)/2)
	f.story = story
	f.truth = around(a.lc50*expected, population, uint64(i))
	switch {
	case letter == 'a' && slices.Contains(oneDose, p.code):
		f.size = singleSize
		f.story += "; a single discriminating concentration"
	case letter == 'a' && emerges(p, uint64(i)):
		emerge(&f, i)
	default:
		f.size.lowest *= math.Exp2(max(0, math.Floor(math.Log2(expected))))
	}
	return f
}

// programmeBaselines are five reference colonies for each active.
func programmeBaselines() (all []plan) {
	folds := []float64{0.9, 1.18, 0.84, 1.26, 1.02}
	for _, letter := range []byte("atc") {
		a := actives[letter]
		for i, fold := range folds {
			all = append(all, plan{
				name:  fmt.Sprintf("reference-%s-%d", a.name[:3], i+1),
				place: place{name: "reference colonies"}, role: bioassay.RoleBaseline,
				active: a, season: programmeSeasons[i], size: programmeColony,
				truth: sim.Truth{LC50: round(a.lc50*fold, 0.01), Slope: 2.8, NaturalMortality: 0.02},
				story: "susceptible baseline",
			})
		}
	}
	return all
}
