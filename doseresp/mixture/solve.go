package mixture

import "math"

// cholesky is the factor of a positive definite matrix. Its first rows may be those
// of a diagonal part, of which nothing but the diagonal is held: the natural
// mortalities of assays, which meet in no container, come first for that.
type cholesky struct {
	rows     [][]float64
	order    int
	diagonal int // of the order
}

func newCholesky(n int) cholesky { return cholesky{rows: newDerivatives(n).observed} }

// factorise factors the rows and columns of the lower triangle of a that index
// lists; ok is false unless they are positive definite to working precision.
// ridge is added to each diagonal element, times its own size.
func (c *cholesky) factorise(a [][]float64, index []int, ridge float64) (ok bool) {
	c.order, c.diagonal = len(index), 0
	for c.diagonal < c.order && index[c.diagonal] >= atC {
		c.diagonal++
	}
	for i, gi := range index {
		row := c.rows[i]
		whole := a[gi][gi] + ridge*(math.Abs(a[gi][gi])+leastDiagonal)
		pivot := whole
		for j := range i {
			if j < c.diagonal && i < c.diagonal {
				continue
			}
			gj := index[j]
			sum := a[max(gi, gj)][min(gi, gj)]
			if j >= c.diagonal {
				for k, x := range c.rows[j][:j] {
					sum -= row[k] * x
				}
			}
			row[j] = sum / c.rows[j][j]
			pivot -= row[j] * row[j]
		}
		if !(pivot > pivotTolerance*math.Abs(whole)) || math.IsInf(pivot, 1) {
			return false
		}
		row[i] = math.Sqrt(pivot)
	}
	return true
}

const (
	pivotTolerance = 1e-13 // share of a diagonal element that must remain in its pivot
	leastDiagonal  = 1e-8  // gives a coordinate without curvature some
)

// solve overwrites x, of the order of the matrix, with the solution of matrix x = x.
func (c *cholesky) solve(x []float64) {
	for i := range x {
		if i >= c.diagonal {
			for k, l := range c.rows[i][:i] {
				x[i] -= l * x[k]
			}
		}
		x[i] /= c.rows[i][i]
	}
	for i := len(x) - 1; i >= 0; i-- {
		x[i] /= c.rows[i][i]
		if i >= c.diagonal {
			for k, l := range c.rows[i][:i] {
				x[k] -= l * x[i]
			}
		}
	}
}
