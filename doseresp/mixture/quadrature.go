package mixture

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/mat"
)

// node is a place and its weight.
type node struct{ x, weight float64 }

// betaNodes returns the n nodes of Gaussian quadrature for a Beta(a, b)
// density, weights adding to 1: exact for polynomials of degree 2n-1 in x.
// They are the eigenvalues of the matrix of the recurrence of the Jacobi
// polynomials (Golub & Welsch 1969, Math. Comp. 23:221-230, from memory).
func betaNodes(a, b float64, n int) []node {
	alpha, beta := b-1, a-1
	matrix := mat.NewSymDense(n, nil)
	for i := range n {
		k := float64(i)
		sum := 2*k + alpha + beta
		diagonal := (beta*beta - alpha*alpha) / (sum * (sum + 2))
		if i == 0 {
			diagonal = (beta - alpha) / (sum + 2)
		}
		matrix.SetSym(i, i, diagonal)
		if i > 0 {
			off := 4 * k * (k + alpha) * (k + beta) / (sum * sum * (sum + 1))
			if i > 1 {
				off *= (k + alpha + beta) / (sum - 1) // both 1 + α + β for k = 1
			}
			matrix.SetSym(i-1, i, math.Sqrt(off))
		}
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(matrix, true) {
		panic("mixture: no eigenvalues of a tridiagonal matrix")
	}
	var vectors mat.Dense
	eigen.VectorsTo(&vectors)
	nodes := make([]node, n)
	for i, x := range eigen.Values(nil) {
		v := vectors.At(0, i)
		nodes[i] = node{min(max((1+x)/2, 0), 1), v * v}
	}
	return nodes
}

// normalNodes returns n nodes for a normal density with mean 0.
func normalNodes(sd float64, n int) []node {
	x, w := make([]float64, n), make([]float64, n)
	quad.Hermite{}.FixedLocations(x, w, math.Inf(-1), math.Inf(1))
	nodes := make([]node, n)
	for i := range nodes {
		// the rule is for the weight e^(-x²), the normal density but for its scale
		nodes[i] = node{math.Sqrt2 * sd * x[i], w[i] / math.Sqrt(math.Pi)}
	}
	return nodes
}

// evenNodes returns n Gauss-Legendre nodes for a uniform density.
func evenNodes(low, high float64, n int) []node {
	x, w := make([]float64, n), make([]float64, n)
	quad.Legendre{}.FixedLocations(x, w, low, high)
	nodes := make([]node, n)
	for i := range nodes {
		nodes[i] = node{x[i], w[i] / (high - low)}
	}
	return nodes
}
