package doseresp

import "math"

// logTableSize covers the counts of any real container.
const logTableSize = 1024

// logTable holds log n and log n!, which every fit needs for every count.
var logTable = func() (t [logTableSize]struct{ log, factorial float64 }) {
	for n := range t {
		t[n].log = math.Log(float64(n))
		t[n].factorial, _ = math.Lgamma(float64(n) + 1)
	}
	return t
}()

// logOf is log x.
func logOf(x float64) float64 {
	if n := int(x); float64(n) == x && uint(n) < logTableSize {
		return logTable[n].log
	}
	return math.Log(x)
}

// logFactorial is log x!, for fractional x by the gamma function.
func logFactorial(x float64) float64 {
	if n := int(x); float64(n) == x && uint(n) < logTableSize {
		return logTable[n].factorial
	}
	v, _ := math.Lgamma(x + 1)
	return v
}
