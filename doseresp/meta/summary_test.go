package meta

import (
	"errors"
	"math"
	"slices"
	"testing"
)

func summarise(t *testing.T, y, v []float64, o Options) *Summary {
	t.Helper()
	s, err := Summarise(y, v, o)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func codesOf(warnings []Warning) (codes []WarningCode) {
	for _, w := range warnings {
		if w.Message == "" || w.Cure == "" {
			panic("a warning without words")
		}
		codes = append(codes, w.Code)
	}
	return codes
}

// some are invented estimates and variances that differ by more than chance.
func some(k int) (y, v []float64) {
	for i := range k {
		y = append(y, []float64{0.10, 0.55, 0.31, -0.15, 0.80, 0.42}[i%6]+0.01*float64(i/6))
		v = append(v, []float64{0.010, 0.014, 0.008, 0.012, 0.020, 0.009}[i%6])
	}
	return y, v
}

// TestByNumberOfUnits holds which limits are given for how many units.
func TestByNumberOfUnits(t *testing.T) {
	bounded := func(i Interval) bool { return !math.IsInf(i.Lower, -1) && !math.IsInf(i.Upper, 1) }
	unbounded := func(i Interval) bool { return math.IsInf(i.Lower, -1) && math.IsInf(i.Upper, 1) }
	for _, c := range []struct {
		k                           int
		limits, carried, prediction bool
		warning                     WarningCode
	}{
		{1, true, true, false, WarnOneUnit},
		{2, false, true, false, WarnFewUnits},
		{3, false, true, true, WarnFewUnits},
		{4, true, true, true, ""},
		{9, true, true, true, ""},
	} {
		for _, method := range []Method{PauleMandel, REML} {
			y, v := some(c.k)
			s := summarise(t, y, v, Options{Method: method})
			for name, l := range map[string]struct {
				limits Interval
				want   bool
			}{"limits": {s.Limits, c.limits}, "carried": {s.Carried, c.carried}, "prediction": {s.Prediction.Interval, c.prediction}, "plug-in": {s.Prediction.PlugIn, c.prediction}} {
				if bounded(l.limits) != l.want || unbounded(l.limits) == l.want {
					t.Errorf("%d units, %v: %s %v", c.k, method, name, l.limits)
				}
			}
			codes := codesOf(s.Warnings)
			if c.warning == "" && len(codes) > 0 || c.warning != "" && !slices.Equal(codes, []WarningCode{c.warning}) {
				t.Errorf("%d units, %v: warnings %v", c.k, method, codes)
			}
		}
	}
}

// TestOneUnitIsItself: nothing is added and nothing known of others.
func TestOneUnitIsItself(t *testing.T) {
	s := summarise(t, []float64{0.3}, []float64{0.04}, Options{})
	const z, rounding = 1.959963984540054, 1e-14 // the normal quantile at 0.975
	if s.Mean != 0.3 || s.StdErr != 0.2 || !math.IsInf(s.DF, 1) || s.Factor != 1 || math.Abs(s.Limits.Upper-(0.3+z*0.2)) > rounding {
		t.Errorf("%+v", s)
	}
	if !math.IsNaN(s.Tau2) || s.Tau2Limits != (Interval{0, math.Inf(1)}) || !math.IsNaN(s.P) || !math.IsNaN(s.I2) || s.Shrunk[0] != (Shrunk{0.3, 0.2, 1}) {
		t.Errorf("%+v", s)
	}
}

// TestGiven computes by hand what a known variance between units makes of one
// unit and of two.
func TestGiven(t *testing.T) {
	const z, rounding = 1.959963984540054, 1e-14
	check := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > rounding {
			t.Errorf("%s = %v, want %v", what, got, want)
		}
	}
	o := Options{Method: Given, Tau2: 0.05}
	s := summarise(t, []float64{0.3}, []float64{0.04}, o)
	check("error of one", s.StdErr, 0.3)
	check("upper limit of one", s.Limits.Upper, 0.3+z*0.3)
	check("upper prediction from one", s.Prediction.Upper, 0.3+z*math.Sqrt(0.09+0.05))
	s = summarise(t, []float64{0.3, 0.6}, []float64{0.04, 0.01}, o)
	check("mean of two", s.Mean, (0.3/0.09+0.6/0.06)/(1/0.09+1/0.06))
	check("error of two", s.StdErr, math.Sqrt(1/(1/0.09+1/0.06)))
	check("lower limit of two", s.Limits.Lower, s.Mean-z*s.StdErr)
	check("lower prediction from two", s.Prediction.Lower, s.Mean-z*math.Sqrt(s.StdErr*s.StdErr+0.05))
	if len(s.Warnings) > 0 || s.Carried != s.Limits || s.Prediction.PlugIn != s.Prediction.Interval {
		t.Errorf("%+v", s)
	}
	far := summarise(t, []float64{0, 3}, []float64{0.01, 0.01}, o)
	if !slices.Equal(codesOf(far.Warnings), []WarningCode{WarnTau2Exceeded}) {
		t.Errorf("units far apart: warnings %v", far.Warnings)
	}
}

// TestAlike: equal estimates show no variation, and that is not the same as
// showing that there is none.
func TestAlike(t *testing.T) {
	y, v := []float64{0.2, 0.21, 0.35, 0.1, 0.18}, []float64{0.01, 0.01, 0.02, 0.01, 0.02}
	for _, method := range []Method{PauleMandel, REML} {
		s := summarise(t, y, v, Options{Method: method})
		if s.Tau2 != 0 || s.Factor != 1 || s.I2 != 0 || !(s.Tau2Limits.Upper > 0) {
			t.Errorf("%v: %+v", method, s.Between)
		}
		if !slices.Equal(codesOf(s.Warnings), []WarningCode{WarnNoneSeen}) {
			t.Errorf("%v: warnings %v", method, s.Warnings)
		}
		for _, u := range s.Shrunk {
			if u.Estimate != s.Mean || u.Weight != 0 {
				t.Errorf("%v: %+v, want the mean %g", method, u, s.Mean)
			}
		}
		if !(s.Prediction.Lower < s.Prediction.PlugIn.Lower && s.Prediction.Upper > s.Prediction.PlugIn.Upper) {
			t.Errorf("%v: the prediction %v is no wider than the one from a variance of 0, %v", method, s.Prediction.Interval, s.Prediction.PlugIn)
		}
	}
	same := summarise(t, []float64{1, 1, 1, 1}, v[:4], Options{})
	if same.Q > 1e-20 || math.Abs(same.Mean-1) > 1e-14 || same.Prediction.Upper < same.Mean || math.IsNaN(same.Prediction.Upper) || len(same.Warnings) > 0 {
		t.Errorf("%+v", same)
	}
}

// TestWithoutError: as the variances go to 0 the prediction becomes the exact
// one for a sample of a normal distribution, mean ± t(k-1) s √(1 + 1/k), and
// the mean's limits the ordinary ones.
func TestWithoutError(t *testing.T) {
	y := []float64{0.1, 0.55, 0.31, -0.15, 0.8}
	v := []float64{1e-12, 1e-12, 1e-12, 1e-12, 1e-12}
	const t4 = 2.7764451051977987 // Student's t, 0.975, 4 degrees of freedom (tables)
	mean, ss := 0.322, 0.0
	for _, x := range y {
		ss += (x - mean) * (x - mean)
	}
	sd := math.Sqrt(ss / 4)
	for _, method := range []Method{PauleMandel, REML} {
		s := summarise(t, y, v, Options{Method: method})
		for _, c := range []struct {
			what      string
			got, want float64
		}{
			{"mean", s.Mean, mean}, {"sd", s.SD(), sd},
			{"limit", s.Limits.Upper, mean + t4*sd/math.Sqrt(5)},
			{"prediction", s.Prediction.Upper, mean + t4*sd*math.Sqrt(1.2)},
			{"prediction", s.Prediction.Lower, mean - t4*sd*math.Sqrt(1.2)},
		} {
			if math.Abs(c.got-c.want) > 1e-6 {
				t.Errorf("%v: %s %.9f, want %.9f", method, c.what, c.got, c.want)
			}
		}
	}
}

// TestScaleAndOrder: units of measure and the order of units do not matter.
func TestScaleAndOrder(t *testing.T) {
	y, v := some(6)
	for _, method := range []Method{PauleMandel, REML} {
		s := summarise(t, y, v, Options{Method: method})
		a, b := slices.Clone(y), slices.Clone(v)
		slices.Reverse(a)
		slices.Reverse(b)
		for i := range a {
			a[i] = 1000*a[i] + 7
			b[i] *= 1e6
		}
		r := summarise(t, a, b, Options{Method: method})
		for _, c := range [][2]float64{
			{r.Mean, 1000*s.Mean + 7}, {r.StdErr, 1000 * s.StdErr}, {r.Tau2, 1e6 * s.Tau2}, {r.Q, s.Q},
			{r.Prediction.Lower, 1000*s.Prediction.Lower + 7}, {r.Tau2Limits.Upper, 1e6 * s.Tau2Limits.Upper},
			{r.Shrunk[0].Estimate, 1000*s.Shrunk[5].Estimate + 7},
		} {
			if math.Abs(c[0]-c[1]) > 1e-9*math.Abs(c[1]) {
				t.Errorf("%v: %v, want %v", method, c[0], c[1])
			}
		}
	}
}

func TestRefusals(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	for _, c := range []struct {
		y, v []float64
		unit int
	}{{[]float64{1, nan}, []float64{1, 1}, 1}, {[]float64{1, 1}, []float64{0, 1}, 0}, {[]float64{1, 1}, []float64{1, inf}, 1}, {[]float64{inf}, []float64{1}, 0}, {[]float64{1}, []float64{-1}, 0}} {
		var input *InputError
		if _, err := Summarise(c.y, c.v, Options{}); !errors.As(err, &input) || input.Unit != c.unit {
			t.Errorf("%v, %v: %v", c.y, c.v, err)
		}
	}
	if _, err := Summarise(nil, nil, Options{}); !errors.Is(err, ErrNoUnits) {
		t.Error(err)
	}
	y, v := some(3)
	for _, o := range []Options{{Level: 1}, {Level: -1}, {Level: nan}, {Method: Given, Tau2: -1}, {Method: Given, Tau2: nan}, {Method: 9}} {
		if _, err := Summarise(y, v, o); !errors.Is(err, ErrOptions) {
			t.Errorf("%+v: %v", o, err)
		}
	}
	for name, x := range map[string][][]float64{
		"constant": {{2}, {2}, {2}}, "not a number": {{1}, {nan}, {2}}, "too many": {{1, 1, 3}, {2, 5, 1}, {3, 0, 2}}, "twice": {{1, 2}, {2, 4}, {4, 8}},
	} {
		if _, err := Regress(y, v, x, Options{}); !errors.Is(err, ErrDesign) {
			t.Errorf("%s: %v", name, err)
		}
	}
	for name, call := range map[string]func(){
		"variances": func() { Summarise(y, v[1:], Options{}) },
		"rows":      func() { Regress(y, v, nil, Options{}) },
		"columns":   func() { Regress(y, v, [][]float64{{1}, {2}, {}}, Options{}) },
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s of unlike length did not panic", name)
				}
			}()
			call()
		}()
	}
}

func TestMethodNames(t *testing.T) {
	for _, m := range Methods() {
		if got, err := ParseMethod(m.String()); err != nil || got != m {
			t.Errorf("%v: %v, %v", m, got, err)
		}
	}
	if _, err := ParseMethod("dersimonian"); err == nil {
		t.Error("an unknown method was read")
	}
}
