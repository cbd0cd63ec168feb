package mixture

import (
	"math"

	"vialwise/doseresp"
)

// Dose is one dose of the field and what it tells of the resistant fraction.
type Dose struct {
	Dose              float64
	Exposed, Survived int
	Expected          float64 // survival under the shifted form
	Susceptible       float64 // survival that the form expects of susceptible mites
	// PerMite is Fisher's information on q that one mite carries here, the line,
	// the shift and C taken as known: (∂P/∂q)²/(P(1-P)).
	PerMite float64
	Share   float64 // of the information of all doses, mites counted; 0 where none tells anything
}

// Advice is the further dose at which the fewest mites would tell whether a
// resistant part is there.
type Advice struct {
	// Fraction and Fold are the resistant part that is to be found: what was
	// estimated or, where that is next to nothing, a planned one.
	Fraction, Fold  float64
	Planned         bool    // not the estimate
	Lowest, Highest float64 // doses that were considered
	Dose            float64
	// Mites at Dose reject q = 0 with probability 0.8 by the test of
	// Baseline.Survivors at 5 %, by themselves. Both are 0 where no number up
	// to a thousand does at any dose considered.
	Mites int
}

// The resistant part that advice and information assume where next to none
// was estimated: a tenth that tolerates tenfold doses.
const (
	plannedFraction = 0.1
	plannedFold     = 10.0
	leastEstimated  = 0.02
	largestTarget   = 0.99
)

// target is the point at which information and advice are computed.
func (j *joint) target(r *Result) (p []float64, planned bool) {
	p = append(p, j.top[shifted].p...)
	if !r.Identified || p[atQ] < leastEstimated || p[atS] <= j.lower[atS] {
		p = append(p[:0], j.top[none].p...)
		p[atQ], p[atS] = plannedFraction, math.Log10(plannedFold)
		return p, true
	}
	p[atQ] = min(p[atQ], largestTarget) // at q = 1 one survivor more would tell all
	return p, false
}

// describeDoses fills in Result.Doses.
func (j *joint) describeDoses(r *Result) {
	p, _ := j.target(r)
	fitted := j.top[shifted].p
	total := 0.0
	groups := j.m.fieldDoses()
	for i := range groups {
		g := &groups[i]
		s, res, q := j.m.at(fitted, g)
		c := fitted[atC+g.assay]
		d := Dose{
			Dose: g.dose, Exposed: int(g.dead + g.alive), Survived: int(g.alive),
			Expected: (1 - c) * mix(&s, &res, q).spared, Susceptible: (1 - c) * s.Survival,
			PerMite: j.m.information(p, g),
		}
		d.Share = d.PerMite * float64(d.Exposed)
		total += d.Share
		r.Doses = append(r.Doses, d)
	}
	for i := range r.Doses {
		if total > 0 {
			r.Doses[i].Share /= total
		}
	}
}

// information is (∂P/∂q)²/(P(1-P)) of a mite of a group at p.
func (m *model) information(p []float64, g *group) float64 {
	s, r, q := m.at(p, g)
	c := p[atC+g.assay]
	x := mix(&s, &r, q)
	d := (1 - c) * (r.CDF - s.CDF)
	if d == 0 {
		return 0
	}
	return d * d / ((c + (1-c)*x.killed) * (1 - c) * x.spared)
}

// adviceDoses is how many doses of the range are tried.
const adviceDoses = 31

// advise tries doses over the range. The survival that the baseline predicts
// is taken as a beta variable of the same mean and variance, which makes the
// survivors beta-binomial and the search quick.
func (j *joint) advise(r *Result) *Advice {
	p, planned := j.target(r)
	a := &Advice{Fraction: p[atQ], Fold: math.Pow(10, p[atS]), Planned: planned}
	a.Lowest, a.Highest = j.base.options.Doses[0], j.base.options.Doses[1]
	if a.Lowest == 0 {
		a.Lowest = min(r.lowestTested(j), r.BaselineLC99)
	}
	if a.Highest == 0 {
		a.Highest = max(2*r.BaselineLC99, a.Lowest)
	}
	natural := j.base.naturalOf(j.m.counts, j.m.assays-1, 1)
	lines := j.base.ownGrid()
	best := mostMites + 1
	for i := adviceDoses - 1; i >= 0; i-- { // the high doses, where few are needed, first
		share := float64(i) / (adviceDoses - 1)
		dose := a.Lowest * math.Pow(a.Highest/a.Lowest, share)
		prediction := j.base.predict(lines, dose, natural)
		if n := prediction.mitesNeeded(j.survivalAt(p, dose), best-1); n < best {
			best, a.Dose, a.Mites = n, dose, n
		}
	}
	return a
}

func (r *Result) lowestTested(j *joint) float64 {
	lowest := math.Inf(1)
	for i := range j.m.groups {
		if g := &j.m.groups[i]; !g.control {
			lowest = min(lowest, g.dose)
		}
	}
	return lowest
}

// survivalAt is the survival of the field at any dose at p.
func (j *joint) survivalAt(p []float64, dose float64) float64 {
	g := group{tally: tally{assay: j.m.assays - 1}, field: true, x: math.Log10(dose) - j.base.centre}
	s, r, q := j.m.at(p, &g)
	return (1 - p[atC+g.assay]) * mix(&s, &r, q).spared
}

const (
	mostMites = 1000
	power     = 0.8
)

// mitesNeeded is the number of mites, at most most, with which the test has
// the power when the true survival is as given; most + 1 where none has. The
// power of a test on counts rises in saw teeth; steps of a twelfth find the
// first number that has it, and the smallest within the last step is returned.
func (p *predictions) mitesNeeded(survival float64, most int) int {
	mean := p.mean()
	if !(survival > mean) {
		return most + 1
	}
	// the survival's uncertainty, as a correlation between all mites
	rho := min(p.variance()/(mean*(1-mean)), 0.9)
	critical, failed := 1, 1
	enough := func(n, from int) (critical int, ok bool) {
		both := min(rho+rhoOf(p.h, n), 0.95)
		for betaBinomialTail(from, n, mean, both) > testLevel {
			from++
		}
		return from, betaBinomialTail(from, n, survival, rhoOf(p.h, n)) >= power
	}
	for n := 2; failed < most; n = min(n+1+n/12, most) {
		next, ok := enough(n, critical)
		if !ok {
			critical, failed = next, n
			continue
		}
		for failed++; failed < n; failed++ {
			if _, ok := enough(failed, critical); ok {
				break
			}
		}
		return failed
	}
	return most + 1
}

// MitesNeeded returns how many mites at one dose find a resistant part with
// probability 0.8, by the test of Survivors at 5 %; ok is false where a
// thousand are too few. It panics unless dose is above 0, fraction is a
// proportion and fold at least 1.
func (b *Baseline) MitesNeeded(dose, fraction, fold float64) (n int, ok bool) {
	if !(dose > 0) || !(fraction >= 0 && fraction <= 1) || !(fold >= 1) {
		panic("mixture: no number of mites for such a dose or resistant part")
	}
	natural := []node{{b.options.Natural.Value, 1}}
	if b.options.Natural.Mode != doseresp.Fixed {
		natural[0].x = 0
	}
	p := b.predict(b.ownGrid(), dose, natural)
	eta := b.line.Intercept + b.line.Slope*math.Log10(dose)
	s := b.options.Link.Tails(eta)
	r := doseresp.Tails{Survival: 1}
	if !math.IsInf(fold, 1) {
		r = b.options.Link.Tails(eta - b.line.Slope*math.Log10(fold))
	}
	n = p.mitesNeeded((1-natural[0].x)*mix(&s, &r, fraction).spared, mostMites)
	return n, n <= mostMites
}
