package doseresp

import "math"

// quickLogBits is how many leading bits of the mantissa choose the centre
// about which quickLog expands.
const quickLogBits = 7

var quickLogTable = func() (t [1 << quickLogBits]struct{ centre, inverse, log float64 }) {
	for i := range t {
		centre := 1 + (float64(i)+0.5)/float64(len(t))
		t[i].centre, t[i].inverse, t[i].log = centre, 1/centre, math.Log(centre)
	}
	return t
}()

// quickLog is log x to 1e-10, for a positive normal x: the logarithm of the
// nearest of 128 centres and three terms of the series about it. It finds
// places in tables whose own steps are a third of a unit apart, and nothing
// else; a number too small to be normal counts as about e^-709.
func quickLog(x float64) float64 {
	bits := math.Float64bits(x)
	exponent := float64(int(bits>>52) - 1023)
	c := &quickLogTable[bits>>(52-quickLogBits)&(1<<quickLogBits-1)]
	mantissa := math.Float64frombits(bits&(1<<52-1) | 1023<<52)
	r := (mantissa - c.centre) * c.inverse
	return exponent*math.Ln2 + c.log + r*(1-r*(0.5-r*(1./3)))
}
