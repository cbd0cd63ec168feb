package mixture

import "math"

// logDelta is the log-likelihood of the baseline where the field's line lies
// at θ, the baseline's δ to its left.
func (b *Baseline) logDelta(theta, slope float64, delta deltaRule, natural [][]node, h float64) float64 {
	if delta.variance == 0 {
		return b.logBaseline(theta, slope, natural, h)
	}
	sum, top := 0.0, math.Inf(-1)
	for i := range delta.unit {
		d, weight := delta.node(i, theta, slope)
		l := b.logBaseline(theta-d, slope, natural, h) + weight
		switch {
		case l > top:
			sum, top = sum*math.Exp(top-l)+1, l
		case !math.IsInf(l, -1):
			sum += math.Exp(l - top)
		}
	}
	return top + math.Log(sum)
}

// deltaRule integrates over δ where it matters: about the product of its
// density and the baseline's likelihood in θ, both taken as normal for the
// placing of the nodes only.
type deltaRule struct {
	unit          []node  // standard normal
	variance      float64 // of δ
	theta, lambda float64 // the baseline's own line
	regression    float64 // of θ on log slope
	conditional   float64 // variance of θ at a slope
}

func (b *Baseline) newDeltaRule(h float64, n int) deltaRule {
	r := deltaRule{variance: b.spread()}
	if r.variance == 0 {
		return r
	}
	r.unit = normalNodes(1, n)
	theta, lambda, spread := b.ownLine(h, 0)
	r.theta, r.lambda = theta, lambda
	r.regression = spread[1] / spread[2]
	r.conditional = spread[0] - spread[1]*r.regression
	return r
}

// node returns a δ and the logarithm of its weight, the density of δ included.
func (r *deltaRule) node(i int, theta, slope float64) (delta, weight float64) {
	beside := theta - r.theta - r.regression*(math.Log(slope)-r.lambda)
	share := r.variance / (r.variance + r.conditional)
	sd := math.Sqrt(share * r.conditional)
	z := r.unit[i].x
	delta = share*beside + sd*z
	return delta, math.Log(r.unit[i].weight*sd) + z*z/2 - (delta*delta/r.variance+math.Log(r.variance))/2
}
