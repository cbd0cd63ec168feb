package doseresp

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Link names the tolerance distribution F of the model: the proportion of a
// population whose individual tolerance lies below a + b log10 dose.
type Link uint8

// The links. Probit is the trade's default (Finney 1971, Probit Analysis, 3rd
// edition, chapter 3); Logit has heavier tails; Cloglog is asymmetric, with a
// long lower and a short upper tail.
const (
	Probit  Link = iota // F(η) = Φ(η)
	Logit               // F(η) = 1/(1 + e^-η)
	Cloglog             // F(η) = 1 - exp(-e^η)
)

var linkNames = [...]string{Probit: "probit", Logit: "logit", Cloglog: "cloglog"}

// Links lists every link, in the order of their constants.
func Links() []Link { return []Link{Probit, Logit, Cloglog} }

// String returns the link's name as flags and results spell it.
func (l Link) String() string { return nameOf(linkNames[:], l) }

// ParseLink returns the link of that name.
func ParseLink(name string) (Link, error) { return parseName[Link](linkNames[:], name, "link") }

// CDF returns F(η). Its lower tail is accurate to 1e-13 relative down to 1e-300.
func (l Link) CDF(eta float64) float64 { return l.at(eta).cdf }

// Survival returns 1 - F(η), never by that subtraction where it would cancel:
// its upper tail is accurate to 1e-13 relative down to 1e-300.
func (l Link) Survival(eta float64) float64 { return l.at(eta).survival }

// LogCDF returns log F(η) to 1e-13 relative, for any finite η.
func (l Link) LogCDF(eta float64) float64 { return l.at(eta).logCDF(l, eta) }

// LogSurvival returns log(1 - F(η)) to 1e-13 relative, for any finite η.
func (l Link) LogSurvival(eta float64) float64 { return l.at(eta).logSurvival(l, eta) }

// Density returns F'(η).
func (l Link) Density(eta float64) float64 { return l.at(eta).density() }

// Quantile returns the η at which F(η) = p. It panics unless 0 < p < 1.
func (l Link) Quantile(p float64) float64 {
	if !(p > 0 && p < 1) {
		panic("doseresp: probability of a quantile must lie between 0 and 1")
	}
	switch l {
	case Logit:
		return math.Log(p) - math.Log1p(-p)
	case Cloglog:
		return math.Log(-math.Log1p(-p))
	default:
		return distuv.UnitNormal.Quantile(p)
	}
}

// Scale returns the standard deviation of the link's tolerance distribution
// in units of η, by which a slope in probits is converted into one of this
// link: 1, π/√3 and π/√6 (the normal, logistic and Gumbel distributions).
func (l Link) Scale() float64 {
	switch l {
	case Logit:
		return math.Pi / math.Sqrt(3)
	case Cloglog:
		return math.Pi / math.Sqrt(6)
	default:
		return 1
	}
}

// tails is F and what the likelihood needs of it at one η. The two hazards
// stay finite where F or 1 - F underflows.
type tails struct {
	cdf, survival   float64 // F, 1 - F
	reverse, hazard float64 // F'/F, F'/(1 - F)
	curvature       float64 // F''/F'
}

func (t tails) density() float64 {
	if t.cdf < t.survival {
		return t.reverse * t.cdf
	}
	return t.hazard * t.survival
}

func (t tails) logCDF(l Link, eta float64) float64 {
	if t.cdf > 0.5 {
		return math.Log1p(-t.survival)
	}
	if t.cdf > smallestNormal {
		return math.Log(t.cdf)
	}
	if l == Probit {
		return logNormalTail(-eta)
	}
	return eta // both other links: F = e^η to the last digit here
}

func (t tails) logSurvival(l Link, eta float64) float64 {
	switch {
	case l == Cloglog:
		return -math.Exp(eta)
	case t.survival > 0.5:
		return math.Log1p(-t.cdf)
	case t.survival > smallestNormal:
		return math.Log(t.survival)
	case l == Probit:
		return logNormalTail(eta)
	default:
		return -eta
	}
}

// smallestNormal is where doubles begin to lose digits to gradual underflow.
const smallestNormal = 0x1p-1022

func (l Link) at(eta float64) tails {
	switch l {
	case Logit:
		return logitAt(eta)
	case Cloglog:
		return cloglogAt(eta)
	default:
		return probitAt(eta)
	}
}

func probitAt(eta float64) tails {
	n := normalBeyond(math.Abs(eta))
	large := 1 - n.tail
	if eta < 0 {
		return tails{cdf: n.tail, survival: large, reverse: 1 / n.mills, hazard: n.density / large, curvature: -eta}
	}
	return tails{cdf: large, survival: n.tail, reverse: n.density / large, hazard: 1 / n.mills, curvature: -eta}
}

func logitAt(eta float64) tails {
	e := math.Exp(-math.Abs(eta))
	small, large := e/(1+e), 1/(1+e)
	if eta < 0 {
		return tails{cdf: small, survival: large, reverse: large, hazard: small, curvature: large - small}
	}
	return tails{cdf: large, survival: small, reverse: small, hazard: large, curvature: small - large}
}

func cloglogAt(eta float64) tails {
	u := math.Exp(eta)
	t := tails{survival: math.Exp(-u), hazard: u, curvature: 1 - u}
	t.cdf = -math.Expm1(-u)
	switch {
	case u == 0:
		t.reverse = 1
	case math.IsInf(u, 1):
		t.reverse, t.hazard, t.curvature = 0, math.MaxFloat64, -math.MaxFloat64
	default:
		t.reverse = u * t.survival / t.cdf
	}
	return t
}
