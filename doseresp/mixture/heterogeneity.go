package mixture

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"vialwise/doseresp"
)

// heterogeneity is the factor h and the degrees of freedom of tests and limits:
// containers less parameters, the line, q, s and every C, also where they lie
// at a bound.
//
// h is Pearson's X²/df under the shifted form, over all containers or over the
// telling ones, whichever is larger. Containers in which less than one mite is
// expected to die, or to live, hardly ever show what they vary by, and at high
// doses there are many of them: over all containers alone the test's level at
// a correlation of 0.05 was 5.3 to 7.1 %, with the larger of the two 2.8 to
// 5.4 % (six designs, 1000 data sets each), at the price of some 5 % of power.
func (j *joint) heterogeneity() (doseresp.Heterogeneity, int) {
	p := j.top[shifted].p
	var all, telling sums
	for i, k := range j.m.containers {
		g := &j.m.groups[j.m.of[i]]
		P, Q := j.m.mortality(p, g)
		n := float64(k.Exposed)
		x2 := 0.0
		if d := float64(k.Dead)*Q - (n-float64(k.Dead))*P; d != 0 {
			x2 = d * d / (n * P * Q)
		}
		all.add(x2)
		if n*min(P, Q) >= tellingCount {
			telling.add(x2)
		}
	}
	parameters := 4
	for _, free := range j.freeC {
		if free {
			parameters++
		}
	}
	df := max(all.n-parameters, 0)
	h := doseresp.Heterogeneity{Rule: j.base.options.Heterogeneity, H: math.NaN()}
	if df == 0 {
		return h, 0
	}
	h.H = max(all.x2/float64(df), telling.factor())
	h.Applied = h.H > 1 && h.Rule != doseresp.Never
	if h.Rule == doseresp.WhenSignificant {
		h.Applied = h.Applied && distuv.ChiSquared{K: float64(df)}.Survival(all.x2) < significant
	}
	return h, df
}

// sums is Pearson's X² over n containers.
type sums struct {
	x2 float64
	n  int
}

func (s *sums) add(x2 float64) {
	s.x2 += x2
	s.n++
}

// factor is X²/df of telling containers, 0 where there are too few.
func (s *sums) factor() float64 {
	if s.n <= tellingParameters {
		return 0
	}
	return s.x2 / float64(s.n-tellingParameters)
}

// The containers that tell of variation, and the parameters that they settle:
// the line and q.
const (
	tellingCount      = 1.0 // expected dead, and alive
	tellingParameters = 3
)

// mortality is P and Q of a group at p.
func (m *model) mortality(p []float64, g *group) (P, Q float64) {
	c := p[atC+g.assay]
	if g.control {
		return c, 1 - c
	}
	s, r, q := m.at(p, g)
	x := mix(&s, &r, q)
	return c + (1-c)*x.killed, (1 - c) * x.spared
}

// significant is the level of the heterogeneity rule when-significant.
const significant = 0.15
