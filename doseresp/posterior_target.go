package doseresp

import (
	"math"

	"vialwise/doseresp/internal/quick"
)

// target is the unnormalised posterior of one assay at any point.
type target struct {
	link    Link
	middle  float64 // F⁻¹(½)
	doses   []tally // treated, by rising dose
	control tally
	priors  Priors
	slope   float64 // log of the prior median of the slope, in link units
	fixedC  float64 // used unless freeC
	freeC   bool

	rho, totals float64 // the last ρ asked for, and the sum of the totals there
}

// tally holds, for the containers of one dose, how many have more than k dead,
// alive and exposed. The beta-binomial likelihood needs no more:
//
//	Σ_k dead[k] log(P(1-ρ)+kρ) + alive[k] log(Q(1-ρ)+kρ) - exposed[k] log(1-ρ+kρ)
//
// (the product form of Griffiths 1973, Biometrics 29:637-648, from memory). For
// large containers the sum over k is a difference of log gammas.
type tally struct {
	x                    float64 // log10 dose
	dead, alive, exposed []float64
	containers           []Container
	n                    int
	large                bool // some container is large
}

// largeContainer is the number of individuals beyond which log gammas are
// cheaper than products.
const largeContainer = 100

func (t *tally) add(c Container) {
	t.containers = append(t.containers, c)
	t.n += c.Exposed
	if t.large = t.large || c.Exposed > largeContainer; c.Exposed <= largeContainer {
		t.dead = countAbove(t.dead, c.Dead)
		t.alive = countAbove(t.alive, c.Exposed-c.Dead)
		t.exposed = countAbove(t.exposed, c.Exposed)
	}
}

// countAbove adds one to every k below n.
func countAbove(counts []float64, n int) []float64 {
	for len(counts) < n {
		counts = append(counts, 0)
	}
	for k := range n {
		counts[k]++
	}
	return counts
}

// loglik is the log-likelihood of the tally at mortality P = 1 - Q and
// correlation rho.
func (t *tally) loglik(P, Q, rho float64) float64 {
	return t.counted(P, Q, rho) - t.total(rho)
}

// counted is the part of loglik that depends on mortality, and total the part
// that does not.
func (t *tally) counted(P, Q, rho float64) float64 {
	a, b := P*(1-rho), Q*(1-rho)
	sum, product := rising(t.dead, a, rho, 0, 1)
	sum, product = rising(t.alive, b, rho, sum, product)
	sum += quick.Log(product)
	if t.large {
		for _, c := range t.containers {
			if c.Exposed > largeContainer {
				sum += risingGamma(c.Dead, a, rho) + risingGamma(c.Exposed-c.Dead, b, rho)
			}
		}
	}
	return sum
}

func (t *tally) total(rho float64) float64 {
	sum, product := rising(t.exposed, 1-rho, rho, 0, 1)
	sum += quick.Log(product)
	if t.large {
		for _, c := range t.containers {
			if c.Exposed > largeContainer {
				sum += risingGamma(c.Exposed, 1-rho, rho)
			}
		}
	}
	return sum
}

// risingGamma is Σ_{k<n} log(first + k rho).
func risingGamma(n int, first, rho float64) float64 {
	if n == 0 {
		return 0
	}
	if first < 1e-300 {
		return math.Inf(-1)
	}
	top, _ := math.Lgamma(first/rho + float64(n))
	bottom, _ := math.Lgamma(first / rho)
	return float64(n)*math.Log(rho) + top - bottom
}

// rising adds Σ_k counts[k] log(first + k rho) to sum + log product. Factors
// are multiplied up before a logarithm is taken.
func rising(counts []float64, first, rho, sum, product float64) (float64, float64) {
	for k, count := range counts {
		factor := first + float64(k)*rho
		if factor < 1e-20 {
			sum += count * quick.Log(factor)
			continue
		}
		switch count {
		case 1:
			product *= factor
		case 2:
			product *= factor * factor
		case 3:
			product *= factor * factor * factor
		default:
			sum += count * quick.Log(factor)
			continue
		}
		if product < 1e-200 || product > 1e200 {
			sum += quick.Log(product)
			product = 1
		}
	}
	return sum, product
}

func newTarget(d *design, o Options, priors Priors) *target {
	t := &target{
		link: o.Link, middle: o.Link.Quantile(0.5), priors: priors,
		slope: math.Log(priors.SlopeMedian * o.Link.Scale()),
	}
	switch o.Natural.Mode {
	case Estimated, AbbottCorrection:
		t.freeC = true
	case Fixed:
		t.fixedC = o.Natural.Value
	}
	for _, c := range d.sorted {
		switch {
		case c.Dose == 0:
			if t.freeC || t.fixedC > 0 {
				t.control.add(c)
			}
			continue
		case len(t.doses) == 0 || t.doses[len(t.doses)-1].x != math.Log10(c.Dose):
			t.doses = append(t.doses, tally{x: math.Log10(c.Dose)})
		}
		t.doses[len(t.doses)-1].add(c)
	}
	return t
}

// place is a point of the posterior: θ = log10 LC50, λ = log slope, C and ρ.
type place struct{ theta, lambda, c, rho float64 }

// logPriorLine is the log prior of θ and λ.
func (t *target) logPriorLine(theta, lambda float64) float64 {
	a := (theta - t.priors.Log10LC50Mean) / t.priors.Log10LC50SD
	b := (lambda - t.slope) / t.priors.SlopeLogSD
	return -0.5 * (a*a + b*b)
}

// logPriorRest is the log prior of C and ρ.
func (t *target) logPriorRest(c, rho float64) float64 {
	l := -rho / t.priors.RhoMean
	if t.freeC {
		l += (t.priors.NaturalA-1)*math.Log(c) + (t.priors.NaturalB-1)*math.Log1p(-c)
	}
	return l
}

// log is the log posterior at a place, up to a constant.
func (t *target) log(p place) float64 {
	sum := t.logPriorLine(p.theta, p.lambda) + t.logPriorRest(p.c, p.rho) - t.total(p.rho)
	if t.control.n > 0 {
		sum += t.control.counted(p.c, 1-p.c, p.rho)
	}
	b := math.Exp(p.lambda)
	for i := range t.doses {
		d := &t.doses[i]
		f := t.link.at(t.middle + b*(d.x-p.theta))
		sum += d.counted(p.c+(1-p.c)*f.cdf, (1-p.c)*f.survival, p.rho)
	}
	if math.IsNaN(sum) {
		return math.Inf(-1)
	}
	return sum
}

// total is the part of the log-likelihood that depends on ρ alone.
func (t *target) total(rho float64) float64 {
	if rho != t.rho {
		t.rho, t.totals = rho, t.control.total(rho)
		for i := range t.doses {
			t.totals += t.doses[i].total(rho)
		}
	}
	return t.totals
}
