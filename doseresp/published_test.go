package doseresp_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"vialwise/doseresp"
)

// counts reads "dose:exposed/dead" groups.
func counts(t testing.TB, text string) []doseresp.Container {
	t.Helper()
	var out []doseresp.Container
	for _, field := range strings.Fields(text) {
		var c doseresp.Container
		if _, err := fmt.Sscanf(field, "%g:%d/%d", &c.Dose, &c.Exposed, &c.Dead); err != nil {
			t.Fatalf("%q: %v", field, err)
		}
		out = append(out, c)
	}
	return out
}

// near fails unless got is within a relative tolerance of want.
func near(t testing.TB, what string, got, want, tolerance float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > tolerance*math.Abs(want) {
		t.Errorf("%s = %.10g, want %.10g within %g", what, got, want, tolerance)
	}
}

// published is the set of counts in Lei & Sun (2018), "Comparing lethal dose
// ratios using probit regression with arbitrary slopes", BMC Pharmacology and
// Toxicology, article s40360-018-0250-1, Table 1 (rotenone, deguelin and
// mixture: Martin 1942 as given in Finney, Probit Analysis).
var published = map[string]string{
	"Rotenone": "2.6:50/6 3.8:48/16 5.1:46/24 7.7:49/42 10.2:50/44",
	"Deguelin": "5.1:49/16 10.0:48/18 20.4:48/34 30.2:49/47 40.7:50/47 50.1:48/48",
	"Mixture":  "2.5:47/7 5.1:46/22 10.0:46/27 15.1:48/38 20.4:46/43 25.1:50/48",
	"Fairfax":  "0:30/0 2:48/12 3:50/15 5:50/31 7:48/31 10:59/52",
	"Schaefer": "0:60/0 2:60/15 3:120/41 5:60/39 10:120/110 50:120/119",
	"Pixley":   "0:359/7 10:70/22 20:70/38 30:50/38 50:50/48",
	"BugRes":   "0:60/3 3:60/9 10:60/19 20:60/32 40:60/38 50:60/46",
	"BugLab":   "0:60/5 .03:30/7 .1:30/7 .3:30/6 1:30/3 3:30/3 7:30/10 10:60/32 15:30/22 20:30/30",
}

func fit(t testing.TB, text string, o doseresp.Options) *doseresp.Result {
	t.Helper()
	r, err := doseresp.Fit(counts(t, text), o)
	if err != nil {
		t.Fatal(err)
	}
	if r.Status != doseresp.Converged {
		t.Fatalf("status %v", r.Status)
	}
	return r
}

// TestPublishedLines checks line, fit and LC against values recomputed from
// the published counts with base R glm and optim.
func TestPublishedLines(t *testing.T) {
	const tolerance = 1e-5 // the values have 5 to 7 digits
	for _, c := range []struct {
		set                string
		a, b, seExp, seObs float64
		x2                 float64
		df                 int
		deviance           float64
		lc50, lc90, lc99   float64
	}{
		{"Rotenone", -2.887463, 4.213197, .48056, .47830, 1.728875, 3, 1.738969, 4.845492, 9.761430, 17.278072},
		{"Deguelin", -2.62199, 2.63289, .27909, .27946, 12.0259, 4, 13.65217, 9.90513, 30.3814, 75.7587},
		{"Mixture", -2.03618, 2.53305, .26948, .27179, 4.9949, 4, 4.99999, 6.36570, 20.4070, 52.7529},
		{"Fairfax", -1.60253, 2.59756, .35247, .35252, 3.7541, 3, 3.73968, 4.13940, 12.8915, 32.5481},
		{"Schaefer", -1.62171, 2.81184, .28121, .27347, 11.38381, 3, 5.89947, 3.77347, 10.7773, 25.3560},
	} {
		t.Run(c.set, func(t *testing.T) {
			r := fit(t, published[c.set], doseresp.Options{})
			near(t, "a", r.Intercept, c.a, tolerance)
			near(t, "b", r.Slope, c.b, tolerance)
			near(t, "SE b, observed", r.SlopeStdErr, c.seObs, 2*tolerance)
			near(t, "X2 by container", r.PearsonContainer.X2, c.x2, tolerance)
			near(t, "X2 by dose", r.PearsonDose.X2, c.x2, tolerance)
			if r.PearsonContainer.DF != c.df || r.PearsonDose.DF != c.df {
				t.Errorf("df = %d and %d, want %d", r.PearsonContainer.DF, r.PearsonDose.DF, c.df)
			}
			near(t, "deviance", r.Deviance, c.deviance, tolerance)
			near(t, "LC50", r.LC[1].Estimate, c.lc50, tolerance)
			near(t, "LC90", r.LC[2].Estimate, c.lc90, tolerance)
			near(t, "LC99", r.LC[3].Estimate, c.lc99, tolerance)
			r = fit(t, published[c.set], doseresp.Options{Information: doseresp.Expected})
			near(t, "SE b, expected", r.SlopeStdErr, c.seExp, 2*tolerance)
		})
	}
}

// limits fails unless a bounded set has these ends, to half a unit of the
// last digit that the source prints or the relative tolerance.
func limits(t testing.TB, what string, got doseresp.Limits, lower, upper, tolerance float64) {
	t.Helper()
	if got.Kind != doseresp.Bounded {
		t.Errorf("%s: kind %v, want bounded", what, got.Kind)
	}
	near(t, what+" lower", got.Lower, lower, tolerance)
	near(t, what+" upper", got.Upper, upper, tolerance)
}

// TestPublishedLimits checks Fieller limits recomputed from the published
// counts with base R; sources as for published.
func TestPublishedLimits(t *testing.T) {
	type ends struct{ lower, upper float64 }
	var none ends
	for _, c := range []struct {
		set  string
		rule doseresp.HeterogeneityRule
		lc50 ends
		lc90 ends
	}{
		{"Rotenone", doseresp.Never, ends{4.36343, 5.35423}, ends{8.405, 12.134}},
		{"Rotenone", doseresp.WhenAboveOne, ends{4.36343, 5.35423}, ends{8.405, 12.134}}, // h < 1
		{"Deguelin", doseresp.Never, ends{8.1033, 11.6872}, ends{25.02, 39.40}},
		{"Deguelin", doseresp.WhenAboveOne, ends{5.0899, 14.6258}, ends{19.950, 77.518}},
		{"Mixture", doseresp.Never, ends{5.2536, 7.4842}, ends{16.596, 27.120}},
		{"Mixture", doseresp.WhenAboveOne, ends{4.5639, 8.1867}, ends{15.015, 34.190}},
		{"Fairfax", doseresp.Never, ends{3.5112, 4.8001}, ends{10.006, 19.423}},
		{"Fairfax", doseresp.WhenAboveOne, ends{2.9259, 5.4821}, ends{8.611, 36.089}},
		{"Schaefer", doseresp.Never, ends{3.3269, 4.2448}, none},
		{"Schaefer", doseresp.WhenAboveOne, ends{2.1979, 5.7171}, ends{6.747, 50.379}},
	} {
		t.Run(c.set+" "+c.rule.String(), func(t *testing.T) {
			const tolerance = 1e-4
			r := fit(t, published[c.set], doseresp.Options{Heterogeneity: c.rule})
			limits(t, "LC50", r.LC[1].Fiducial, c.lc50.lower, c.lc50.upper, tolerance)
			if c.lc90 != none {
				// the source prints fewer digits here
				limits(t, "LC90", r.LC[2].Fiducial, c.lc90.lower, c.lc90.upper, 2*tolerance)
			}
		})
	}
	r := fit(t, published["Rotenone"], doseresp.Options{Information: doseresp.Expected})
	limits(t, "LC50, expected information", r.LC[1].Fiducial, 4.36449, 5.35439, 1e-5)
}

// TestPublishedNaturalMortality checks joint fits of line and natural
// mortality; source as for published, X2 over all groups. The lower limit
// 11.546 that the article prints for BugRes is a misprint of 15.546.
func TestPublishedNaturalMortality(t *testing.T) {
	const tolerance = 1e-3
	type estimate struct{ value, se float64 }
	type dose struct{ value, lower, upper float64 }
	for _, c := range []struct {
		set        string
		rule       doseresp.HeterogeneityRule
		a, b, c    estimate
		x2         float64
		df         int
		lc50, lc90 dose
	}{
		{"Pixley", doseresp.WhenAboveOne, estimate{-3.55599, .52925}, estimate{2.91705, .40244}, estimate{.01970, .00737},
			2.70804, 2, dose{16.55913, 8.0959, 24.6360}, dose{45.5375, 28.964, 329.88}},
		{"BugRes", doseresp.Never, estimate{-2.06385, .36734}, estimate{1.55099, .25228}, estimate{.051736, .02870},
			1.35833, 3, dose{21.41255, 15.5464, 28.3624}, dose{143.532, 88.364, 344.840}},
		{"BugLab", doseresp.WhenAboveOne, estimate{-5.58710, 1.1410}, estimate{5.46051, 1.0619}, estimate{.149578, .02484},
			11.0811, 7, dose{10.54831, 7.9120, 12.7383}, dose{18.1083, 14.508, 35.264}},
	} {
		t.Run(c.set, func(t *testing.T) {
			r := fit(t, published[c.set], doseresp.Options{Heterogeneity: c.rule})
			near(t, "a", r.Intercept, c.a.value, tolerance)
			near(t, "SE a", r.InterceptStdErr, c.a.se, tolerance)
			near(t, "b", r.Slope, c.b.value, tolerance)
			near(t, "SE b", r.SlopeStdErr, c.b.se, tolerance)
			near(t, "C", r.Natural.Estimate, c.c.value, tolerance)
			near(t, "SE C", r.Natural.StdErr, c.c.se, tolerance)
			near(t, "X2", r.PearsonDose.X2, c.x2, tolerance)
			if r.PearsonDose.DF != c.df {
				t.Errorf("df = %d, want %d", r.PearsonDose.DF, c.df)
			}
			near(t, "LC50", r.LC[1].Estimate, c.lc50.value, tolerance)
			near(t, "LC90", r.LC[2].Estimate, c.lc90.value, tolerance)
			limits(t, "LC50", r.LC[1].Fiducial, c.lc50.lower, c.lc50.upper, tolerance)
			limits(t, "LC90", r.LC[2].Fiducial, c.lc90.lower, c.lc90.upper, tolerance)
			if c.set == "Pixley" {
				near(t, "g", r.G, .4771, tolerance)
			}
		})
	}
}

// TestFixedAtRawControlRate shows why C is fitted jointly: fixed at the raw
// control rate the BugLab counts look heterogeneous and the LC50 moves.
// Source as for published.
func TestFixedAtRawControlRate(t *testing.T) {
	r := fit(t, published["BugLab"], doseresp.Options{
		Natural: doseresp.NaturalMortality{Mode: doseresp.Fixed, Value: 5. / 60},
	})
	near(t, "X2", r.PearsonDose.X2, 27.25, 1e-3)
	near(t, "LC50", r.LC[1].Estimate, 9.974, 1e-3)
}

// TestRotenoneOtherLinks: source as for published.
func TestRotenoneOtherLinks(t *testing.T) {
	r := fit(t, published["Rotenone"], doseresp.Options{Link: doseresp.Logit})
	near(t, "logit a", r.Intercept, -4.88691, 1e-5)
	near(t, "logit b", r.Slope, 7.14618, 1e-5)
	near(t, "logit LC50", r.LC[1].Estimate, 4.82892, 1e-5)
	near(t, "logit deviance", r.Deviance, 1.42406, 1e-5)
	limits(t, "logit LC50", r.LC[1].Fiducial, 4.3410, 5.3501, 1e-4)
	r = fit(t, published["Rotenone"], doseresp.Options{Link: doseresp.Cloglog})
	near(t, "cloglog LC50", r.LC[1].Estimate, 5.12542, 1e-5)
	near(t, "cloglog deviance", r.Deviance, 4.32671, 1e-5)
}

// TestBlissBeetles: Bliss (1935) beetles in carbon disulphide, counts from
// memory, values recomputed with base R. The counts want the right link, not
// a heterogeneity factor.
func TestBlissBeetles(t *testing.T) {
	logDose := []float64{1.6907, 1.7242, 1.7552, 1.7842, 1.8113, 1.8369, 1.8610, 1.8839}
	exposed := []int{59, 60, 62, 56, 63, 59, 62, 60}
	dead := []int{6, 13, 18, 28, 52, 53, 61, 60}
	var beetles []doseresp.Container
	for i, x := range logDose {
		beetles = append(beetles, doseresp.Container{Dose: math.Pow(10, x), Exposed: exposed[i], Dead: dead[i]})
	}
	for _, c := range []struct {
		link           doseresp.Link
		deviance, lc50 float64
	}{
		{doseresp.Probit, 10.11976, 59.0000},
		{doseresp.Logit, 11.23223, 59.1182},
		{doseresp.Cloglog, 3.44644, 60.0832},
	} {
		r, err := doseresp.Fit(beetles, doseresp.Options{Link: c.link})
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.link.String()+" deviance", r.Deviance, c.deviance, 1e-5)
		near(t, c.link.String()+" LC50", r.LC[1].Estimate, c.lc50, 2e-6)
	}
}
