package meta

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/stat/distuv"
)

// Prediction is where the true value of a further unit may be expected, were it
// drawn like those that were seen.
type Prediction struct {
	// Interval carries the uncertainty of τ². It is that of the mixture
	//
	//	N(β(τ²), 1/Σw(τ²) + τ²),   Q(τ²) = q,   q ~ chi-squared with k - 1
	//
	// with τ² = 0 for every q above Q(0): the confidence distribution of τ² that
	// belongs to the Q-profile, as in Nagashima, Noma & Furukawa (2019,
	// Statistical Methods in Medical Research 28:1689-1702, from memory), with
	// the mean conditional on the same q. As the variances v go to 0 it becomes
	// the exact interval with Student's t on k - 1 degrees of freedom.
	Interval
	// PlugIn is the interval of Higgins, Thompson & Spiegelhalter (2009, J. R.
	// Stat. Soc. A 172:137-159), Mean ± t √(τ² + StdErr²) with t on k - 2 degrees
	// of freedom. It takes the estimated τ² for the true one, and is too narrow
	// where that estimate happens to be 0.
	PlugIn Interval

	distribution *mixture // behind Interval; nil where nothing is predicted
}

// Expect returns the mean of f over the predictive distribution, and NaN where
// nothing is predicted. f should be smooth on the scale of the interval, and
// bounded or nearly so. Each part of the mixture is integrated by the midpoint
// rule over 8 standard deviations to either side, which is exact to rounding
// for a smooth f.
func (p Prediction) Expect(f func(x float64) float64) float64 {
	const points, reach = 64, 8.0
	if p.distribution == nil {
		return math.NaN()
	}
	sum, total := 0.0, 0.0
	for i := range points {
		z := reach * (2*(float64(i)+0.5)/points - 1)
		density := math.Exp(-z * z / 2)
		for j, w := range p.distribution.weight {
			if w > 0 {
				sum += w * density * f(p.distribution.mean[j]+z*p.distribution.sd[j])
				total += w * density
			}
		}
	}
	return sum / total
}

// predict predicts one more unit of a model without covariates.
func (r *Regression) predict() Prediction {
	k := r.Units
	mean := r.Coefficients[0]
	sd := math.Hypot(mean.StdErr, r.SD())
	switch {
	case r.Method == Given:
		p := around(mean.Estimate, Quantile(0.5+r.Level/2, r.DF)*sd)
		return Prediction{p, p, &mixture{[]float64{1}, []float64{mean.Estimate}, []float64{sd}}}
	case k < FewestForPrediction:
		return Prediction{nowhere, nowhere, nil}
	}
	m := r.data.mixture()
	return Prediction{
		Interval: Interval{m.quantile((1 - r.Level) / 2), m.quantile((1 + r.Level) / 2)},
		PlugIn:   around(mean.Estimate, Quantile(0.5+r.Level/2, float64(k-2))*sd),

		distribution: m,
	}
}

// mixture is a mixture of normal distributions.
type mixture struct{ weight, mean, sd []float64 }

// mixturePoints is the number of points of the integral over q below Q(0). With
// four times as many no end of an interval of 3 to 20 units moved by more than
// 2e-7 of its width.
const mixturePoints = 40

// mixture is the predictive distribution. q below Q(0) is integrated by the
// Gauss-Legendre rule in log q, over all of chi-squared but 1e-8 at either end.
func (u *units) mixture() *mixture {
	m := new(mixture)
	df := float64(u.k() - 1)
	chi := distuv.ChiSquared{K: df}
	zero := u.fit(0)
	low := chi.Quantile(1e-3) * math.Pow(1e-5, 2/df) // P grows as q^(df/2) there
	high := min(zero.q, df+12*math.Sqrt(2*df)+40)
	if high > low {
		x, w := make([]float64, mixturePoints), make([]float64, mixturePoints)
		quad.Legendre{}.FixedLocations(x, w, math.Log(low), math.Log(high))
		for i := range x {
			q := math.Exp(x[i])
			m.add(w[i]*q*chi.Prob(q), u.fit(u.solveQ(q)))
		}
	}
	m.add(chi.Survival(zero.q), zero)
	return m
}

func (m *mixture) add(weight float64, f *weighted) {
	m.weight = append(m.weight, weight)
	m.mean = append(m.mean, f.beta[0])
	m.sd = append(m.sd, math.Sqrt(f.cov[0][0]+f.tau2))
}

// tail is the probability of values below x or above it, neither computed from
// the other.
func (m *mixture) tail(x float64, above bool) float64 {
	sum, total := 0.0, 0.0
	for i, w := range m.weight {
		z := (x - m.mean[i]) / (m.sd[i] * math.Sqrt2)
		if !above {
			z = -z
		}
		sum += w * math.Erfc(z) / 2
		total += w
	}
	return sum / total
}

// quantile inverts the distribution by bisection.
func (m *mixture) quantile(p float64) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for i := range m.mean {
		low = min(low, m.mean[i]-40*m.sd[i])
		high = max(high, m.mean[i]+40*m.sd[i])
	}
	above := p > 0.5
	if above {
		p = 1 - p
	}
	for range 200 {
		x := low + (high-low)/2
		if x == low || x == high {
			break
		}
		if (m.tail(x, above) > p) == above {
			low = x
		} else {
			high = x
		}
	}
	return low + (high-low)/2
}
