package coast

import (
	"math"

	"vialwise/bioassay"
	"vialwise/doseresp/sim"
)

// stories are the assays that show what can happen.
var stories = map[string]func(*plan){
	"A03-tau-fluvalinate-2031-spring": shifted(5),
	"A03-tau-fluvalinate-2031-autumn": shifted(10),
	"A03-tau-fluvalinate-2032-spring": shifted(20),
	"A03-tau-fluvalinate-2032-autumn": shifted(40),

	"A08-tau-fluvalinate-2032-autumn": func(p *plan) {
		p.story = "resistant minority: a quarter of the mites tolerates any dose, so mortality levels off"
		p.truth = sim.Truth{LC50: 4.5, Slope: 2.8, NaturalMortality: 0.02, ResistantFraction: 0.25, ResistantShift: math.Inf(1)}
	},
	"A02-amitraz-2031-autumn": func(p *plan) {
		p.story = "failed controls: four mites in ten die untreated"
		p.truth = sim.Truth{LC50: 0.6, Slope: 2.6, NaturalMortality: 0.4}
	},
	"A06-coumaphos-2032-autumn": func(p *plan) {
		p.story = "too few mites: two vials of four at each concentration"
		p.truth = sim.Truth{LC50: 2.4, Slope: 2.5, NaturalMortality: 0.02}
		p.size = fewMites
		p.want = partial
	},
	"A05-coumaphos-2032-spring": func(p *plan) {
		p.story = "separated: none dead up to a concentration, all dead above it, so no finite slope"
		p.truth = sim.Truth{LC50: 2.8, Slope: 14}
		p.want = separated
	},
	"A02-coumaphos-2031-spring": func(p *plan) {
		p.story = "all dead: even the lowest concentration kills every mite"
		p.truth = sim.Truth{LC50: 0.05, Slope: 3, NaturalMortality: 0.03}
		p.want = allDead
	},
	"A04-tau-fluvalinate-2032-autumn": func(p *plan) {
		p.story = "none dead: highly resistant, the highest concentration kills no mite"
		p.truth = sim.Truth{LC50: 800, Slope: 2.5, NaturalMortality: 0.005}
		p.want = noneDead
	},
	"A07-amitraz-2032-spring": func(p *plan) {
		p.story = "overdispersed: mites of one vial share their fate more than chance allows"
		p.truth = sim.Truth{LC50: 0.6, Slope: 2.5, NaturalMortality: 0.02, Rho: 0.15}
	},
}

func shifted(lc50 float64) func(*plan) {
	return func(p *plan) {
		p.story = "shifting population: the LC50 doubles from season to season"
		p.truth = sim.Truth{LC50: lc50, Slope: 2.6, NaturalMortality: 0.03}
	}
}

// pattern reports whether drawn containers show what a story tells.
type pattern func([]bioassay.Container) bool

// responded counts the dead and moribund of the mites found again.
func responded(c bioassay.Container) (r, n int) { return c.Dead + c.Moribund, c.AtRisk() }

func allDead(containers []bioassay.Container) bool {
	for _, c := range containers {
		if r, n := responded(c); !c.IsControl() && r < n {
			return false
		}
	}
	return true
}

func noneDead(containers []bioassay.Container) bool {
	for _, c := range containers {
		if r, _ := responded(c); !c.IsControl() && r > 0 {
			return false
		}
	}
	return true
}

// separated reports whether no mite died up to some concentration and in the
// controls, and every mite above it.
func separated(containers []bioassay.Container) bool {
	alive, dead := 0.0, math.Inf(1) // highest with a survivor, lowest with a death
	for _, c := range containers {
		r, n := responded(c)
		if r < n {
			alive = max(alive, c.Concentration)
		}
		if r > 0 {
			dead = min(dead, c.Concentration)
		}
	}
	return 0 < alive && alive < dead && !math.IsInf(dead, 1)
}

// partial reports whether three or more concentrations killed some and spared
// some, without which so few mites often give no line at all.
func partial(containers []bioassay.Container) bool {
	died, lived, both := map[float64]bool{}, map[float64]bool{}, 0
	for _, c := range containers {
		r, n := responded(c)
		died[c.Concentration] = died[c.Concentration] || r > 0
		lived[c.Concentration] = lived[c.Concentration] || r < n
	}
	for concentration := range died {
		if concentration > 0 && died[concentration] && lived[concentration] {
			both++
		}
	}
	return both >= 3
}
