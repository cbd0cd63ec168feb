package meta_test

import (
	"math"
	"testing"

	"vialwise/doseresp/meta"
)

// near fails unless got is within an absolute tolerance of want.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > tolerance {
		t.Errorf("%s = %.8g, want %.8g within %g", what, got, want, tolerance)
	}
}

// trials are 13 trials of BCG vaccine: cases and others among the vaccinated
// and among the controls, and absolute latitude. Colditz et al. (1994), JAMA
// 271:698-702, as printed in van Houwelingen, Arends & Stijnen (2002),
// Statistics in Medicine 21:589-624, table 1; from memory.
var trials = [][5]float64{
	{4, 119, 11, 128, 44}, {6, 300, 29, 274, 55}, {3, 228, 11, 209, 42}, {62, 13536, 248, 12619, 52},
	{33, 5036, 47, 5761, 13}, {180, 1361, 372, 1079, 44}, {8, 2537, 10, 619, 19}, {505, 87886, 499, 87892, 13},
	{29, 7470, 45, 7232, 27}, {17, 1699, 65, 1600, 42}, {186, 50448, 141, 27197, 18}, {5, 2493, 3, 2338, 33},
	{27, 16886, 29, 17825, 33},
}

// riskRatios are log risk ratios, their variances and the latitudes.
func riskRatios() (y, v []float64, latitude [][]float64) {
	for _, n := range trials {
		vaccinated, controls := n[0]+n[1], n[2]+n[3]
		y = append(y, math.Log(n[0]/vaccinated)-math.Log(n[2]/controls))
		v = append(v, 1/n[0]-1/vaccinated+1/n[2]-1/controls)
		latitude = append(latitude, []float64{n[4]})
	}
	return y, v, latitude
}

// TestPublishedMean: published analyses of the log risk ratios of these trials
// print Q = 152.23 on 12 degrees of freedom, and by restricted likelihood a mean
// of -0.7145 and τ² = 0.3132 with Q-profile limits 0.1197 and 1.1115 (van
// Houwelingen et al. 2002 for the trials; figures from memory).
func TestPublishedMean(t *testing.T) {
	y, v, _ := riskRatios()
	s, err := meta.Summarise(y, v, meta.Options{Method: meta.REML})
	if err != nil {
		t.Fatal(err)
	}
	const printed = 5e-5 // four decimals
	near(t, "Q", s.Q, 152.23, 5e-3)
	near(t, "mean", s.Mean, -0.7145, printed)
	near(t, "tau2", s.Tau2, 0.3132, printed)
	near(t, "lower limit of tau2", s.Tau2Limits.Lower, 0.1197, printed)
	near(t, "upper limit of tau2", s.Tau2Limits.Upper, 1.1115, printed)
	if s.Between.DF != 12 || s.Units != 13 {
		t.Errorf("%d units, %d degrees of freedom", s.Units, s.Between.DF)
	}
	s, err = meta.Summarise(y, v, meta.Options{})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "tau2 by Paule and Mandel", s.Tau2, 0.3181, printed)
}

// TestPublishedRegression: regression of the same on latitude (Berkey et al.
// 1995, Statistics in Medicine 14:395-411, did it first, with another measure)
// has by restricted likelihood τ² = 0.0764, intercept 0.2515 and slope -0.0291
// with unmodified standard errors 0.2491 and 0.0072; figures from memory. (The
// maximum is at 0.07635, as base R confirms; the printed τ² stopped a little
// beside it.)
func TestPublishedRegression(t *testing.T) {
	y, v, latitude := riskRatios()
	r, err := meta.Regress(y, v, latitude, meta.Options{Method: meta.REML})
	if err != nil {
		t.Fatal(err)
	}
	const printed = 5e-5
	near(t, "tau2", r.Tau2, 0.0764, 2*printed)
	near(t, "intercept", r.Coefficients[0].Estimate, 0.2515, printed)
	near(t, "slope", r.Coefficients[1].Estimate, -0.0291, printed)
	plain := math.Sqrt(r.Factor)
	near(t, "error of the intercept", r.Coefficients[0].StdErr/plain, 0.2491, printed)
	near(t, "error of the slope", r.Coefficients[1].StdErr/plain, 0.0072, printed)
}
