package doseresp

import "math"

// Crossing is where the lines of two populations meet.
type Crossing struct {
	Dose     float64 // NaN where the lines are parallel or one is missing
	Response float64 // F there, the same in both populations, natural mortality left out
	// Central: the response lies between CentralLow and CentralHigh, so that
	// neither population is the more tolerant one over the doses that matter.
	Central bool
}

// The responses between which a crossing makes any single ratio meaningless.
const (
	CentralLow  = 0.20
	CentralHigh = 0.80
)

// Cross returns where two lines of one link meet, a₁ + b₁x = a₂ + b₂x. It says
// nothing about whether their slopes differ beyond chance: see CompareLines.
func Cross(a, b *Result) Crossing {
	x := (a.Intercept - b.Intercept) / (b.Slope - a.Slope)
	if math.IsNaN(x) || math.IsInf(x, 0) || a.Link != b.Link {
		return Crossing{Dose: math.NaN(), Response: math.NaN()}
	}
	f := a.Link.CDF(a.Intercept + a.Slope*x)
	return Crossing{Dose: pow10(x), Response: f, Central: CentralLow < f && f < CentralHigh}
}
