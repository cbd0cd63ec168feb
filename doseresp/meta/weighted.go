package meta

import "math"

// units are the data of one model.
type units struct {
	y, v []float64
	x    [][]float64 // one row of p covariates for each unit
}

func (u *units) k() int { return len(u.y) }
func (u *units) p() int { return len(u.x[0]) }

// weighted is the least squares fit with weights 1/(v + τ²).
type weighted struct {
	tau2     float64
	beta     []float64
	cov      [][]float64 // (XᵀWX)⁻¹
	residual []float64
	q        float64 // Σ w r², the generalised Q
	logDet   float64 // log |XᵀWX|
	singular bool
}

// singularity is the share of a column that must be left when those before it
// are taken out: below, it is a combination of them as far as doubles can tell.
const singularity = 1e-10

// fit solves the weighted least squares by the modified Gram-Schmidt method on
// the columns and y together, which is as stable as orthogonal reflections
// (Björck 1967, BIT 7:1-21).
func (u *units) fit(tau2 float64) *weighted {
	p := u.p()
	f := &weighted{tau2: tau2}
	columns := u.columns(tau2)
	r := make([][]float64, p) // upper triangle, with the projections of y last
	for j, column := range columns[:p] {
		r[j] = make([]float64, p+1)
		r[j][j] = norm(column)
		if !(r[j][j] > singularity*norm(u.weightedColumn(j, tau2))) {
			f.singular = true
			return f
		}
		f.logDet += 2 * math.Log(r[j][j])
		for l := j + 1; l <= p; l++ {
			share := dot(column, columns[l]) / (r[j][j] * r[j][j])
			r[j][l] = share * r[j][j]
			for i := range column {
				columns[l][i] -= share * column[i]
			}
		}
	}
	f.residual = columns[p]
	f.q = dot(f.residual, f.residual)
	for i := range f.residual {
		f.residual[i] *= math.Sqrt(u.v[i] + tau2)
	}
	f.solve(r)
	return f
}

// columns are the weighted covariates and, last, the weighted y.
func (u *units) columns(tau2 float64) [][]float64 {
	columns := make([][]float64, u.p()+1)
	for j := range columns {
		columns[j] = u.weightedColumn(j, tau2)
	}
	return columns
}

// weightedColumn is the j-th covariate over its standard deviations; beyond
// the last covariate comes y.
func (u *units) weightedColumn(j int, tau2 float64) []float64 {
	c := make([]float64, u.k())
	for i := range c {
		c[i] = u.y[i]
		if j < u.p() {
			c[i] = u.x[i][j]
		}
		c[i] /= math.Sqrt(u.v[i] + tau2)
	}
	return c
}

// solve computes β and its covariance R⁻¹R⁻ᵀ from the triangle.
func (f *weighted) solve(r [][]float64) {
	p := len(r)
	inverse := make([][]float64, p)
	for i := p - 1; i >= 0; i-- {
		inverse[i] = make([]float64, p)
		inverse[i][i] = 1 / r[i][i]
		for j := i + 1; j < p; j++ {
			sum := 0.0
			for l := i + 1; l <= j; l++ {
				sum += r[i][l] * inverse[l][j]
			}
			inverse[i][j] = -sum / r[i][i]
		}
	}
	f.beta = make([]float64, p)
	f.cov = make([][]float64, p)
	for i := range p {
		f.cov[i] = make([]float64, p)
		for j := range p {
			f.beta[i] += inverse[i][j] * r[j][p]
			f.cov[i][j] = dot(inverse[i], inverse[j])
		}
	}
}

// slope is dQ/dτ² = -Σ w²r²; the change of β adds nothing, as Q is stationary
// in it.
func (u *units) slope(f *weighted) float64 {
	sum := 0.0
	for i, r := range f.residual {
		w := 1 / (u.v[i] + f.tau2)
		sum += w * w * r * r
	}
	return -sum
}

func dot(a, b []float64) float64 {
	sum := 0.0
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}

func norm(a []float64) float64 { return math.Sqrt(dot(a, a)) }
