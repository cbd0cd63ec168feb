package bioassay

import (
	"fmt"
	"math"

	"vialwise/doseresp"
	"vialwise/doseresp/meta"
)

// Survival is the share of susceptible mites that outlive a dose, of those
// that would not have died anyway, with the uncertainty of the baseline.
type Survival struct {
	Dose         float64
	Estimate     float64 // on the line; NaN without one
	Mean         float64 // expected; above Estimate where that is small, because the line is not known exactly; NaN where From is SurvivalNone
	Lower, Upper float64 // limits at the level of the baseline; 0 and 1 where From is SurvivalNone
	From         SurvivalSource
}

// SurvivalSource says whose survival is predicted.
type SurvivalSource uint8

// The sources of a predicted survival.
const (
	SurvivalNone       SurvivalSource = iota // two assays, or none with a line: limits cannot be known
	SurvivalPopulation                       // the population of the only assay, by its posterior
	SurvivalFurther                          // a further susceptible population
)

var survivalNames = [...]string{SurvivalNone: "none", SurvivalPopulation: "population", SurvivalFurther: "further-population"}

// String returns the source's name as results spell it.
func (s SurvivalSource) String() string { return survivalNames[s] }

// SurvivalSources lists every source, in the order of their constants.
func SurvivalSources() []SurvivalSource {
	return []SurvivalSource{SurvivalNone, SurvivalPopulation, SurvivalFurther}
}

// Survival predicts how many susceptible mites outlive a dose above 0, under
// the link of the baseline. Of a single assay it is the posterior of 1 - F(a + b
// log10 dose), moved by the variation between populations where that is given;
// of several the random-effects prediction of a + b log10 dose for a further
// population. It fails with ErrBaseline where the dose is not one.
func (b *Baseline) Survival(dose float64) (Survival, error) {
	if !(dose > 0) || math.IsInf(dose, 1) {
		return Survival{}, fmt.Errorf("%w: %g is no dose to outlive; it must be finite and above 0", ErrBaseline, dose)
	}
	return b.lines.survival(dose, b.options)
}

func (l *baselineLines) survival(dose float64, o BaselineOptions) (Survival, error) {
	if len(l.analyses) == 1 {
		return l.survivalOfOne(dose, o), nil
	}
	return l.survivalOfMany(dose, o)
}

// survivalOfMany summarises η = a + b log10 dose of the assays.
func (l *baselineLines) survivalOfMany(dose float64, o BaselineOptions) (Survival, error) {
	none := Survival{dose, math.NaN(), math.NaN(), 0, 1, SurvivalNone}
	var y, v []float64
	for _, a := range l.analyses {
		eta, variance := l.eta(a, dose)
		y, v = append(y, eta), append(v, variance)
	}
	method := o.method()
	if o.BetweenSD.Known { // given on the scale of log10 dose
		slope, err := l.slope(o)
		if err != nil || slope.Assays == 0 {
			return none, err
		}
		method.Tau2 *= slope.Estimate * slope.Estimate
	}
	s, err := meta.Summarise(y, v, method)
	if err != nil {
		return none, err
	}
	none.Estimate = l.link.Survival(s.Mean)
	if s.Units < meta.FewestForPrediction && !o.BetweenSD.Known {
		return none, nil
	}
	return Survival{
		Dose: dose, Estimate: none.Estimate, Mean: s.Prediction.Expect(l.link.Survival),
		Lower: l.link.Survival(s.Prediction.Upper), Upper: l.link.Survival(s.Prediction.Lower), From: SurvivalFurther,
	}, nil
}

// eta is a + b log10 dose of an assay with its variance, by the line where its
// fiducial limits are bounded, else from the limits of its posterior.
func (l *baselineLines) eta(a *Analysis, dose float64) (eta, variance float64) {
	fit, x := a.Fit, math.Log10(dose)
	if fit.Status == doseresp.Converged && fit.G < 1 {
		v := fit.Cov[0][0] + 2*x*fit.Cov[0][1] + x*x*fit.Cov[1][1]
		return fit.Intercept + fit.Slope*x, v * fit.Heterogeneity.Factor()
	}
	s := posteriorSurvival{a.Limits.Posterior, dose, 0}
	tail := (1 - l.options.Level) / 2
	at := func(p float64) float64 { return l.link.Quantile(1 - s.quantile(p)) }
	return at(0.5), l.variance(at(1-tail), at(tail))
}

// survivalOfOne is the posterior of the only assay.
func (l *baselineLines) survivalOfOne(dose float64, o BaselineOptions) Survival {
	a := l.analyses[0]
	s := posteriorSurvival{a.Limits.Posterior, dose, 0}
	from := SurvivalPopulation
	if o.BetweenSD.Known { // from the assay's population to the mean, and from there to another
		s.spread, from = math.Sqrt2*o.BetweenSD.Value, SurvivalFurther
	}
	estimate := math.NaN()
	if a.Fit.Status == doseresp.Converged {
		estimate = l.link.Survival(a.Fit.Intercept + a.Fit.Slope*math.Log10(dose))
	}
	tail := (1 - l.options.Level) / 2
	return Survival{dose, estimate, s.mean(), s.quantile(tail), s.quantile(1 - tail), from}
}

// posteriorSurvival is the posterior distribution of the survival at a dose,
// whose log10 varies normally by spread from population to population.
type posteriorSurvival struct {
	posterior *doseresp.Posterior
	dose      float64
	spread    float64
}

// above is the probability that more than a share s survive: that the dose
// which kills 1 - s is higher than this one.
func (p posteriorSurvival) above(s float64) float64 {
	percent := 100 * (1 - s)
	if p.spread == 0 {
		return p.posterior.ProbabilityAbove(percent, p.dose)
	}
	const points, reach = 32, 6.0 // midpoint rule, exact to rounding for a smooth integrand
	sum, total := 0.0, 0.0
	for i := range points {
		z := reach * (2*(float64(i)+0.5)/points - 1)
		density := math.Exp(-z * z / 2)
		sum += density * p.posterior.ProbabilityAbove(percent, p.dose*antilog(-z*p.spread))
		total += density
	}
	return sum / total
}

// smallestSurvival bounds the shares that are told apart from none or all.
const smallestSurvival = 1e-12

// quantile is the share s with probability p of less, by bisection in log odds.
func (p posteriorSurvival) quantile(probability float64) float64 {
	end := math.Log1p(-smallestSurvival) - math.Log(smallestSurvival)
	low, high := -end, end
	for high-low > 1e-6 {
		if middle := (low + high) / 2; 1-p.above(share(middle)) < probability {
			low = middle
		} else {
			high = middle
		}
	}
	return share((low + high) / 2)
}

// mean is the integral of above over all shares, by the trapezoidal rule in
// log odds.
func (p posteriorSurvival) mean() float64 {
	const points = 160
	end := math.Log1p(-smallestSurvival) - math.Log(smallestSurvival)
	step := 2 * end / points
	sum := 0.0
	for i := range points + 1 {
		s := share(-end + float64(i)*step)
		sum += p.above(s) * s * (1 - s)
	}
	return sum * step
}

// share is the share with these log odds.
func share(logOdds float64) float64 { return 1 / (1 + math.Exp(-logOdds)) }
