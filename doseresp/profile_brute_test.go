package doseresp

import "math"

// bruteRidge is the profile likelihood by search alone: over a dense grid of
// slopes, each with its best natural mortality by golden section, for the
// likelihood is concave in C at fixed η; then golden sections around the four
// best slopes. It shares no step with the package's ascent.
func bruteRidge(m *model, z, theta float64) float64 {
	const points = 120
	var value [points]float64
	reach := 0.0 // the widest distance of a dose from θ
	for _, g := range m.treated {
		reach = max(reach, math.Abs(g.u-theta))
	}
	slope := func(i float64) float64 { return math.Exp(-9+25*i/points) / reach }
	at := func(i float64) float64 { return bruteNatural(m, z, theta, slope(i)) }
	for i := range value {
		value[i] = at(float64(i))
	}
	best := bruteNatural(m, z, theta, 0)
	for i, v := range value {
		if i > 0 && value[i-1] > v || i+1 < points && value[i+1] > v {
			continue // not a local maximum of the grid
		}
		_, top := golden(at, float64(i)-1, float64(i)+1)
		best = max(best, v, top)
	}
	return best
}

// bruteNatural is the likelihood at one slope with the best C.
func bruteNatural(m *model, z, theta, b float64) float64 {
	at := func(c float64) float64 { return bruteLikelihood(m, z, theta, b, c) }
	if !m.freeC {
		return at(m.fixedC)
	}
	// In log C, so that a C near its bound is found as closely as any other.
	_, best := golden(func(x float64) float64 { return at(math.Exp(x)) }, math.Log(1e-13), math.Log(1-1e-9))
	return max(best, at(0))
}

func bruteLikelihood(m *model, z, theta, b, c float64) float64 {
	sum := 0.0
	if c > 0 || m.control.dead > 0 {
		sum = logTerm(m.control.dead, math.Log(c)) + logTerm(m.control.survivors(), math.Log1p(-c))
	}
	for _, g := range m.treated {
		eta := z + b*(g.u-theta)
		logDead := m.link.LogCDF(eta)
		if c > 0 {
			logDead = logMixed(c+(1-c)*m.link.CDF(eta), (1-c)*m.link.Survival(eta))
		}
		sum += logTerm(g.dead, logDead) + logTerm(g.survivors(), math.Log1p(-c)+m.link.LogSurvival(eta))
	}
	return sum
}

// golden maximises f over [lo, hi] by golden section.
func golden(f func(float64) float64, lo, hi float64) (x, value float64) {
	ratio := (math.Sqrt(5) - 1) / 2
	a, b := hi-ratio*(hi-lo), lo+ratio*(hi-lo)
	fa, fb := f(a), f(b)
	for range 45 {
		if fa >= fb {
			hi, b, fb = b, a, fa
			a = hi - ratio*(hi-lo)
			fa = f(a)
		} else {
			lo, a, fa = a, b, fb
			b = lo + ratio*(hi-lo)
			fb = f(b)
		}
	}
	if fa >= fb {
		return a, fa
	}
	return b, fb
}
