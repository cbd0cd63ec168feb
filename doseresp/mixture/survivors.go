package mixture

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"vialwise/doseresp"
)

// Survivors is what one dose tells: the share of a field population that
// survived there, and whether the baseline leads one to expect as many. It is
// no resistant fraction.
type Survivors struct {
	Dose              float64
	Exposed, Survived int
	Share             float64 // surviving
	Lower, Upper      float64 // exact limits of Share (Clopper-Pearson)
	Level             float64

	// Predicted is the baseline's survival at the dose, the mean of its
	// posterior, and PredictedUpper what it exceeds with probability (1-Level)/2.
	Predicted, PredictedUpper float64
	// P is the posterior-predictive probability of so many survivors or more
	// among susceptible mites.
	P float64
	// Critical is the smallest number of survivors that would have P <= 0.05,
	// Exposed + 1 where none would.
	Critical int
	// Extrapolated says that the dose lies above all of the baseline's, where
	// the prediction depends on the link.
	Extrapolated bool
}

// predictions are the possible survivals of susceptible mites at one dose
// with their probabilities, and the factor by which containers vary more than
// binomial ones.
type predictions struct {
	survival []node
	h        float64
}

// Survivors judges the containers of a field at one dose against the baseline.
// Among susceptible mites the survivors are beta-binomial about a survival
// that has the baseline's posterior distribution: the line, the natural
// mortality of the field's own controls (its prior without them), δ where
// Options.Tau is given, and the baseline's h, by which the variance exceeds
// the binomial one. An exact test against the 1 % that should survive an LC99
// would ignore that the LC99 is an estimate; with small baselines it is
// wrong more often than stated.
//
// It fails with a *doseresp.CountError, or ErrField unless the treated
// containers with mites all have one dose.
func (b *Baseline) Survivors(field []doseresp.Container) (*Survivors, error) {
	plain, err := doseresp.Fit(field, doseresp.Options{Natural: doseresp.NaturalMortality{Mode: doseresp.None}})
	switch {
	case err != nil:
		return nil, err
	case plain.TreatedExposed == 0:
		return nil, ErrField
	case plain.Doses > 1:
		return nil, fmt.Errorf("%w at one dose alone: there are %d doses; fit them together", ErrField, plain.Doses)
	}
	var c counts
	c.add(field, true, true)
	p := b.predict(b.ownGrid(), plain.LowestDose, b.naturalOf(&c, 0, 1))
	n, k := plain.TreatedExposed, plain.TreatedExposed-plain.TreatedDead
	s := &Survivors{
		Dose: plain.LowestDose, Exposed: n, Survived: k, Share: float64(k) / float64(n), Level: b.options.Level,
		Predicted: p.mean(), PredictedUpper: p.quantile((1 + b.options.Level) / 2),
		Extrapolated: plain.LowestDose > b.highest,
	}
	lower, upper := doseresp.ClopperPearson(n-k, n, b.options.Level)
	s.Lower, s.Upper = 1-upper, 1-lower
	s.P, s.Critical = p.tail(k, n), n+1
	for low := 0; low < s.Critical; { // the tail falls with k
		middle := (low + s.Critical) / 2
		if p.tail(middle, n) <= testLevel {
			s.Critical = middle
		} else {
			low = middle + 1
		}
	}
	return s, nil
}

// testLevel is the level of every test of this package.
const testLevel = 0.05

// predict gathers the survivals at a dose over the lines of a grid.
func (b *Baseline) predict(g *grid, dose float64, natural []node) predictions {
	p := predictions{h: b.h}
	total := 0.0
	for _, l := range g.lines {
		t := b.options.Link.Tails(b.middle() + l.slope*(math.Log10(dose)-b.centre-l.theta))
		w := math.Exp(l.weight)
		total += w
		for _, c := range natural {
			p.survival = append(p.survival, node{(1 - c.x) * t.Survival, w * c.weight})
		}
	}
	for i := range p.survival {
		p.survival[i].weight /= total
	}
	return p
}

func (p *predictions) mean() float64 {
	sum := 0.0
	for _, s := range p.survival {
		sum += s.weight * s.x
	}
	return sum
}

// variance of the survival.
func (p *predictions) variance() float64 {
	sum, mean := 0.0, p.mean()
	for _, s := range p.survival {
		sum += s.weight * (s.x - mean) * (s.x - mean)
	}
	return sum
}

// quantile of the survival, found by halving.
func (p *predictions) quantile(probability float64) float64 {
	low, high := 0.0, 1.0
	for range 40 {
		middle := (low + high) / 2
		below := 0.0
		for _, s := range p.survival {
			if s.x <= middle {
				below += s.weight
			}
		}
		if below < probability {
			low = middle
		} else {
			high = middle
		}
	}
	return high
}

// tail is the probability of k survivors or more of n.
func (p *predictions) tail(k, n int) float64 {
	sum := 0.0
	for _, s := range p.survival {
		sum += s.weight * betaBinomialTail(k, n, s.x, rhoOf(p.h, n))
	}
	return min(sum, 1)
}

// rhoOf is the correlation with which n mites vary h times as much as
// independent ones.
func rhoOf(h float64, n int) float64 {
	if h <= 1 || n < 2 {
		return 0
	}
	return min((h-1)/float64(n-1), 0.5)
}

// betaBinomialTail is P(X >= k) for n at a mean p and correlation rho, by the
// incomplete beta function where rho is 0, else summed from below.
func betaBinomialTail(k, n int, p, rho float64) float64 {
	switch {
	case k <= 0:
		return 1
	case k > n || p == 0:
		return 0
	case p == 1:
		return 1
	case rho == 0:
		return distuv.Beta{Alpha: float64(k), Beta: float64(n - k + 1)}.CDF(p)
	}
	// P(X=x+1)/P(X=x) = (n-x)(a+x) / ((x+1)(b+n-x-1)), a = p(1-ρ)/ρ, b = (1-p)(1-ρ)/ρ
	a, b := p*(1-rho)/rho, (1-p)*(1-rho)/rho
	log := lgamma(b+float64(n)) - lgamma(b) - lgamma(a+b+float64(n)) + lgamma(a+b)
	term, below := math.Exp(log), 0.0
	for x := range k {
		below += term
		f := float64(x)
		term *= (float64(n) - f) * (a + f) / ((f + 1) * (b + float64(n) - f - 1))
	}
	return max(1-below, 0)
}

func lgamma(x float64) float64 {
	v, _ := math.Lgamma(x)
	return v
}
