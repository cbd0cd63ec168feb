package doseresp

import (
	"math"

	"vialwise/doseresp/internal/quick"
)

const (
	invSqrt2Pi = 0.3989422804014326779399460599343819
	sqrt2Pi    = 2.506628274631000502415765284811045
	logSqrt2Pi = 0.9189385332046727417803297364056176
)

// normalTails is the standard normal distribution beyond x >= 0.
type normalTails struct {
	tail    float64 // 1 - Φ(x)
	density float64 // φ(x)
	mills   float64 // (1 - Φ(x))/φ(x), which never underflows
}

// normalBeyond computes the tail, the density and their ratio with one
// exponential, from the rational approximations of Cody (1969), "Rational
// Chebyshev approximations for the error function", Math. Comp. 23:631-637, in
// the form for the normal distribution of Cody (1993), Algorithm 715, ACM
// Trans. Math. Softw. 19:22-32. It is accurate to 1e-15 relative in the ratio;
// tail and density inherit the rounding of x², recovered with a fused
// multiply-add, and stay within 1e-14 down to 1e-300.
func normalBeyond(x float64) normalTails {
	square := x * x
	lost := math.FMA(x, x, -square)
	density := invSqrt2Pi * quick.Exp(-0.5*square) * (1 - 0.5*lost)
	if x <= 0.67448975 {
		tail := 0.5 - x*codyCentre(square)
		return normalTails{tail, density, tail / density}
	}
	mills := codyMills(x)
	return normalTails{mills * density, density, mills}
}

// codyMills is (1 - Φ(x))/φ(x) for x > 0.67448975.
func codyMills(x float64) float64 {
	if x > 5.656854249492380195 { // √32
		return codyFar(x)
	}
	c, d := &codyC, &codyD
	num := ((((((c[8]*x+c[0])*x+c[1])*x+c[2])*x+c[3])*x+c[4])*x+c[5])*x + c[6]
	den := ((((((x+d[0])*x+d[1])*x+d[2])*x+d[3])*x+d[4])*x+d[5])*x + d[6]
	return sqrt2Pi * (num*x + c[7]) / (den*x + d[7])
}

// codyCentre is (Φ(x) - 1/2)/x for |x| <= 0.67448975, given x².
func codyCentre(square float64) float64 {
	num := square * codyA[4]
	den := square
	for i := range 3 {
		num = (num + codyA[i]) * square
		den = (den + codyB[i]) * square
	}
	return (num + codyA[3]) / (den + codyB[3])
}

// codyFar is the Mills ratio for x > √32, φ cancelled.
func codyFar(x float64) float64 {
	q := 1 / x / x
	num := q * codyP[5]
	den := q
	for i := range 4 {
		num = (num + codyP[i]) * q
		den = (den + codyQ[i]) * q
	}
	r := q * (num + codyP[4]) / (den + codyQ[4])
	return (1 - sqrt2Pi*r) / x
}

var (
	codyA = [5]float64{
		2.2352520354606839287, 161.02823106855587881, 1067.6894854603709582,
		18154.981253343561249, .065682337918207449113,
	}
	codyB = [4]float64{
		47.20258190468824187, 976.09855173777669322, 10260.932208618978205, 45507.789335026729956,
	}
	codyC = [9]float64{
		.39894151208813466764, 8.8831497943883759412, 93.506656132177855979,
		597.27027639480026226, 2494.5375852903726711, 6848.1904505362823326,
		11602.651437647350124, 9842.7148383839780218, 1.0765576773720192317e-8,
	}
	codyD = [8]float64{
		22.266688044328115691, 235.38790178262499861, 1519.377599407554805,
		6485.558298266760755, 18615.571640885098091, 34900.952721145977266,
		38912.003286093271411, 19685.429676859990727,
	}
	codyP = [6]float64{
		.21589853405795699, .1274011611602473639, .022235277870649807,
		.001421619193227893466, 2.9112874951168792e-5, .02307344176494017303,
	}
	codyQ = [5]float64{
		1.28426009614491121, .468238212480865118, .0659881378689285515,
		.00378239633202758244, 7.29751555083966205e-5,
	}
)

// logNormalTail returns log(1 - Φ(x)) for any x, with full relative accuracy
// at both ends: near 0 when x is very negative, near -x²/2 when x is large.
func logNormalTail(x float64) float64 {
	if x < 0 {
		return math.Log1p(-normalBeyond(-x).tail)
	}
	return -0.5*x*x - logSqrt2Pi + math.Log(normalBeyond(x).mills)
}
