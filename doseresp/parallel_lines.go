package doseresp

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// ParallelLines are lines of one slope through several populations. What does
// not exist is NaN: all, unless the fit of one rising slope converged.
type ParallelLines struct {
	Link               Link
	Slope, SlopeStdErr float64   // standard error of maximum likelihood, without heterogeneity
	Intercepts         []float64 // by population; NaN where all died or none did
	Deviance           float64   // by container
	Pearson            Pearson   // by container
	Level              float64

	// Heterogeneity is the factor of LineTests, about lines of their own slopes:
	// that the slopes differ is no variation between containers.
	Heterogeneity Heterogeneity
	df            int // its degrees of freedom

	// Ratios are LCp of each population over that of the first, the same for
	// every p: the potency of the poison to the first population relative to
	// this one. The first is 1 without limits.
	Ratios []CommonRatio

	covariance []intercept // by population
	centre     float64     // of log dose in covariance
}

// CommonRatio is a ratio of LCp that a common slope makes the same for all p.
type CommonRatio struct {
	Estimate float64
	Log10SE  float64 // by the delta method, heterogeneity included
	Delta    Limits  // log10 ratio ± quantile × Log10SE
	Fieller  Limits
	Profile  Limits // profile likelihood over lines of one slope
}

// intercept holds one intercept, at the centre of log dose, with its variance
// and covariance with the slope, in natural units of log10 dose.
type intercept struct {
	a, vaa, vab float64
	own         float64 // the part of vaa that no other intercept shares
}

// begin empties the lines.
func (p *ParallelLines) begin(c *LineComparer, h Heterogeneity, df int) {
	nan := math.NaN()
	*p = ParallelLines{
		Link: c.options.Link, Slope: nan, SlopeStdErr: nan, Deviance: nan, Pearson: Pearson{X2: nan, P: nan},
		Heterogeneity: h, df: df, Level: c.options.Level,
		Intercepts: p.Intercepts[:0], Ratios: p.Ratios[:0], covariance: p.covariance[:0], centre: c.whole.centre,
	}
	for range c.populations {
		p.Intercepts = append(p.Intercepts, nan)
		p.covariance = append(p.covariance, intercept{nan, nan, nan, nan})
		p.Ratios = append(p.Ratios, noCommonRatio())
	}
}

func noCommonRatio() CommonRatio {
	none := Limits{0, math.Inf(1), Unbounded, Bracket{}}
	return CommonRatio{math.NaN(), math.NaN(), none, none, none}
}

// describe fills in the lines from the climber's best summit.
func (p *ParallelLines) describe(c *LineComparer) {
	s, scale := &c.climber.best, c.whole.scale
	if !c.climber.invert() {
		return
	}
	w := &c.climber.arrow
	slopeVariance := 1 / (w.slope * scale * scale)
	p.Slope, p.SlopeStdErr = s.b/scale, math.Sqrt(slopeVariance)
	p.Pearson, p.Deviance = c.goodness(&s.jointPoint, c.whole.lines+1)
	line := 0
	for k := range c.populations {
		if c.populations[k].flat {
			continue
		}
		l := &w.line[line]
		tilt := l.ab / l.aa * scale // d intercept / d slope, negative
		p.covariance[k] = intercept{s.a[line], 1/l.aa + tilt*tilt*slopeVariance, -tilt * slopeVariance, 1 / l.aa}
		p.Intercepts[k] = s.a[line] - p.Slope*p.centre
		line++
	}
	c.keepParallel()
	t := p.quantile()
	drop := p.Heterogeneity.Factor() * t * t / 2
	for k := range p.Ratios {
		p.ratio(k, t)
		if k > 0 && !math.IsNaN(p.Ratios[k].Estimate) {
			p.Ratios[k].Profile = c.ratioProfile(k, drop)
		}
	}
}

// quantile is that of the fit: Student's where heterogeneity is in it.
func (p *ParallelLines) quantile() float64 {
	if p.Heterogeneity.Applied {
		return StudentQuantile(0.5+p.Level/2, p.df)
	}
	return distuv.UnitNormal.Quantile(0.5 + p.Level/2)
}

// ratio fills in the ratio of population k to the first, (a₁ - a_k)/b in
// log10, with its delta and Fieller limits.
func (p *ParallelLines) ratio(k int, t float64) {
	first, own := &p.covariance[0], &p.covariance[k]
	r := &p.Ratios[k]
	if k == 0 || math.IsNaN(first.a-own.a) {
		if k == 0 && !math.IsNaN(first.a) {
			r.Estimate, r.Log10SE = 1, 0
		}
		return
	}
	h, slopeVariance := p.Heterogeneity.Factor(), p.SlopeStdErr*p.SlopeStdErr
	cov := first.vab - own.vab // of a₁ - a_k with the slope
	variance := first.own + own.own + cov*cov/slopeVariance
	l := line{own.a - first.a, p.Slope, h * variance, -h * cov, h * slopeVariance}
	theta, se := l.solve(0)
	r.Estimate, r.Log10SE = pow10(theta), se
	r.Delta = logLimits(theta-t*se, theta+t*se)
	lower, upper, kind := l.fieller(0, t)
	if kind == ExcludedRegion {
		r.Fieller = Limits{0, math.Inf(1), kind, Bracket{pow10(lower), pow10(upper)}}
	} else {
		r.Fieller = logLimits(lower, upper)
	}
}

// LC returns LCp of population k under the common slope and the standard error
// of its log10 by the delta method, heterogeneity included.
func (p *ParallelLines) LC(k int, percent float64) (estimate, log10SE float64) {
	h, v := p.Heterogeneity.Factor(), &p.covariance[k]
	l := line{v.a, p.Slope, h * v.vaa, h * v.vab, h * p.SlopeStdErr * p.SlopeStdErr}
	theta, se := l.solve(p.Link.Quantile(percent / 100))
	return pow10(p.centre + theta), se
}
