package mixture

import (
	"fmt"
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
	for _, top := range [][]float64{j.top[shifted].p, j.top[none].p, j.top[plateau].p, j.start()} {
		for _, s := range []float64{0, .1, .3, .5, .8, 1.2, 1.7, 2.5, math.Inf(1)} {
			p := slices.Clone(top)
			p[atQ], p[atS] = q, j.lower[atS]+s
			j.setForm(shifted, j.freeC)
			j.free[atQ], j.free[atS] = false, !math.IsInf(s, 1)
			if l, _ := j.climb(p, summit{}); l > high {
				high = l
			}
		}
	}
	return high
}

// outermost are the ends of the set of q on a grid; ok is false where the set is
// narrower than the grid.
func (j *joint) outermost(need float64, cells int) (low, high float64, ok bool) {
	low, high = 2, -1
	for k := range cells + 1 {
		if q := float64(k) / float64(cells); j.bruteProfile(q) >= need {
			low, high = min(low, q), max(high, q)
		}
	}
	return low, high, high >= 0
}

// holdLimits compares the limits of q with the outermost q of a grid.
func holdLimits(t *testing.T, name string, r *Result, j *joint) (compared bool) {
	t.Helper()
	const cells = 50
	got := j.fraction(r)
	cut := r.quantile((1 - r.Level) / 2)
	low, high, ok := j.outermost(j.top[shifted].loglik-r.Heterogeneity.Factor()*cut*cut/2, cells)
	if !ok {
		return false
	}
	for _, end := range []struct{ found, grid float64 }{{got.Lower, low}, {got.Upper, high}} {
		if math.Abs(end.found-end.grid) > 1./cells {
			t.Errorf("%s: limit %g, on the grid %g", name, end.found, end.grid)
		}
	}
	return true
}

// TestLimitsAgainstBruteForce compares the limits with those that ascents from
// everywhere find.
func TestLimitsAgainstBruteForce(t *testing.T) {
	const sets = 60
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
		if err == nil && holdLimits(t, fmt.Sprint(i), r, j) {
			compared++
		}
	}
	if compared < sets*2/3 {
		t.Errorf("only %d sets were compared", compared)
	}
}

// inVials lists containers of n with the dead of each, dose by dose.
func inVials(n int, doses []float64, dead ...[]int) (out []doseresp.Container) {
	for i, all := range dead {
		for _, d := range all {
			out = append(out, doseresp.Container{Dose: doses[i], Exposed: n, Dead: d})
		}
	}
	return out
}

// TestLimitsOfCrossingRidges: counts, drawn at random, whose profile has a gap, or
// ridges that cross, so that a path along one of them leads astray.
func TestLimitsOfCrossingRidges(t *testing.T) {
	doses := []float64{0, .25, .5, 1, 2, 4}
	for name, set := range map[string]struct {
		o     Options
		base  [][]doseresp.Container
		field []doseresp.Container
	}{
		"a gap": {
			Options{Link: doseresp.Logit, Tau: 0.1},
			[][]doseresp.Container{
				inVials(10, doses, []int{0, 0}, []int{1, 0}, []int{2, 1}, []int{6, 5}, []int{8, 9}, []int{10, 10}),
				inVials(10, doses, []int{1, 0}, []int{1, 0, 0, 0}, []int{0, 2, 1, 0}, []int{4, 5, 8, 3}, []int{10, 9, 8, 10}, []int{10, 10, 9, 10}),
				inVials(10, doses, []int{1, 1}, []int{0, 1, 1, 1}, []int{3, 2, 1, 0}, []int{4, 4, 9, 5}, []int{9, 5, 10, 8}, []int{10, 10, 10, 9}),
				inVials(10, doses, []int{0, 1}, []int{0, 0, 0, 0}, []int{0, 2, 2, 2}, []int{7, 4, 6, 5}, []int{9, 10, 9, 10}, []int{9, 10, 10, 10}),
			},
			inVials(17, doses, nil, []int{1, 0, 0}, []int{0, 1, 0}, []int{7, 8, 6}, []int{15, 13, 15}, []int{17, 17, 17}),
		},
		"a steep end": {
			Options{},
			[][]doseresp.Container{inVials(10, doses, []int{0, 0}, []int{1, 2}, []int{3, 1}, []int{6, 6}, []int{6, 9}, []int{10, 10})},
			inVials(18, doses, []int{1}, []int{1, 0, 2}, []int{0, 2, 2}, []int{0, 1, 1}, []int{2, 1, 0}),
		},
		"crossing ridges": {
			Options{},
			[][]doseresp.Container{inVials(10, doses, []int{0, 0}, []int{0, 1, 0, 1}, []int{1, 3, 1, 2}, []int{5, 5, 5, 3}, []int{8, 8, 9, 6}, []int{9, 10, 10, 10})},
			inVials(5, doses, []int{0}, []int{0}, []int{0}, []int{2}, []int{3}, []int{1}),
		},
	} {
		b, err := NewBaseline(set.base, set.o)
		if err != nil {
			t.Fatal(err)
		}
		r, j, err := b.estimate(set.field)
		if err != nil {
			t.Fatal(err)
		}
		if !holdLimits(t, name, r, j) {
			t.Errorf("%s: no set on the grid", name)
		}
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
