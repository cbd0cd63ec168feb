package doseresp

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// identityTolerance is how closely twice the fall of the log-likelihood at a
// limit meets the quantile, in units of 1 + quantile.
const identityTolerance = 1e-8

// jumpStep is the distance in standard deviations of log dose from which a
// limit at a jump of ℓp is looked at: below, no slope of the dense grid tells
// its two sides apart.
const jumpStep = 1e-5

// profileOptions cycles through links, rules and treatments of C.
func profileOptions(trial int) Options {
	o := Options{Link: Links()[trial%3], Heterogeneity: HeterogeneityRule(trial / 3 % 3)}
	switch trial % 8 {
	case 1, 6:
		o.Natural = NaturalMortality{Mode: Fixed, Value: .05}
	case 2:
		o.Natural.Mode = None
	case 5:
		o.Natural.Mode = AbbottCorrection
	}
	return o
}

// hasProfile says for which statuses profile limits exist.
func hasProfile(s Status) bool {
	return s == Converged || s == Separated || s == AllDead || s == NoneDead
}

// TestProfileIdentity maximises again, by search over a dense grid of slopes,
// at every finite limit of untidy random assays: there the fall is the
// quantile, and further out no line is likely enough. Where the set ends at a
// jump, its two sides enclose the quantile.
func TestProfileIdentity(t *testing.T) {
	r := rand.New(rand.NewPCG(20, 36))
	var f Fitter
	var result Result
	trials, limits, jumps := 72, 0, 0
	if testing.Short() {
		trials = 20
	}
	for trial := range trials {
		assay := randomAssay(r)
		percent := []float64{10, 50, 90, 99}[r.IntN(4)]
		if err := f.Fit(assay, profileOptions(trial), &result); err != nil || !hasProfile(result.Status) {
			continue
		}
		n, k := checkIdentity(t, &f, &result, percent, trial%3 == 0)
		limits, jumps = limits+n, jumps+k
	}
	t.Logf("%d finite limits, %d of them at a jump", limits, jumps)
	if limits < trials {
		t.Errorf("only %d finite limits in %d trials", limits, trials)
	}
}

// checkIdentity checks the limits after a fit, with outside also that no line
// is likely enough further out, and counts the finite ones.
func checkIdentity(t *testing.T, f *Fitter, r *Result, percent float64, outside bool) (limits, jumps int) {
	t.Helper()
	l := f.Profile(r, percent)
	m := &f.model
	z := m.link.Quantile(percent / 100)
	h, q := f.profileCut(r)
	p := newProfiler(m, z, h*q)
	p.begin(r, &f.summit)
	for range 5 { // where the fit is not the highest line, the search finds it
		p.end(-1)
		p.end(1)
		p.survey()
	}
	fall := func(u float64) float64 { return 2 * (p.top - bruteRidge(m, z, u)) / h }
	for side, dose := range []float64{l.Lower, l.Upper} {
		if dose == 0 || math.IsInf(dose, 1) {
			continue
		}
		limits++
		u, out := (math.Log10(dose)-m.centre)/m.scale, float64(2*side-1)
		if slices.ContainsFunc(m.treated, func(g group) bool { return math.Abs(g.u-u) < 1e-12 }) {
			jumps++
			if before, after := fall(u-out*jumpStep), fall(u+out*jumpStep); !(before <= q && after > q) {
				t.Errorf("%v LC%g: fall %g before and %g beyond the limit %g at a dose, cut %g\n%v", r.Status, percent, before, after, dose, q, m.sorted)
			}
		} else if got := fall(u); !(math.Abs(got-q) <= identityTolerance*(1+q)) {
			t.Errorf("%v LC%g: fall %.12g at the limit %g, cut %.12g\n%v", r.Status, percent, got, dose, q, m.sorted)
		}
		for _, by := range []float64{.03, .3, 1, 3} {
			if outside && fall(u+out*by) <= q {
				t.Errorf("%v LC%g: fall %g at %g beyond the limit %g, cut %g\n%v", r.Status, percent, fall(u+out*by), by, dose, q, m.sorted)
			}
		}
	}
	return limits, jumps
}

// TestProfileRivals is TestProfileIdentity for assays, found among random
// ones, in which gentle and steep lines rival each other, and of which a
// simpler search gets a limit wrong, one of them by a factor of 80.
func TestProfileRivals(t *testing.T) {
	for _, c := range []struct {
		link    Link
		percent float64
		rule    HeterogeneityRule
		assay   []Container
	}{
		{Logit, 10, Never, []Container{{0, 10, 0}, {.57608, 10, 6}, {1.15208, 10, 5}, {2.304, 10, 4}, {4.60768, 10, 10}, {9.21473, 10, 10}, {18.4282, 10, 10}, {36.8538, 10, 10}}},
		{Probit, 50, Never, []Container{{0, 5, 0}, {1.11693, 5, 4}, {2.23371, 5, 0}, {4.46711, 5, 5}, {8.93361, 5, 5}, {17.866, 5, 5}, {35.7295, 5, 5}, {71.4541, 5, 5}}},
		{Logit, 99, WhenSignificant, []Container{{0, 3, 0}, {.25115, 3, 1}, {.50224, 3, 1}, {1.0044, 3, 1}, {2.00867, 3, 2}, {4.01705, 3, 2}, {8.03355, 3, 2}, {16.066, 3, 1}}},
		{Cloglog, 50, Never, []Container{{0, 5, 0}, {.24474, 5, 3}, {.48945, 5, 3}, {.97883, 5, 3}, {1.95752, 5, 2}, {3.91476, 5, 4}, {7.82898, 5, 5}}},
		{Logit, 50, Never, []Container{{0, 20, 0}, {.65536, 20, 9}, {1.31062, 20, 14}, {2.62106, 20, 15}, {5.24176, 20, 17}, {10.4828, 20, 15}, {20.9642, 20, 18}, {41.9254, 20, 19}}},
		{Probit, 50, Never, []Container{{0, 10, 0}, {1.28617, 10, 5}, {2.57216, 10, 9}, {5.14397, 10, 10}, {10.2872, 10, 10}, {20.5731, 10, 10}}},
	} {
		var f Fitter
		var r Result
		if err := f.Fit(c.assay, Options{Link: c.link, Heterogeneity: c.rule}, &r); err != nil {
			t.Fatal(err)
		}
		if n, _ := checkIdentity(t, &f, &r, c.percent, true); n == 0 {
			t.Errorf("no finite limit for %v", c.assay)
		}
	}
}

// TestProfileRestarts: on doses no laboratory mixes, the line that was fitted
// is not the highest, and the limits are those below the highest all the same.
func TestProfileRestarts(t *testing.T) {
	assay := []Container{{1e-107, 8, 2}, {10.6, 6, 4}, {13.79, 515, 309}, {39.4, 7, 7}}
	var f Fitter
	var r Result
	o := Options{Link: Cloglog, Heterogeneity: Never, Natural: NaturalMortality{Mode: Fixed, Value: .05}}
	if err := f.Fit(assay, o, &r); err != nil {
		t.Fatal(err)
	}
	p := newProfiler(&f.model, f.model.link.Quantile(.9), 3.84)
	p.begin(&r, &f.summit)
	if top := p.top; p.end(-1) > p.end(1) || !(p.top > top+.1) {
		t.Errorf("no higher maximum was found than %g", top)
	}
	checkIdentity(t, &f, &r, 90, true)
}

// TestRidgeClimb: from any start the ascent at fixed θ reaches the highest
// line where C has no rivals to offer.
func TestRidgeClimb(t *testing.T) {
	var f Fitter
	var r Result
	assay := []Container{{0, 5, 0}, {1.309, 5, 3}, {2.618, 5, 4}, {5.236, 5, 5}, {10.47, 5, 5}, {20.94, 5, 5}}
	if err := f.Fit(assay, Options{}, &r); err != nil {
		t.Fatal(err)
	}
	z := f.model.link.Quantile(.1)
	p := newProfiler(&f.model, z, 10)
	for _, theta := range []float64{-2, -3, -4, -5, -6} {
		want := bruteRidge(&f.model, z, theta)
		for _, b := range []float64{.01, .1, 1, 3, 30} {
			if g := p.climb(ridge{theta: theta, b: b}); math.Abs(g.loglik-want) > 1e-9 {
				t.Errorf("θ %g from slope %g: %.9f, the dense grid finds %.9f", theta, b, g.loglik, want)
			}
		}
	}
}

// TestProfileLevel compares the limit of ℓp for θ without bound with the
// dense search far off.
func TestProfileLevel(t *testing.T) {
	r := rand.New(rand.NewPCG(20, 39))
	var f Fitter
	var result Result
	for trial := range 12 {
		if f.Fit(randomAssay(r), profileOptions(trial), &result) != nil || !hasProfile(result.Status) {
			continue
		}
		z := f.model.link.Quantile([]float64{.1, .5, .9}[r.IntN(3)])
		p := newProfiler(&f.model, z, 1)
		for _, side := range []float64{-1, 1} {
			if got, want := p.level(side), bruteRidge(&f.model, z, side*1e10); math.Abs(got-want) > 1e-6 {
				t.Errorf("trial %d side %g: %.8f, far off %.8f", trial, side, got, want)
			}
		}
	}
}

// TestProfileInvariance changes the unit of dose and the order of the rows.
func TestProfileInvariance(t *testing.T) {
	const tolerance = 1e-9 // relative, of a limit
	r := rand.New(rand.NewPCG(20, 38))
	var f Fitter
	var result Result
	for trial := range 600 {
		assay := randomAssay(r)
		o := profileOptions(trial)
		percent := []float64{10, 50, 90}[trial%3]
		if f.Fit(assay, o, &result) != nil || !hasProfile(result.Status) {
			continue
		}
		want := f.Profile(&result, percent)
		for _, factor := range []float64{1, 0x1p-10, 1000} {
			other := slices.Clone(assay)
			r.Shuffle(len(other), func(i, j int) { other[i], other[j] = other[j], other[i] })
			for i := range other {
				other[i].Dose *= factor
			}
			if err := f.Fit(other, o, &result); err != nil {
				t.Fatal(err)
			}
			got := f.Profile(&result, percent)
			if factor == 1 && got != want {
				t.Errorf("trial %d: %v in order, %v shuffled", trial, want, got)
			}
			// Limits that lie very far off magnify the rounding of the doses.
			far := max(1, math.Abs(math.Log10(want.Lower)), math.Abs(math.Log10(want.Upper)))
			if math.IsInf(far, 1) {
				far = 10
			}
			for _, pair := range [][2]float64{{got.Lower, want.Lower * factor}, {got.Upper, want.Upper * factor}} {
				if pair[0] != pair[1] && !(math.Abs(pair[0]/pair[1]-1) <= tolerance*far*far) {
					t.Errorf("trial %d LC%g, doses times %g: limit %g, want %g", trial, percent, factor, pair[0], pair[1])
				}
			}
		}
	}
}
