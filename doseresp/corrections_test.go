package doseresp_test

import (
	"errors"
	"math"
	"testing"

	"vialwise/doseresp"
)

// TestAbbott: 50 % with 10 % in the control gives 44.44 % (MR4, Methods in
// Anopheles Research, chapter 5).
func TestAbbott(t *testing.T) {
	near(t, "corrected", doseresp.Abbott(.5, .1), .4444, 2e-4)
	if got := doseresp.Abbott(.05, .1); got >= 0 {
		t.Errorf("fewer dead than in the control gives %g, want below 0", got)
	}
	if got := doseresp.Abbott(.5, 1); !math.IsNaN(got) {
		t.Errorf("all controls dead gives %g, want NaN", got)
	}
}

// TestHendersonTilton: counts summed from the open data of Aurell et al. 2025,
// J. Econ. Entomol., 10.1093/jee/toaf126 (CC BY), complete cases, mites per bee
// washed; and a value worked by hand.
func TestHendersonTilton(t *testing.T) {
	near(t, "washes", doseresp.HendersonTilton(73./4419, 26./5128, 65./4858, 247./5827), .903121, 1e-6)
	near(t, "by hand", doseresp.HendersonTilton(6, 2, 5, 8), .7917, 1e-4)
	if got := doseresp.HendersonTilton(0, 2, 5, 8); !math.IsNaN(got) {
		t.Errorf("nothing before gives %g, want NaN", got)
	}
}

// TestSunShepard: source from memory (Sun & Shepard 1947).
func TestSunShepard(t *testing.T) {
	near(t, "growing control", doseresp.SunShepard(.8, .25), .84, 1e-12)
	near(t, "shrinking control", doseresp.SunShepard(.8, -.25), .7333, 1e-4)
}

// TestSpearmanKarber: example worked by hand.
func TestSpearmanKarber(t *testing.T) {
	x, se, err := doseresp.SpearmanKarber(counts(t, "1:10/0 2:10/3 4:10/5 8:10/8 16:10/10"))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "LC50", math.Pow(10, x), 3.732132, 1e-6)
	near(t, "SE", se, .0790104, 1e-6)
	for _, bad := range []string{"1:10/1 2:10/10", "1:10/0 2:10/5", "1:10/0 2:10/6 4:10/4 8:10/10", "1:10/0", "1:10/0 2:1/1 4:3/3"} {
		if _, _, err := doseresp.SpearmanKarber(counts(t, bad)); !errors.Is(err, doseresp.ErrSpearmanKarber) {
			t.Errorf("%s: error %v", bad, err)
		}
	}
}

// TestClopperPearson: exact binomial limits, recomputed with base R binom.test.
func TestClopperPearson(t *testing.T) {
	for _, c := range []struct {
		r, n         int
		lower, upper float64
	}{
		{0, 30, 0, .1157}, {0, 60, 0, .0596}, {28, 30, .7793, .9918}, {98, 100, .9296, .9976},
	} {
		lower, upper := doseresp.ClopperPearson(c.r, c.n, .95)
		if math.Abs(lower-c.lower) > 5e-5 || math.Abs(upper-c.upper) > 5e-5 {
			t.Errorf("%d/%d: %.4f-%.4f, want %.4f-%.4f", c.r, c.n, lower, upper, c.lower, c.upper)
		}
	}
	if got := doseresp.ClopperPearsonUpper(0, 30, .95); math.Abs(got-.0950) > 5e-5 {
		t.Errorf("one-sided 0/30: %.4f, want .0950", got)
	}
	if got := doseresp.ClopperPearsonUpper(0, 100, .95); math.Abs(got-.0295) > 5e-5 {
		t.Errorf("one-sided 0/100: %.4f, want .0295", got)
	}
}
