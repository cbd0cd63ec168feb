package doseresp

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// pooledDF is the degrees of freedom of the sum of two variances of which some
// were estimated (Welch 1947, Biometrika 34:28-35; Satterthwaite 1946,
// Biometrics Bulletin 2:110-114; from memory),
//
//	(V₁ + V₂)² / (V₁²/df₁ + V₂²/df₂)
//
// rounded down. A variance without df, to which no h was applied, counts as
// known; 0 where both are. Two that share one factor share its df.
func pooledDF(a, b LogDose) int {
	if a.shared && b.shared {
		return min(a.DF, b.DF)
	}
	va, vb, spent := a.SE*a.SE, b.SE*b.SE, 0.0
	if a.DF > 0 {
		spent += va * va / float64(a.DF)
	}
	if b.DF > 0 {
		spent += vb * vb / float64(b.DF)
	}
	df := (va + vb) * (va + vb) / spent
	switch {
	case spent == 0 || !(df < 1e6):
		return 0
	}
	return max(1, int(df*(1+1e-12))) // 5.999… is 6
}

// deltaLimits are the limits of Robertson & Preisler (1992, Pesticide
// Bioassays with Arthropods), log10 ratio ± m SE. Published tables have the
// normal m, 1.96, and no heterogeneity, as under the rule Never; where h is in
// either variance m is Student's t with the degrees of freedom of pooledDF.
func (r *Ratio) deltaLimits() Limits {
	p := 0.5 + r.Level/2
	m := distuv.UnitNormal.Quantile(p)
	if r.DF > 0 {
		m = StudentQuantile(p, r.DF)
	}
	reach := m * r.Log10SE
	if math.IsNaN(reach) || math.IsNaN(r.Estimate) {
		reach = math.Inf(1)
	}
	d := math.Log10(r.Estimate)
	if math.IsInf(reach, 1) {
		d = 0
	}
	return logLimits(d-reach, d+reach)
}

// moverLimits combine the limits l and u of each population about its estimate
// d to limits of the difference (method of variance estimates recovery; Zou &
// Donner 2008, Statistics in Medicine 27:1693-1702),
//
//	L = d₁ - d₂ - √((d₁-l₁)² + (u₂-d₂)²)
//	U = d₁ - d₂ + √((u₁-d₁)² + (d₂-l₂)²)
//
// so that they keep the asymmetry of their limits, and each side needs only
// one limit of each: a population of which none died at the highest dose still
// has a least ratio. Where d is known to lie between From and To only, the end
// of that bracket, or of the limits where they are narrower, that makes the
// result wider takes its place.
func moverLimits(a, b LogDose) Limits {
	aFrom, aTo := max(a.From, a.Lower), min(a.To, a.Upper)
	bFrom, bTo := max(b.From, b.Lower), min(b.To, b.Upper)
	lower := aFrom - bTo - math.Hypot(aFrom-a.Lower, b.Upper-bTo)
	upper := aTo - bFrom + math.Hypot(a.Upper-aTo, bFrom-b.Lower)
	if math.IsNaN(lower) { // unbounded both by counts and by limits
		lower = math.Inf(-1)
	}
	if math.IsNaN(upper) {
		upper = math.Inf(1)
	}
	return logLimits(lower, upper)
}

// logLimits turns limits of a log10 ratio into those of the ratio.
func logLimits(lower, upper float64) Limits {
	l := Limits{Lower: pow10(lower), Upper: pow10(upper)}
	below, above := l.Lower == 0, math.IsInf(l.Upper, 1)
	switch {
	case below && above:
		l.Kind = Unbounded
	case below:
		l.Kind = UnboundedBelow
	case above:
		l.Kind = UnboundedAbove
	}
	return l
}
