package mixture

import "math"

// cholesky overwrites the lower triangle of the rows and columns of a that
// index lists with their factor; ok is false unless they are positive
// definite to working precision. ridge is added to each diagonal element,
// times its own size.
func cholesky(a [][]float64, index []int, ridge float64, factor [][]float64) (ok bool) {
	for i, gi := range index {
		for j := 0; j <= i; j++ {
			gj := index[j]
			sum := a[max(gi, gj)][min(gi, gj)]
			if i == j {
				sum += ridge * (math.Abs(sum) + leastDiagonal)
			}
			whole := sum
			for k := range j {
				sum -= factor[i][k] * factor[j][k]
			}
			if i > j {
				factor[i][j] = sum / factor[j][j]
				continue
			}
			if !(sum > pivotTolerance*math.Abs(whole)) || math.IsInf(sum, 1) {
				return false
			}
			factor[i][i] = math.Sqrt(sum)
		}
	}
	return true
}

const (
	pivotTolerance = 1e-13 // share of a diagonal element that must remain in its pivot
	leastDiagonal  = 1e-8  // gives a coordinate without curvature some
)

// solve overwrites x, of the order of the factor, with the solution of
// factor factorᵀ x = x.
func solve(factor [][]float64, x []float64) {
	for i := range x {
		for k := range i {
			x[i] -= factor[i][k] * x[k]
		}
		x[i] /= factor[i][i]
	}
	for i := len(x) - 1; i >= 0; i-- {
		for k := i + 1; k < len(x); k++ {
			x[i] -= factor[k][i] * x[k]
		}
		x[i] /= factor[i][i]
	}
}
