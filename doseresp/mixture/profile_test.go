package mixture

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"vialwise/doseresp"
)

// bruteProfile is the highest log-likelihood at q of ascents from every summit
// with shifts of all sizes.
func (j *joint) bruteProfile(q float64) float64 {
	high := math.Inf(-1)
	for _, summit := range [][]float64{j.top[shifted].p, j.top[none].p, j.top[plateau].p, j.start()} {
		for _, s := range []float64{0, .1, .3, .5, .8, 1.2, 1.7, 2.5, math.Inf(1)} {
			p := slices.Clone(summit)
			p[atQ], p[atS] = q, j.lower[atS]+s
			j.setForm(shifted, j.freeC)
			j.free[atQ], j.free[atS] = false, !math.IsInf(s, 1)
			if l, _ := j.climb(p); l > high {
				high = l
			}
		}
	}
	return high
}

// TestLimitsAgainstBruteForce compares the limits of q with the outermost q of a
// grid that belong to the set, found by ascents from everywhere. Some of the sets
// have gaps, and ridges that cross.
func TestLimitsAgainstBruteForce(t *testing.T) {
	const sets, cells = 60, 50
	random := rand.New(rand.NewPCG(5, 9))
	series := []float64{2, 4, 8, 16, 32, 64}
	compared := 0
	for i := range sets {
		o := Options{Link: doseresp.Links()[i%3], Tau: []float64{0, .15}[i%2]}
		b, err := NewBaseline([][]doseresp.Container{randomAssay(random, series, 0, 1)}, o)
		if err != nil {
			continue
		}
		field := randomAssay(random, series[random.IntN(3):], []float64{0, .1, .5, .9, 1}[i%5], 2+20*random.Float64())
		r, j, err := b.estimate(field)
		if err != nil {
			continue
		}
		got := j.fraction(r)
		cut := r.quantile((1 - r.Level) / 2)
		need := j.top[shifted].loglik - r.Heterogeneity.Factor()*cut*cut/2
		low, high := 2.0, -1.0
		for k := range cells + 1 {
			if q := float64(k) / cells; j.bruteProfile(q) >= need {
				low, high = min(low, q), max(high, q)
			}
		}
		if high < 0 { // narrower than the grid
			continue
		}
		compared++
		for _, end := range []struct{ found, grid float64 }{{got.Lower, low}, {got.Upper, high}} {
			if math.Abs(end.found-end.grid) > 1./cells {
				t.Errorf("set %d: limit %g, on the grid %g", i, end.found, end.grid)
			}
		}
	}
	if compared < sets*2/3 {
		t.Errorf("only %d sets were compared", compared)
	}
}

// TestFollowGivesWay: a limit is found on the highest ridge, and one below it is
// refused.
func TestFollowGivesWay(t *testing.T) {
	b := someBaseline(t, Options{})
	r, j, err := b.estimate(someField)
	if err != nil {
		t.Fatal(err)
	}
	top := j.top[shifted]
	p := &profiler{joint: j, need: top.loglik - 2*r.Heterogeneity.Factor(), last: slices.Clone(top.p)}
	x, found := p.follow(top.p[atQ], 1, math.NaN())
	if !found || !(x > top.p[atQ] && x < 1) {
		t.Fatalf("limit %g, %v", x, found)
	}
	if p.settled(x, j.bruteProfile(x)-0.01) {
		t.Error("a lower ridge was taken for the profile")
	}
}
