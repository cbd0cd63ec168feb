package doseresp

import "math"

// splined is a density at equally spaced points, with the natural cubic spline
// through them.
type splined struct {
	low, step  float64
	value      []float64
	second     []float64 // derivatives of the spline
	cumulative []float64
}

// newSplined runs a spline through values above 0 and makes its integral 1.
func newSplined(low, step float64, value []float64) *splined {
	n := len(value)
	s := &splined{low, step, value, make([]float64, n), make([]float64, n)}
	splineSecond(value, step, s.second)
	cumulate(value, s.second, step, s.cumulative)
	total := s.cumulative[n-1]
	for i := range n {
		s.value[i] /= total
		s.second[i] /= total
		s.cumulative[i] /= total
	}
	return s
}

// at returns the mass below x and the density there.
func (s *splined) at(x float64) (below, density float64) {
	at := (x - s.low) / s.step
	switch {
	case !(at > 0):
		return 0, 0
	case at >= float64(len(s.value)-1):
		return 1, 0
	}
	i := int(at)
	u := at - float64(i)
	density = splineAt(s.value, s.second, s.step, i, u)
	return s.cumulative[i] + splineBelow(s.value, s.second, s.step, i, u), max(0, density)
}

// distribution tabulates the density on a scale of its own.
func (s *splined) distribution() *DoseDistribution {
	var mass, mean, square float64
	for k, v := range s.value {
		x := float64(k)
		mass, mean, square = mass+v, mean+v*x, square+v*x*x
	}
	mean /= mass
	sd := math.Sqrt(square/mass - mean*mean)
	d := newDistribution(s.low+s.step*mean, s.step*sd, s.low, s.low+s.step*float64(len(s.value)-1))
	d.fill(s.at)
	return d
}
