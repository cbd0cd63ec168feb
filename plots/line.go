package plots

import (
	"math"

	"vialwise/doseresp"
)

// Line is a fitted line on the scale of its link, with what a pointwise band
// needs. It turns into the functions that the figures draw.
type Line struct {
	Link             doseresp.Link
	Intercept, Slope float64
	NaturalMortality float64       // NaN for none
	Cov              [2][2]float64 // of intercept and slope
	// Multiplier is the quantile, of t or of the normal distribution, times the
	// root of the heterogeneity factor where one is applied.
	Multiplier float64
}

// Mortality is C + (1-C) F(a + b log10 d).
func (l Line) Mortality(concentration float64) float64 {
	return l.raise(l.Intercept + l.Slope*math.Log10(concentration))
}

// Band returns the pointwise limits of Mortality at a concentration above 0,
//
//	C + (1-C) F(η ± m √(Vaa + 2 x Vab + x² Vbb)), η = a + b x, x = log10 d
//
// with m the Multiplier. Natural mortality is taken as known, so the band is a
// little too narrow where C was estimated from few controls. It is NaN where the
// covariance is not that of a line.
func (l Line) Band(concentration float64) (lower, upper float64) {
	x := math.Log10(concentration)
	eta := l.Intercept + l.Slope*x
	half := l.Multiplier * math.Sqrt(l.Cov[0][0]+x*(l.Cov[0][1]+l.Cov[1][0])+x*x*l.Cov[1][1])
	return l.raise(eta - half), l.raise(eta + half)
}

// raise adds natural mortality to F(η).
func (l Line) raise(eta float64) float64 {
	if math.IsNaN(eta) {
		return eta
	}
	c := max(l.NaturalMortality, 0)
	if math.IsNaN(l.NaturalMortality) {
		c = 0
	}
	return c + (1-c)*l.Link.CDF(eta)
}
