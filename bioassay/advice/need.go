package advice

import "math"

// The numbers behind a request for more mites.
const (
	targetFold    = 2.0 // upper over lower limit of the ratio that is narrow enough
	perContainer  = 10  // mites; requests are rounded up to it (COLOSS BEEBOOK, varroa chapter, 3.6.3.1)
	mitesOfAssay  = 60  // of one assay (common practice)
	mitesForFold  = 120 // in all, for about a two-fold width at slope 2.5 (simulated for this program)
	mostRequested = 200 // mites for one acaricide; more cannot be collected at once (common practice)
	exactTail     = 0.025
)

// need returns how many more mites would settle an unclear finding, or replace
// a failed test, rounded up to containers; capped says that more would be
// wanted.
//
// The width of log10 limits shrinks with the square root of n. With w =
// log10(upper/lower) at n mites, a width of targetFold takes
//
//	n (w / log10 2)^2
//
// mites in all, and limits that exclude the bound b take
//
//	n (h / |log10 estimate - log10 b|)^2
//
// where h is the distance from the estimate to the limit on the side of b. The
// smaller of the two is asked for. It takes the slope and the baseline as they
// are: a small baseline widens the ratio whatever the number of field mites, so
// the request is then too low. Without finite limits it aims at mitesForFold.
func (f Finding) need(d doubt) (more int, capped bool) {
	total := float64(mitesOfAssay)
	n := float64(f.Mites)
	switch {
	case f.Quality.Discarded || d == disagree || d == nothing:
		return request(math.Max(n, total)) // the test again, in full
	case d != tooWide:
		return request(total) // another protocol tells nothing of the width
	case f.RR50.bounded() && f.RR50.Lower > 0 && f.RR50.Estimate > 0 && n > 0 && f.Variation.Fold > 0:
		total = ratioTotal(n, f.RR50, f.Variation.Fold)
	case f.Single.known() && !f.RR50.limited():
		total, n = singleTotal(f.Single), float64(f.Single.Exposed)
	default:
		total = math.Max(mitesForFold, n+mitesOfAssay)
	}
	return request(total - n)
}

func ratioTotal(n float64, r Range, fold float64) float64 {
	scale := func(have, want float64) float64 { return n * (have / want) * (have / want) }
	e, low, high := math.Log10(r.Estimate), math.Log10(r.Lower), math.Log10(r.Upper)
	narrow := scale(high-low, math.Log10(targetFold))
	bound := math.Log10(fold)
	side := high - e // the estimate lies below the bound
	if e > bound {
		side = e - low
	}
	if distance := math.Abs(e - bound); distance > 0 {
		return math.Min(narrow, scale(side, distance))
	}
	return narrow
}

// singleTotal is the number of mites at one concentration after which the exact
// limits would place the survival, if the share of survivors stayed. Without a
// survivor the upper limit is 1 - 0.025^(1/n) (Clopper & Pearson 1934), else the
// width is scaled as for ratios.
func singleTotal(s Single) float64 {
	n, r := float64(s.Exposed), s.Survival
	if s.Survivors == 0 && s.SusceptibleUpTo > 0 {
		return math.Ceil(math.Log(exactTail) / math.Log1p(-s.SusceptibleUpTo))
	}
	side, distance := r.Upper-r.Estimate, s.SusceptibleUpTo-r.Estimate
	if r.Estimate > s.ResistantAbove {
		side, distance = r.Estimate-r.Lower, r.Estimate-s.ResistantAbove
	}
	if !(distance > 0 && side > 0) { // between the classes, where no number of mites settles it
		return n + mitesOfAssay
	}
	return n * (side / distance) * (side / distance)
}

// request rounds up to containers, between one container and the most.
func request(more float64) (int, bool) {
	if !(more <= mostRequested) {
		return mostRequested, true
	}
	containers := math.Max(1, math.Ceil(more/perContainer))
	return int(containers) * perContainer, false
}
