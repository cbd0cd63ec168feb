package doseresp

import "math"

// factor is the Cholesky factor of a symmetric matrix, of order 3 or, with
// the last row left out, 2.
type factor struct {
	aa, ab, bb, ac, bc, cc float64
	three                  bool
}

// cholesky factors m; ok is false unless m is positive definite to working
// precision.
func cholesky(m *symmetric, three bool) (f factor, ok bool) {
	f.three = three
	if !(m.aa > 0) || math.IsInf(m.aa, 1) {
		return f, false
	}
	f.aa = math.Sqrt(m.aa)
	f.ab = m.ab / f.aa
	bb := m.bb - f.ab*f.ab
	if !(bb > pivotTolerance*m.bb) {
		return f, false
	}
	f.bb = math.Sqrt(bb)
	if !three {
		return f, true
	}
	f.ac = m.ac / f.aa
	f.bc = (m.bc - f.ab*f.ac) / f.bb
	cc := m.cc - f.ac*f.ac - f.bc*f.bc
	if !(cc > pivotTolerance*m.cc) {
		return f, false
	}
	f.cc = math.Sqrt(cc)
	return f, true
}

// pivotTolerance is the smallest share of a diagonal element that may remain
// in its pivot: below, the matrix is singular as far as doubles can tell.
const pivotTolerance = 1e-15

// solve returns the x with f fᵀ x = (a, b, c), and xᵀ(a, b, c).
func (f *factor) solve(a, b, c float64) (x params, quadratic float64) {
	y1 := a / f.aa
	y2 := (b - f.ab*y1) / f.bb
	y3 := 0.0
	if f.three {
		y3 = (c - f.ac*y1 - f.bc*y2) / f.cc
		x.c = y3 / f.cc
	}
	x.b = (y2 - f.bc*x.c) / f.bb
	x.a = (y1 - f.ab*x.b - f.ac*x.c) / f.aa
	return x, y1*y1 + y2*y2 + y3*y3
}

// inverse returns the inverse of the factored matrix.
func (f *factor) inverse() symmetric {
	first, _ := f.solve(1, 0, 0)
	second, _ := f.solve(0, 1, 0)
	third, _ := f.solve(0, 0, 1)
	return symmetric{aa: first.a, ab: first.b, bb: second.b, ac: first.c, bc: second.c, cc: third.c}
}
