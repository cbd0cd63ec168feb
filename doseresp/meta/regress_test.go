package meta

import (
	"errors"
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

// line is an invented trend with scatter.
func line() (y, v []float64, x [][]float64) {
	for i, e := range []float64{0.1, -0.2, 0.15, 0.05, -0.1, 0.02} {
		y = append(y, 0.2+0.3*float64(i)+e)
		v = append(v, 0.005+0.002*float64(i%3))
		x = append(x, []float64{2030 + float64(i)})
	}
	return y, v, x
}

// TestAt: at the covariate of a unit it is the fitted value, and its error
// does not depend on where the covariate has its origin.
func TestAt(t *testing.T) {
	y, v, x := line()
	r, err := Regress(y, v, x, Options{})
	if err != nil {
		t.Fatal(err)
	}
	shifted := make([][]float64, len(x))
	for i := range x {
		shifted[i] = []float64{x[i][0] - 2030}
	}
	s, err := Regress(y, v, shifted, Options{})
	if err != nil {
		t.Fatal(err)
	}
	for i := range x {
		a, b := r.At(x[i]...), s.At(shifted[i]...)
		if math.Abs(a.Estimate-r.Fitted[i]) > 1e-12 || math.Abs(a.Estimate-b.Estimate) > 1e-8 || math.Abs(a.StdErr-b.StdErr) > 1e-7 || math.Abs(a.Limits.Upper-b.Limits.Upper) > 1e-6 {
			t.Errorf("at %v: %+v and %+v", x[i], a, b)
		}
	}
	if zero := s.At(0); zero != s.Coefficients[0] {
		t.Errorf("%+v at the origin, intercept %+v", zero, s.Coefficients[0])
	}
	if slope := r.Coefficients[1]; math.Abs(slope.Estimate-0.3) > 0.1 || !(slope.Limits.Lower < 0.3 && 0.3 < slope.Limits.Upper) || !(slope.P < 0.01) {
		t.Errorf("slope %+v", slope)
	}
	defer func() {
		if recover() == nil {
			t.Error("a row of another length did not panic")
		}
	}()
	r.At()
}

// TestNoDegrees: two units determine a line and leave no limits, unless the
// variance between units is known.
func TestNoDegrees(t *testing.T) {
	y, v, x := line()
	r, err := Regress(y[:2], v[:2], x[:2], Options{})
	if err != nil {
		t.Fatal(err)
	}
	c := r.Coefficients[1]
	if math.Abs(c.Estimate-(y[1]-y[0])) > 1e-9 || !math.IsNaN(c.StdErr) || c.Limits != nowhere || !math.IsNaN(c.P) || len(codesOf(r.Warnings)) != 1 || r.Warnings[0].Code != WarnNoDegrees {
		t.Errorf("%+v, %v", c, r.Warnings)
	}
	r, err = Regress(y[:2], v[:2], x[:2], Options{Method: Given, Tau2: 0.01})
	if err != nil {
		t.Fatal(err)
	}
	c = r.Coefficients[1]
	if want := math.Sqrt(v[0] + v[1] + 0.02); math.Abs(c.StdErr-want) > 1e-9 || math.Abs(c.P-2*distuv.UnitNormal.CDF(-math.Abs(c.Estimate)/want)) > 1e-9 || len(r.Warnings) > 0 {
		t.Errorf("%+v, want error %g; %v", c, want, r.Warnings)
	}
	if _, err := Regress(y[:1], v[:1], x[:1], Options{}); !errors.Is(err, ErrDesign) {
		t.Error(err)
	}
}

// TestSolveQ looks for known values of Q, in easy units and in awkward ones.
func TestSolveQ(t *testing.T) {
	y, v, x := line()
	sets := []*units{}
	for _, s := range []struct {
		y, v []float64
		x    [][]float64
	}{
		{y, v, x},
		{[]float64{0, 0.01, -0.02, 30}, []float64{1e-8, 1e-2, 1, 100}, [][]float64{{}, {}, {}, {}}},
		{[]float64{1e6, -1e6, 3}, []float64{1e-9, 1e-9, 1e9}, [][]float64{{}, {}, {}}},
	} {
		u, err := newUnits(s.y, s.v, s.x)
		if err != nil {
			t.Fatal(err)
		}
		sets = append(sets, u)
	}
	for i, u := range sets {
		for _, tau2 := range []float64{0, 1e-6, 1e-3, 0.1, 10, 1e5} {
			q := u.fit(tau2).q
			got := u.solveQ(q)
			if back := u.fit(got).q; math.Abs(back-q) > 1e-9*q {
				t.Errorf("set %d: Q %g at %g, %g at the solution %g", i, q, tau2, back, got)
			}
		}
		if got := u.solveQ(2 * u.fit(0).q); got != 0 {
			t.Errorf("set %d: %g solves a Q above that of 0", i, got)
		}
	}
}

// TestREMLIsTheHighest compares with a fine grid.
func TestREMLIsTheHighest(t *testing.T) {
	for _, s := range []struct{ y, v []float64 }{
		{[]float64{0.1, 0.55, 0.31, -0.15}, []float64{0.01, 0.014, 0.008, 0.012}},
		// Restricted likelihoods with a maximum at 0 and another, or two inside.
		{[]float64{0, 0, 0, 2}, []float64{1e-4, 1e-4, 1e-4, 1}},
		{[]float64{0, 0.02, 5, -5}, []float64{1e-6, 1e-6, 4, 4}},
		{[]float64{-0.01, 0.01, 3, -3.5, 3.2}, []float64{1e-6, 1e-6, 1, 1, 1}},
	} {
		u, err := newUnits(s.y, s.v, make([][]float64, len(s.y)))
		if err != nil {
			t.Fatal(err)
		}
		tau2 := u.reml()
		got, score := u.restricted(tau2)
		for e := -12.0; e < 3; e += 0.01 {
			if l, _ := u.restricted(math.Pow(10, e)); l > got+1e-9 {
				t.Errorf("%v: %g at %g, but %g at 1e%g", s.y, got, tau2, l, e)
				break
			}
		}
		if at0, _ := u.restricted(0); at0 > got+1e-12 {
			t.Errorf("%v: %g at %g, but %g at 0", s.y, got, tau2, at0)
		}
		if tau2 > 0 && math.Abs(score)*tau2 > 1e-6 {
			t.Errorf("%v: slope %g at %g", s.y, score, tau2)
		}
	}
}

// TestQuantile: against printed tables (Abramowitz & Stegun 1964, table 26.10,
// from memory) and at the change to the expansion.
func TestQuantile(t *testing.T) {
	for _, c := range []struct{ p, df, want, tolerance float64 }{
		{0.975, 1, 12.706204736, 1e-9}, {0.975, 2, 4.3026527297, 1e-10}, {0.95, 5, 2.0150483733, 1e-10},
		{0.995, 10, 3.1692726726, 1e-10}, {0.975, 30, 2.0422724563, 1e-10}, {0.975, math.Inf(1), 1.9599639845, 1e-10}, {0.5, 3, 0, 0},
	} {
		if got := Quantile(c.p, c.df); math.Abs(got-c.want) > c.tolerance*max(1, c.want) {
			t.Errorf("t(%g, %g) = %.12g, want %.12g", c.p, c.df, got, c.want)
		}
		if back := twoSided(c.want, c.df); math.Abs(back-2*(1-c.p)) > 1e-9 {
			t.Errorf("P(|T| > %g) = %g with %g", c.want, back, c.df)
		}
	}
	if a, b := Quantile(0.975, 1000), Quantile(0.975, 1000.001); math.Abs(a-b) > 1e-8 {
		t.Errorf("%.12g and %.12g about 1000 degrees of freedom", a, b)
	}
}
