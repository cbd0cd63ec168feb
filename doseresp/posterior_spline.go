package doseresp

import "math"

// spline is the natural cubic spline through values at equally spaced points, with
// its integral.
type spline struct {
	step       float64 // between points
	value      []float64
	second     []float64 // second derivatives
	cumulative []float64 // the integral up to each point
}

// newSpline runs a spline through values and integrates it.
func newSpline(step float64, value []float64) spline {
	n := len(value)
	s := spline{step, value, make([]float64, n), make([]float64, n)}
	splineSecond(value, step, s.second)
	for i := 1; i < n; i++ {
		s.cumulative[i] = s.cumulative[i-1] + step*(value[i-1]+value[i])/2 -
			step*step*step*(s.second[i-1]+s.second[i])/24
	}
	return s
}

// mass is the integral over all points.
func (s *spline) mass() float64 { return s.cumulative[len(s.cumulative)-1] }

func (s *spline) scale(factor float64) {
	for i := range s.value {
		s.value[i] *= factor
		s.second[i] *= factor
		s.cumulative[i] *= factor
	}
}

// at is the spline at the part u of its i-th interval.
func (s *spline) at(i int, u float64) float64 {
	v := 1 - u
	h2 := s.step * s.step / 6
	return v*s.value[i] + u*s.value[i+1] + h2*((v*v*v-v)*s.second[i]+(u*u*u-u)*s.second[i+1])
}

// integral is the integral up to the part u of the i-th interval.
func (s *spline) integral(i int, u float64) float64 {
	v := 1 - u
	h := s.step
	linear := h * (s.value[i]*(u-u*u/2) + s.value[i+1]*u*u/2)
	curved := h * h * h / 6 * (s.second[i]*(-(v*v*v*v)/4+v*v/2-0.25) + s.second[i+1]*(u*u*u*u/4-u*u/2))
	return s.cumulative[i] + (linear + curved)
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

// splined is a density at equally spaced points, with the spline through them.
type splined struct {
	low float64 // the first point
	spline
}

// newSplined runs a spline through values above 0 and makes its integral 1.
func newSplined(low, step float64, value []float64) *splined {
	s := &splined{low, newSpline(step, value)}
	total := s.mass()
	for i := range s.value {
		s.value[i] /= total
		s.second[i] /= total
		s.cumulative[i] /= total
	}
	return s
}

// distributed returns the mass below x and the density there.
func (s *splined) distributed(x float64) (below, density float64) {
	at := (x - s.low) / s.step
	switch {
	case !(at > 0):
		return 0, 0
	case at >= float64(len(s.value)-1):
		return 1, 0
	}
	i := int(at)
	u := at - float64(i)
	return s.integral(i, u), max(0, s.at(i, u))
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
	d.fill(s.distributed)
	return d
}
