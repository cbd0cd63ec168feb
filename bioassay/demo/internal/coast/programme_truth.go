package coast

import (
	"math"
	"slices"

	"vialwise/doseresp/sim"
)

// The invented course of the programme. Ratios are to the LC50 of the baseline.
const (
	ordinaryRatio = 1.15 // field populations are a little less susceptible
	raisedRatio   = 2.0  // of coumaphos in Cormavelle

	// Tau-fluvalinate: a front moves south, and behind it the ratio rises.
	growth        = 3.0  // per year
	frontLatitude = 41.3 // where the front is at the start
	frontPace     = 1.5  // years per degree of latitude
)

// expectation is the ratio that a population has some years after the start,
// apart from chance, and what its story is.
func expectation(p place, letter byte, years float64) (ratio float64, story string) {
	switch {
	case letter == 'c' && p.region == "Cormavelle":
		return raisedRatio, "coumaphos in Cormavelle: raised, and stable"
	case letter == 't':
		behind := years - frontPace*max(0, frontLatitude-p.latitude)
		if behind > 0 {
			return ordinaryRatio * math.Pow(growth, behind), "spreading resistance: the LC50 triples every year"
		}
		return ordinaryRatio, "spreading resistance: not yet here"
	}
	return ordinaryRatio, "ordinary population"
}

// Limits of the uniform scatter of LC50 around the expectation, in log10: that
// of populations stays, that of seasons does not.
const (
	populationScatter = 0.12
	seasonScatter     = 0.05
)

// around is the truth of a population whose LC50 should be near a value.
func around(lc50 float64, population, season uint64) sim.Truth {
	level, sampled := programmeLevel(population), programmeSample(population, season)
	level.Float64()   // the first one says whether the apiary follows the active,
	sampled.Float64() // and whether it is tested in the season
	scatter := populationScatter*(2*level.Float64()-1) + seasonScatter*(2*sampled.Float64()-1)
	return sampledTruth(lc50*math.Pow(10, scatter), sampled)
}

// programmeLevel is the stream of what stays the same in a population.
func programmeLevel(population uint64) *sim.Source {
	return levelOf(population, programmeSeed)
}

// programmeSample is the stream of what differs from season to season.
func programmeSample(population, season uint64) *sim.Source {
	return sampleOf(population, season, programmeSeed)
}

// emergence is the neighbourhood of Wrendicott, which tests amitraz everywhere in
// every season. From firstResistant on a part of its mites resists.
var emergence = []string{"A05", "B38", "B39", "B40", "B41"}

const (
	firstResistant = 3  // 2032-autumn
	resistantShift = 40 // times the concentration
)

// resistantParts are the parts, season by season.
var resistantParts = []float64{0.12, 0.25, 0.4}

func emerges(p place, season uint64) bool {
	return season >= firstResistant && slices.Contains(emergence, p.code)
}

// emerge makes a part of the mites resistant, and widens the design as a
// laboratory does that has seen survivors.
func emerge(f *plan, season int) {
	f.truth.ResistantFraction = resistantParts[season-firstResistant]
	f.truth.ResistantShift = resistantShift
	f.size = widerSize
	f.story = "emerging resistance: a growing part of the mites resists amitraz"
}

// programmeStories are the assays of the programme with a story of their own.
// They, and those tested twice, are drawn whether or not chance would have the
// population tested.
var programmeStories = map[string]func(*plan){
	"B30-cou-32s": func(p *plan) {
		p.story = "failed controls: four mites in ten die untreated"
		p.truth.NaturalMortality = 0.4
	},
	"B23-tau-33s": beyond,
	"B25-tau-33a": beyond,
}

// beyond is a population that no concentration reaches.
func beyond(p *plan) {
	p.story = "none dead: resistance beyond the highest concentration, which nobody had raised"
	p.size.lowest = belowBaseline
	p.truth = sim.Truth{LC50: 800, Slope: 2.5, NaturalMortality: 0.005}
	p.want = noneDead
}

// repeated are tested twice in the season.
var repeated = []string{"A06-tau-32a", "B12-tau-33s", "B28-cou-33a"}
