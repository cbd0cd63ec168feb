package coast

import (
	"fmt"
	"math"
	"time"

	"vialwise/bioassay"
	"vialwise/doseresp/sim"
)

// Seeds of the two data sets, and the layout of their streams. Stream
// drawStreams*i + k is draw k of the i-th assay; the truths of ordinary
// populations have streams of their own, above all of these.
const (
	seed          = 2031
	programmeSeed = 2033

	drawStreams  = 1 << 20
	truthStreams = 1 << 40
)

const (
	spacing       = 2.0  // factor between concentrations
	belowBaseline = 0.25 // the usual lowest, as a fraction of the LC50 of the baseline
	missingRate   = 0.008
	moribundRate  = 0.04 // of the mites that respond
	openRate      = 0.1  // assays read without blinding
)

// drawn is an assay with the plan it came from.
type drawn struct {
	plan  plan
	assay bioassay.Assay
}

// draw draws every planned assay of a data set with a seed of its own.
func draw(plans []plan, seed uint64) []drawn {
	var all []drawn
	for i, p := range plans {
		all = append(all, drawUntil(p, seed, uint64(i)*drawStreams))
	}
	return all
}

// drawUntil takes the first draw that shows what the story tells, and says in
// the story which one it was: a chosen draw is no random one.
func drawUntil(p plan, seed, stream uint64) drawn {
	for k := range uint64(drawStreams) {
		a := assay(p, sim.NewSource(seed, stream+k))
		if p.want == nil {
			return drawn{p, a}
		}
		if p.want(a.Containers) {
			p.story += fmt.Sprintf(" (draw %d of this truth, the first that shows it)", k+1)
			return drawn{p, a}
		}
	}
	panic("coast: no draw of " + p.name + " shows what its story tells")
}

// assay draws one assay.
func assay(p plan, s *sim.Source) bioassay.Assay {
	collected := time.Date(p.season.year, time.Month(p.season.month), p.season.day+below(s, samplingDays), 0, 0, 0, 0, time.UTC)
	a := bioassay.Assay{
		Name: p.name, Apiary: p.place.code, Population: p.place.name, Role: p.role,
		CollectedOn: bioassay.DateOf(collected), TestedOn: bioassay.DateOf(collected.AddDate(0, 0, below(s, 2))),
		Acaricide: p.active.name, Protocol: protocol, Unit: unit,
		ExposureHours: bioassay.Known(exposureHours), ReadingHours: bioassay.Known(readingHours),
	}
	like := common(s)
	labels := shuffled(p.size.controls+p.size.concentrations*p.size.vials, s)
	doses := sim.GeometricDoses(p.size.lowest*p.active.lc50, spacing, p.size.concentrations)
	for i, dose := range append([]float64{0}, doses...) {
		mortality, vials := p.truth.Mortality(dose), p.size.vials
		if i == 0 {
			vials = p.size.controls
		}
		for range vials {
			c := like
			c.Label = fmt.Sprintf("V%02d", labels[len(a.Containers)])
			c.Concentration = dose
			fill(&c, p, mortality, s)
			a.Containers = append(a.Containers, c)
		}
	}
	return a
}

// common draws what all vials of an assay share. Mites from brood cells mean
// that there was brood.
func common(s *sim.Source) bioassay.Container {
	c := bioassay.Container{MiteSource: "brood", CappedBrood: bioassay.Yes, TestedBlind: bioassay.Yes, Note: note}
	if s.Float64() < 0.4 {
		c.MiteSource = "adult bees"
		c.CappedBrood = bioassay.Answer(1 + below(s, 2))
	}
	if s.Float64() < openRate {
		c.TestedBlind = bioassay.No
	}
	return c
}

// fill draws the counts of a vial.
func fill(c *bioassay.Container, p plan, mortality float64, s *sim.Source) {
	c.Exposed = p.size.least + below(s, p.size.most-p.size.least+1)
	c.Missing = s.Binomial(c.Exposed, missingRate)
	respond := s.BetaBinomial(c.AtRisk(), mortality, p.truth.Rho)
	c.Moribund = s.Binomial(respond, moribundRate)
	c.Dead = respond - c.Moribund
}

// below returns a whole number from 0 to n-1.
func below(s *sim.Source, n int) int { return int(math.Floor(s.Float64() * float64(n))) }

// shuffled returns the numbers from 1 to n in random order, so that the label
// of a vial does not give away its concentration.
func shuffled(n int, s *sim.Source) []int {
	labels := make([]int, n)
	for i := range labels {
		j := below(s, i+1)
		labels[i] = labels[j]
		labels[j] = i + 1
	}
	return labels
}
