package doseresp

import "math"

// slopeSlice is the posterior of θ = log10 LC50 at one slope. Its points are
// equally spaced in v, where θ = centre + width sinh v puts them close near the
// middle and lets them reach far into the tails. It holds the density of v as
// a natural cubic spline, with the integral up to each point; all slices
// together integrate to 1.
type slopeSlice struct {
	slope         float64
	centre, width float64
	low, step     float64 // v of the first point, and between points
	value         []float64
	second        []float64 // second derivatives of the spline
	cumulative    []float64
}

func (s *slopeSlice) theta(v float64) float64 { return s.centre + s.width*math.Sinh(v) }

// integrate runs a spline through the values and integrates it.
func (s *slopeSlice) integrate() {
	n := len(s.value)
	s.second, s.cumulative = make([]float64, n), make([]float64, n)
	splineSecond(s.value, s.step, s.second)
	cumulate(s.value, s.second, s.step, s.cumulative)
}

// cumulate integrates a spline up to each of its points.
func cumulate(value, second []float64, step float64, cumulative []float64) {
	for i := 1; i < len(value); i++ {
		cumulative[i] = cumulative[i-1] + step*(value[i-1]+value[i])/2 -
			step*step*step*(second[i-1]+second[i])/24
	}
}

func (s *slopeSlice) mass() float64 { return s.cumulative[len(s.cumulative)-1] }

func (s *slopeSlice) scale(factor float64) {
	for i := range s.value {
		s.value[i] *= factor
		s.second[i] *= factor
		s.cumulative[i] *= factor
	}
}

// locate returns the interval that holds θ and the position in it, 0 to 1;
// inside is false beyond the ends.
func (s *slopeSlice) locate(theta float64) (i int, u float64, inside bool) {
	at := (math.Asinh((theta-s.centre)/s.width) - s.low) / s.step
	if !(at > 0 && at < float64(len(s.value)-1)) {
		return 0, at, false
	}
	i = int(at)
	return i, at - float64(i), true
}

// density is the density of θ.
func (s *slopeSlice) density(theta float64) float64 {
	i, u, inside := s.locate(theta)
	if !inside {
		return 0
	}
	return max(0, splineAt(s.value, s.second, s.step, i, u)) / math.Hypot(s.width, theta-s.centre)
}

// splineAt is a spline at the part u of its i-th interval.
func splineAt(value, second []float64, step float64, i int, u float64) float64 {
	v := 1 - u
	h2 := step * step / 6
	return v*value[i] + u*value[i+1] + h2*((v*v*v-v)*second[i]+(u*u*u-u)*second[i+1])
}

// below is the mass of the slice below θ.
func (s *slopeSlice) below(theta float64) float64 {
	i, u, inside := s.locate(theta)
	switch {
	case !inside && u <= 0:
		return 0
	case !inside:
		return s.mass()
	}
	return s.cumulative[i] + splineBelow(s.value, s.second, s.step, i, u)
}

// splineBelow is the integral of a spline over the first part u of its i-th
// interval.
func splineBelow(value, second []float64, h float64, i int, u float64) float64 {
	v := 1 - u
	linear := h * (value[i]*(u-u*u/2) + value[i+1]*u*u/2)
	curved := h * h * h / 6 * (second[i]*(-(v*v*v*v)/4+v*v/2-0.25) + second[i+1]*(u*u*u*u/4-u*u/2))
	return linear + curved
}

// splineSecond computes the second derivatives of the natural cubic spline
// through equally spaced values, by elimination of its tridiagonal system.
func splineSecond(value []float64, step float64, second []float64) {
	n := len(value)
	second[0], second[n-1] = 0, 0
	if n < 3 {
		return
	}
	// rows: M[i-1] + 4 M[i] + M[i+1] = 6 Δ²y[i]/h²; second holds the right
	// side, and the pivots tend to 2 + √3 from 4.
	pivot := 4.0
	scale := 6 / (step * step)
	for i := 1; i < n-1; i++ {
		right := scale * (value[i-1] - 2*value[i] + value[i+1])
		if i > 1 {
			factor := 1 / splinePivot(i-2)
			right -= factor * second[i-1]
		}
		second[i] = right
	}
	for i := n - 2; i >= 1; i-- {
		pivot = splinePivot(i - 1)
		second[i] = (second[i] - second[i+1]) / pivot
	}
}

// splinePivots are the pivots of that elimination, which have converged to
// double precision at the end of the table.
var splinePivots = func() (p [24]float64) {
	p[0] = 4
	for i := 1; i < len(p); i++ {
		p[i] = 4 - 1/p[i-1]
	}
	return p
}()

func splinePivot(i int) float64 { return splinePivots[min(i, len(splinePivots)-1)] }

// cumulative is the posterior probability that log10 LCp lies below x, where
// LCp is shift link units above LC50.
func (p *Posterior) cumulative(x, shift float64) float64 {
	sum := 0.0
	for i := range p.slopes {
		s := &p.slopes[i]
		sum += s.below(x - shift/s.slope)
	}
	return sum
}

// quantile inverts cumulative to a tolerance in log10 dose, by bisection with
// secant steps between.
func (p *Posterior) quantile(probability, shift, tolerance float64) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for i := range p.slopes {
		s := &p.slopes[i]
		low = math.Min(low, s.theta(s.low)+shift/s.slope)
		high = math.Max(high, s.theta(s.low+s.step*float64(len(s.value)-1))+shift/s.slope)
	}
	atLow, atHigh := 0.0, 1.0
	for k := 0; k < 100 && high-low > tolerance; k++ {
		x := (low + high) / 2
		if k%3 == 2 { // a secant step tightens smooth stretches at once
			x = low + (high-low)*min(max((probability-atLow)/(atHigh-atLow), 0.01), 0.99)
		}
		if c := p.cumulative(x, shift); c < probability {
			low, atLow = x, c
		} else {
			high, atHigh = x, c
		}
	}
	return (low + high) / 2
}
