package doseresp

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// DoseDistribution is a distribution of log10 LCp, tabulated so that many
// ratios can be taken with it. Its knots are equally spaced in v, where
// x = centre + width sinh v. It is never changed and may be shared.
type DoseDistribution struct {
	centre, width float64
	low, step     float64   // v of the first knot, and between knots
	below         []float64 // cumulative probability at the knots
	density       []float64 // of v at the knots
}

// The table of a distribution.
const (
	distributionKnots = 121
	distributionTail  = 1e-6 // the probability that the table leaves out on each side
)

// Distribution tabulates the posterior of log10 LCp; it panics unless
// 0 < percent < 100.
func (p *Posterior) Distribution(percent float64) *DoseDistribution {
	shift := p.link.Quantile(percent/100) - p.link.Quantile(0.5)
	const rough = 1e-4 // of places that need not be exact
	at := func(q float64) float64 { return p.quantile(q, shift, rough) }
	d := newDistribution(at(0.5), (at(0.84)-at(0.16))/2, at(distributionTail), at(1-distributionTail))
	d.fill(func(x float64) (below, density float64) {
		for i := range p.slopes {
			s := &p.slopes[i]
			theta := x - shift/s.slope
			below += s.below(theta)
			density += s.density(theta)
		}
		return below, density
	})
	return d
}

// StudentDistribution is that of an estimate of log10 LCp with a standard
// error, as the mean of several assays has one: mean + se t, with df degrees
// of freedom, or normal for df 0. It panics unless se is above 0 and df is not
// negative.
func StudentDistribution(mean, se float64, df int) *DoseDistribution {
	if !(se > 0) || df < 0 {
		panic("doseresp: a distribution needs a standard error above 0 and degrees of freedom from 0")
	}
	var t interface {
		CDF(float64) float64
		Prob(float64) float64
		Quantile(float64) float64
	} = distuv.UnitNormal
	if df > 0 {
		t = distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(df)}
	}
	end := min(se*-t.Quantile(distributionTail), 600) // no double holds a dose beyond
	d := newDistribution(mean, se, mean-end, mean+end)
	d.fill(func(x float64) (below, density float64) {
		z := (x - mean) / se
		return t.CDF(z), t.Prob(z) / se
	})
	return d
}

func newDistribution(centre, width, low, high float64) *DoseDistribution {
	d := &DoseDistribution{
		centre: centre, width: width, low: math.Asinh((low - centre) / width),
		below: make([]float64, distributionKnots), density: make([]float64, distributionKnots),
	}
	d.step = (math.Asinh((high-centre)/width) - d.low) / (distributionKnots - 1)
	return d
}

// x is log10 dose at a knot.
func (d *DoseDistribution) x(knot int) float64 {
	return d.centre + d.width*math.Sinh(d.low+d.step*float64(knot))
}

// fill tabulates, and spreads what lies beyond the ends over all knots.
func (d *DoseDistribution) fill(at func(x float64) (below, density float64)) {
	for i := range d.below {
		v := d.low + d.step*float64(i)
		below, density := at(d.centre + d.width*math.Sinh(v))
		d.below[i], d.density[i] = below, density*d.width*math.Cosh(v)
	}
	first, last := d.below[0], d.below[len(d.below)-1]
	for i := range d.below {
		d.below[i] = (d.below[i] - first) / (last - first)
		d.density[i] /= last - first
	}
}

// cumulative is the probability of a log10 dose below x: a cubic with the
// tabulated values and densities at the knots on either side.
func (d *DoseDistribution) cumulative(x float64) float64 {
	at := (math.Asinh((x-d.centre)/d.width) - d.low) / d.step
	last := len(d.below) - 1
	switch {
	case !(at > 0):
		return 0
	case at >= float64(last):
		return 1
	}
	i := int(at)
	u := at - float64(i)
	rise := d.below[i+1] - d.below[i]
	first, second := d.density[i]*d.step-rise, rise-d.density[i+1]*d.step
	return d.below[i] + u*rise + u*(1-u)*((1-u)*first+u*second)
}
