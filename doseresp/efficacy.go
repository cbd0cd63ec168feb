package doseresp

import "math"

// HendersonTilton returns the proportion by which a treatment reduced the
// infestation, from counts before and after in treated and control colonies,
//
//	1 - (Ta/Tb)·(Cb/Ca)
//
// (Henderson & Tilton 1955, J. Econ. Entomol. 48:157-161). Counts may be rates,
// such as mites per bee. NaN unless Tb, Cb and Ca are above 0 and Ta is not
// negative; negative when treated colonies fared worse than the controls.
func HendersonTilton(treatedBefore, treatedAfter, controlBefore, controlAfter float64) float64 {
	if !(treatedBefore > 0 && controlBefore > 0 && controlAfter > 0 && treatedAfter >= 0) {
		return math.NaN()
	}
	return 1 - treatedAfter/treatedBefore*(controlBefore/controlAfter)
}

// SunShepard returns the proportion of reduction due to a treatment when the
// treated population fell by the proportion reduction while the untreated one
// changed by the proportion change, positive where it grew,
//
//	(reduction + change)/(1 + change)
//
// (Sun & Shepard 1947, J. Econ. Entomol. 40:710-715). NaN unless change > -1.
func SunShepard(reduction, change float64) float64 {
	if !(change > -1) {
		return math.NaN()
	}
	return (reduction + change) / (1 + change)
}
