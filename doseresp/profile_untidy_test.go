package doseresp

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestProfileUntidy holds for any assay: limits in order around the estimate,
// the kind that they have, and the same again when asked again.
func TestProfileUntidy(t *testing.T) {
	r := rand.New(rand.NewPCG(20, 37))
	var f Fitter
	var result Result
	kinds := map[Status]map[LimitKind]int{}
	for trial := range 4000 {
		assay := randomAssay(r)
		if err := f.Fit(assay, profileOptions(trial), &result); err != nil {
			continue
		}
		if kinds[result.Status] == nil {
			kinds[result.Status] = map[LimitKind]int{}
		}
		for _, lc := range result.LC {
			l := f.Profile(&result, lc.Percent)
			kinds[result.Status][l.Kind]++
			checkProfile(t, &result, lc, l)
			if again := f.Profile(&result, lc.Percent); again != l {
				t.Errorf("trial %d: %v, and again %v", trial, l, again)
			}
		}
	}
	t.Log(kinds)
	for _, s := range []Status{NoSlope, NegativeSlope} {
		if n := kinds[s]; n[Bounded]+n[UnboundedAbove]+n[UnboundedBelow] > 0 {
			t.Errorf("%v has limits: %v", s, n)
		}
	}
	for _, s := range []Status{Converged, Separated} {
		if n := kinds[s]; len(n) != 4 {
			t.Errorf("%v: %v, want all four kinds", s, n)
		}
	}
}

func checkProfile(t *testing.T, r *Result, lc LC, l Limits) {
	t.Helper()
	if !(l.Lower >= 0 && l.Lower <= l.Upper) {
		t.Errorf("%v LC%g: limits %v", r.Status, lc.Percent, l)
	}
	if r.Status == Converged && !(l.Lower <= lc.Estimate && lc.Estimate <= l.Upper) {
		t.Errorf("LC%g = %g lies outside %v", lc.Percent, lc.Estimate, l)
	}
	kind := Bounded
	switch below, above := l.Lower == 0, math.IsInf(l.Upper, 1); {
	case below && above:
		kind = Unbounded
	case below:
		kind = UnboundedBelow
	case above:
		kind = UnboundedAbove
	}
	if l.Kind != kind && lc.Estimate != 0 && !math.IsInf(lc.Estimate, 1) {
		t.Errorf("LC%g: %v is called %v", lc.Percent, l, l.Kind)
	}
}

// FuzzProfile holds for any counts: no panic, no NaN, limits in order around
// the estimate.
func FuzzProfile(f *testing.F) {
	f.Add([]byte{20, 1, 0, 0, 20, 3, 20, 0, 20, 10, 22, 0, 20, 19, 24, 0}, uint8(0), uint8(50))
	f.Add([]byte{20, 0, 20, 0, 20, 0, 22, 0, 20, 20, 24, 0}, uint8(1), uint8(10))
	f.Add([]byte{5, 5, 0, 0, 5, 2, 1, 0, 5, 3, 255, 0}, uint8(17), uint8(99))
	f.Add([]byte{200, 100, 20, 7, 200, 150, 21, 7, 200, 160, 22, 7}, uint8(9), uint8(1))
	f.Fuzz(func(t *testing.T, data []byte, choice, percent uint8) {
		if len(data) > 400 || percent < 1 || percent > 99 {
			return
		}
		o := profileOptions(int(choice))
		o.Percents = []float64{float64(percent)}
		var fitter Fitter
		var r Result
		if fitter.Fit(decodeAssay(data), o, &r) == nil {
			checkProfile(t, &r, r.LC[0], fitter.Profile(&r, float64(percent)))
		}
	})
}
