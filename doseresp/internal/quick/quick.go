// Package quick has logarithms and an exponential for sums of many, in a third to
// two thirds of the time of those of package math.
package quick

import "math"

// bits is how many leading bits choose the place about which a series expands.
const (
	bits   = 7
	places = 1 << bits
)

var (
	logs = func() (t [places]struct{ centre, inverse, log float64 }) {
		for i := range t {
			centre := 1 + (float64(i)+0.5)/places
			t[i].centre, t[i].inverse, t[i].log = centre, 1/centre, math.Log(centre)
		}
		return t
	}()
	powers = func() (t [places]float64) { // of 2
		for i := range t {
			t[i] = math.Exp2(float64(i) / places)
		}
		return t
	}()
)

// Log is log x: the logarithm of the nearest of 128 centres and the series about
// it. Its error is below 4e-16 times 1 or the size of the logarithm, whichever is
// larger: relative to a logarithm near 0 it is not accurate. What is no positive
// normal number is left to math.Log.
func Log(x float64) float64 {
	b := math.Float64bits(x)
	exponent := int(b>>52) - 1023
	if exponent <= -1023 || exponent >= 1024 { // also where the sign is set
		return math.Log(x)
	}
	c := &logs[b>>(52-bits)&(places-1)]
	mantissa := math.Float64frombits(b&(1<<52-1) | 1023<<52)
	r := (mantissa - c.centre) * c.inverse
	series := r * (1 - r*(1./2-r*(1./3-r*(1./4-r*(1./5-r*(1./6))))))
	return float64(exponent)*math.Ln2 + (c.log + series)
}

// Rough is Log to 1e-10, for finding places in a table: three terms of the series.
// A number too small to be normal counts as about e^-709.
func Rough(x float64) float64 {
	b := math.Float64bits(x)
	c := &logs[b>>(52-bits)&(places-1)]
	r := (math.Float64frombits(b&(1<<52-1)|1023<<52) - c.centre) * c.inverse
	return float64(int(b>>52)-1023)*math.Ln2 + c.log + r*(1-r*(0.5-r*(1./3)))
}

const (
	largest = 708.0 // beyond, results are no normal numbers
	// ln2High and ln2Low are log 2 in two parts, the first with zeros at its end.
	ln2High = 6.93147180369123816490e-01
	ln2Low  = 1.90821492927058770002e-10
	toWhole = 3 << 51 // added, it rounds to a whole number
)

// Exp is e^x to 5e-16 relative: a power of two, one of 128 between it and the next,
// and the series about that. Where the result is no normal number it is that of
// math.Exp.
func Exp(x float64) float64 {
	if !(x > -largest && x < largest) {
		return math.Exp(x)
	}
	whole := x*(places/math.Ln2) + toWhole
	k := int64(math.Float64bits(whole)<<12) >> 12 // its last bits
	n := whole - toWhole
	r := (x - n*(ln2High/places)) - n*(ln2Low/places)
	series := r * (1 + r*(1./2+r*(1./6+r*(1./24+r*(1./120)))))
	p := powers[k&(places-1)]
	return math.Float64frombits(math.Float64bits(p+p*series) + uint64(k>>bits)<<52)
}
