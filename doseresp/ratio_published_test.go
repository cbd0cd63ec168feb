package doseresp_test

import (
	"math"
	"testing"

	"vialwise/doseresp"
)

// never is how the published ratios were computed: 1.96 and no heterogeneity.
var never = doseresp.Options{Heterogeneity: doseresp.Never, Percents: []float64{50, 90}}

// ratioOf compares two published sets.
func ratioOf(t testing.TB, population, baseline string, percent float64, o doseresp.Options) doseresp.Ratio {
	t.Helper()
	side := func(name string) doseresp.LogDose {
		var f doseresp.Fitter
		var r doseresp.Result
		if err := f.Fit(counts(t, published[name]), o, &r); err != nil || r.Status != doseresp.Converged {
			t.Fatal(err, r.Status)
		}
		return f.LogDose(&r, percent)
	}
	return doseresp.NewRatio(side(population), side(baseline), nil, doseresp.DefaultLevel)
}

// TestPublishedRatios checks lethal dose ratios of Lei & Sun (2018), BMC
// Pharmacology and Toxicology, article s40360-018-0250-1, recomputed with base
// R; limits with 1.96 and no heterogeneity. The sets without natural mortality
// were fitted by glm, whose covariance is that of expected information, the
// others by optim with the observed one.
func TestPublishedRatios(t *testing.T) {
	const tolerance, printed = 2e-5, 5e-4 // limits are printed with 3 or 4 digits
	type values struct{ ratio, lower, upper float64 }
	for _, c := range []struct {
		population, baseline string
		information          doseresp.Information
		at50, at90           values
		different            doseresp.Difference
	}{
		{"Rotenone", "Deguelin", doseresp.Expected, values{.489190, .39766, .60178}, values{.32130, .2431, .4246}, doseresp.Smaller},
		{"Fairfax", "Schaefer", doseresp.Expected, values{1.09697, .9051, 1.3295}, values{1.19617, .819, 1.747}, doseresp.NotDifferent},
		{"Fairfax", "Pixley", doseresp.Observed, values{.24998, .2020, .3094}, values{.28310, .1878, .4267}, doseresp.Smaller},
		{"BugRes", "BugLab", doseresp.Observed, values{2.02995, 1.488, 2.770}, values{7.92631, 4.131, 15.208}, doseresp.Greater},
	} {
		for i, want := range []values{c.at50, c.at90} {
			percent := []float64{50, 90}[i]
			o := never
			o.Information = c.information
			r := ratioOf(t, c.population, c.baseline, percent, o)
			what := c.population + "/" + c.baseline
			near(t, what, r.Estimate, want.ratio, tolerance)
			near(t, what+" lower", r.Delta.Lower, want.lower, printed)
			near(t, what+" upper", r.Delta.Upper, want.upper, printed)
			if r.Difference != c.different || r.DF != 0 || r.Censored != doseresp.NotCensored {
				t.Errorf("%s: %v, df %d, censored %v", what, r.Difference, r.DF, r.Censored)
			}
		}
	}
}

// TestPublishedLineTests checks likelihood-ratio X² of the same source and
// recomputation.
func TestPublishedLineTests(t *testing.T) {
	const tolerance = 1e-5
	for _, c := range []struct {
		a, b                  string
		parallelism, equality float64
	}{
		{"Rotenone", "Deguelin", 8.40863, 49.37763},
		{"Rotenone", "Mixture", 9.68411, 20.25008},
		{"Fairfax", "Schaefer", .230804, 1.36745},
	} {
		tests, err := doseresp.CompareLines([][][]doseresp.Container{
			{counts(t, published[c.a])}, {counts(t, published[c.b])},
		}, never)
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.a+" and "+c.b+" parallelism", tests.Parallelism.X2, c.parallelism, tolerance)
		near(t, c.a+" and "+c.b+" equality", tests.Equality.X2, c.equality, tolerance)
		if tests.Parallelism.DF != 1 || tests.Equality.DF != 2 {
			t.Errorf("df %d and %d, want 1 and 2", tests.Parallelism.DF, tests.Equality.DF)
		}
	}
}

// TestBudworm checks parallel logit lines of the tobacco budworm: Collett
// (1991), and Venables & Ripley, Modern Applied Statistics with S, chapter 7;
// counts from memory, values recomputed with base R glm. The line is in log2
// dose.
func TestBudworm(t *testing.T) {
	const tolerance = 2e-6
	males := counts(t, "1:20/1 2:20/4 4:20/9 8:20/13 16:20/18 32:20/20")
	females := counts(t, "1:20/0 2:20/2 4:20/6 8:20/10 16:20/12 32:20/16")
	o := never
	o.Link = doseresp.Logit
	tests, err := doseresp.CompareLines([][][]doseresp.Container{{females}, {males}}, o)
	if err != nil {
		t.Fatal(err)
	}
	p := tests.Parallel
	near(t, "deviance", p.Deviance, 6.75706, tolerance)
	if p.Pearson.DF != 9 {
		t.Errorf("df %d, want 9", p.Pearson.DF)
	}
	for k, want := range [][2]float64{{3.263587, .229754}, {2.229262, .225965}} {
		lc, se := p.LC(k, 50)
		near(t, "log2 LC50", math.Log2(lc), want[0], tolerance)
		near(t, "its standard error", se/math.Log10(2), want[1], tolerance)
	}
	near(t, "ratio of males to females", math.Log2(p.Ratios[1].Estimate), 2.229262-3.263587, tolerance)
}
