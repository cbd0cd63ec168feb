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
	low           float64 // v of the first point
	spline
}

func (s *slopeSlice) theta(v float64) float64 { return s.centre + s.width*math.Sinh(v) }

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
	return max(0, s.at(i, u)) / math.Hypot(s.width, theta-s.centre)
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
	return s.integral(i, u)
}

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
