package doseresp

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// The Gaussian rules of a walk. Their weights are the density of C and of ρ at one
// line, tempered so that they also serve lines at which C and ρ lie elsewhere; it
// is followed down as far as its power is to fall.
const (
	walkC, walkRho     = 4, 4    // points
	temperC, temperRho = 0.4, .6 // powers of the density
	dropC, dropRho     = 20, 12  // of the log density
)

func (t *target) gaussC(p place) []node {
	if !t.freeC {
		return []node{{t.fixedC, 1, 0}}
	}
	span := t.extentC(p, dropC)
	return t.weighC(gaussFor(span, walkC, func(c float64) float64 {
		return temperC * t.log(place{p.theta, p.lambda, c, p.rho})
	}))
}

func (t *target) gaussRho(p place) []node {
	span := t.extentRho(p, dropRho)
	return t.weighRho(gaussFor(span, walkRho, func(rho float64) float64 {
		return temperRho * t.log(place{p.theta, p.lambda, p.c, rho})
	}))
}

// fineNodes is the number of points that stand for a density while its Gaussian
// rule is made.
const fineNodes = 14

// gaussFor returns the n nodes, fewer than fineNodes, of the Gaussian rule for
// integrals over a span of a density times a smooth function, given the log of the
// density: exact where the function is a polynomial of degree 2n-1. The
// recurrence of its orthogonal polynomials is made over a fine rule (the
// discretised Stieltjes procedure: Gautschi 1982, SIAM J. Sci. Stat. Comput.
// 3:289-317, from memory), and the nodes are the eigenvalues of its matrix (Golub
// & Welsch 1969, Math. Comp. 23:221-230, from memory). The density is divided out
// of the weights, so that they are those of an integral over x.
func gaussFor(span interval, n int, log func(x float64) float64) []node {
	fine := nodes(span, fineNodes)
	top := math.Inf(-1)
	for i := range fine {
		fine[i].logWeight += log(fine[i].value)
		top = math.Max(top, fine[i].logWeight)
	}
	total := 0.0
	for i := range fine {
		fine[i].weight = math.Exp(fine[i].logWeight - top)
		total += fine[i].weight
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(recurrence(fine, total, n), true) {
		panic("doseresp: no eigenvalues of a tridiagonal matrix")
	}
	var vectors mat.Dense
	eigen.VectorsTo(&vectors)
	out := make([]node, n)
	for i, x := range eigen.Values(nil) {
		v := vectors.At(0, i)
		logWeight := math.Log(v*v*total) + top - log(x)
		out[i] = node{x, math.Exp(logWeight), logWeight}
	}
	return out
}

// recurrence is the matrix of the recurrence of the polynomials that are
// orthonormal over weighted points.
func recurrence(points []node, total float64, n int) *mat.SymDense {
	matrix := mat.NewSymDense(n, nil)
	before, now := make([]float64, len(points)), make([]float64, len(points))
	for i := range now {
		now[i] = 1 / math.Sqrt(total)
	}
	off := 0.0
	for k := range n {
		diagonal := 0.0
		for i, p := range points {
			diagonal += p.weight * p.value * now[i] * now[i]
		}
		matrix.SetSym(k, k, diagonal)
		if k == n-1 {
			break
		}
		norm := 0.0
		for i, p := range points {
			before[i] = (p.value-diagonal)*now[i] - off*before[i]
			norm += p.weight * before[i] * before[i]
		}
		off = math.Sqrt(norm)
		matrix.SetSym(k, k+1, off)
		for i := range before {
			before[i] /= off
		}
		before, now = now, before
	}
	return matrix
}
