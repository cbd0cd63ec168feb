package sim

import (
	"fmt"
	"math"

	"vialwise/doseresp"
)

// Truth is the population an assay is drawn from. The zero values of
// NaturalMortality, Rho and ResistantFraction switch each of them off.
type Truth struct {
	Link  doseresp.Link
	LC50  float64 // of the susceptible part, in the unit of the doses
	Slope float64 // of F on log10 dose, the same in both parts

	NaturalMortality float64 // C, the mortality without treatment, in [0, 1]

	// Rho is the correlation between the fates of two individuals in one
	// container, in [0, 1]: counts are beta-binomial, binomial where it is 0.
	Rho float64

	// ResistantFraction is the share q of the population, in [0, 1], that
	// tolerates ResistantShift times the dose. A shift of +Inf means that no
	// dose kills it, and mortality levels off at a plateau of C + (1-C)(1-q).
	ResistantFraction float64
	ResistantShift    float64
}

// Mortality returns the probability that an individual dies at a dose,
//
//	C + (1 - C) [(1 - q) F(a + b x) + q F(a + b (x - s))]
//
// with x = log10 dose, s = log10 ResistantShift and a such that
// F(a + b log10 LC50) = 1/2. It is C at dose 0. It panics if the dose is
// negative or the truth impossible.
func (t Truth) Mortality(dose float64) float64 {
	t.check()
	if !(dose >= 0) {
		panic(fmt.Sprintf("sim: dose %v is not zero or more", dose))
	}
	if dose == 0 {
		return t.NaturalMortality
	}
	response := t.response(dose)
	if q := t.ResistantFraction; q > 0 {
		response = float64((1-q)*response) + float64(q*t.response(dose/t.ResistantShift))
	}
	// Interpolating from the nearer end gives exactly C at response 0 and
	// exactly 1 at response 1.
	if response < 0.5 {
		return t.NaturalMortality + float64((1-t.NaturalMortality)*response)
	}
	return 1 - float64((1-t.NaturalMortality)*(1-response))
}

// response is F at a dose of the susceptible part. A dose of 0 here is one
// that an unbounded shift has made harmless.
func (t Truth) response(dose float64) float64 {
	if dose == 0 {
		return 0
	}
	return t.Link.CDF(t.median() + float64(t.Slope*math.Log10(dose/t.LC50)))
}

// median is the η at which half of the population responds.
func (t Truth) median() float64 {
	if t.Link == doseresp.Cloglog {
		return math.Log(math.Ln2) // the other links are symmetric about 0
	}
	return 0
}

// check panics where a field lies outside its domain.
func (t Truth) check() {
	finite := func(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
	proportion := func(x float64) bool { return x >= 0 && x <= 1 }
	switch {
	case !(t.LC50 > 0) || !finite(t.LC50):
		panic(fmt.Sprintf("sim: LC50 %v is not a finite number above zero", t.LC50))
	case !finite(t.Slope):
		panic(fmt.Sprintf("sim: slope %v is not finite", t.Slope))
	case !proportion(t.NaturalMortality):
		panic(fmt.Sprintf("sim: natural mortality %v is not between 0 and 1", t.NaturalMortality))
	case !proportion(t.Rho):
		panic(fmt.Sprintf("sim: rho %v is not between 0 and 1", t.Rho))
	case !proportion(t.ResistantFraction):
		panic(fmt.Sprintf("sim: resistant fraction %v is not between 0 and 1", t.ResistantFraction))
	case t.ResistantFraction > 0 && !(t.ResistantShift > 0):
		panic(fmt.Sprintf("sim: resistant shift %v is not above zero", t.ResistantShift))
	}
}
