package doseresp

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// normalDF is the number of degrees of freedom beyond which the quantile comes
// from its expansion about the normal one, whose error there is below 1e-12.
const normalDF = 200

// StudentQuantile returns the quantile t of Student's distribution with df
// degrees of freedom, a whole number from 1, at probability p in [1/2, 1), accurate
// to 1e-10 relative.
//
// Up to normalDF it solves P(|T| <= t) = 2p - 1 by Newton's method on the
// finite series for whole degrees of freedom (Abramowitz & Stegun 1964,
// 26.7.3 and 26.7.4); beyond, it is the expansion of 26.7.5 alone.
func StudentQuantile(p float64, df int) float64 {
	switch {
	case df == 1:
		return math.Tan(math.Pi * (p - 0.5))
	case df == 2: // closed form: t = (2p-1)·√(2/(4p(1-p)))
		return (2*p - 1) * math.Sqrt(0.5/(p*(1-p)))
	}
	t := studentExpansion(distuv.UnitNormal.Quantile(p), float64(df))
	if df > normalDF {
		return t
	}
	for range 50 {
		step := (studentCentral(t, df) - (2*p - 1)) / (2 * studentDensity(t, df))
		// From above the root the concave central probability could throw the
		// iterate below zero; halving keeps it on the branch of the root.
		if step > t/2 {
			step = t / 2
		}
		t -= step
		if math.Abs(step) <= 1e-14*t {
			break
		}
	}
	return t
}

// studentExpansion is Abramowitz & Stegun 26.7.5 in the normal quantile x.
func studentExpansion(x, df float64) float64 {
	x2 := x * x
	g1 := x * (x2 + 1) / 4
	g2 := x * ((5*x2+16)*x2 + 3) / 96
	g3 := x * (((3*x2+19)*x2+17)*x2 - 15) / 384
	g4 := x * ((((79*x2+776)*x2+1482)*x2-1920)*x2 - 945) / 92160
	return x + (g1+(g2+(g3+g4/df)/df)/df)/df
}

// studentCentral returns P(|T| <= t), Abramowitz & Stegun 26.7.3 (odd df) and
// 26.7.4 (even df), with θ = atan(t/√df).
func studentCentral(t float64, df int) float64 {
	n := float64(df)
	cos2 := n / (n + t*t)
	sin := t / math.Sqrt(n+t*t)
	sum, term := 0.0, 1.0
	if df%2 == 0 {
		for k := 2; ; k += 2 {
			sum += term
			if k >= df {
				return sin * sum
			}
			term *= cos2 * float64(k-1) / float64(k)
		}
	}
	for k := 3; k <= df; k += 2 {
		sum += term
		term *= cos2 * float64(k-1) / float64(k)
	}
	theta := math.Atan(t / math.Sqrt(n))
	return (theta + sin*math.Sqrt(cos2)*sum) * 2 / math.Pi
}

func studentDensity(t float64, df int) float64 {
	n := float64(df)
	a, _ := math.Lgamma((n + 1) / 2)
	b, _ := math.Lgamma(n / 2)
	return math.Exp(a-b-0.5*math.Log(n*math.Pi)) * math.Pow(1+t*t/n, -(n+1)/2)
}

// chiSquaredSurvival returns P(X > x) for chi-squared with df degrees of
// freedom, and NaN where there are none.
func chiSquaredSurvival(x float64, df int) float64 {
	if df < 1 || math.IsNaN(x) {
		return math.NaN()
	}
	if math.IsInf(x, 1) {
		return 0
	}
	return distuv.ChiSquared{K: float64(df)}.Survival(x)
}
