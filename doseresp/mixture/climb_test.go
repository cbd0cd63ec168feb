package mixture

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"vialwise/doseresp"
)

// randomAssay has a probit line of slope 2.5 about 10, a share q of it
// shifted, in containers of ten.
func randomAssay(random *rand.Rand, doses []float64, q, fold float64) []doseresp.Container {
	var assay []doseresp.Container
	for _, dose := range append([]float64{0}, doses...) {
		p := 0.05
		if dose > 0 {
			x := math.Log10(dose / 10)
			p += 0.95 * ((1-q)*doseresp.Probit.CDF(2.5*x) + q*doseresp.Probit.CDF(2.5*(x-math.Log10(fold))))
		}
		for range 2 {
			dead := 0
			for range 10 {
				if random.Float64() < p {
					dead++
				}
			}
			assay = append(assay, doseresp.Container{Dose: dose, Exposed: 10, Dead: dead})
		}
	}
	return assay
}

// TestSummits shows that no coordinate that may move still rises at the points
// where ascents arrived, and that none is above what a rougher search finds.
func TestSummits(t *testing.T) {
	const level, better = 1e-4, 1e-6 // of gradient over the root of its curvature; of log-likelihood
	random := rand.New(rand.NewPCG(1, 2))
	fitted := 0
	for i := range 150 {
		tau := []float64{0, 0.1, 0.3}[i%3]
		series := []float64{2, 4, 8, 16, 32, 64}
		base := [][]doseresp.Container{randomAssay(random, series, 0, 1)}
		if i%2 == 1 {
			base = append(base, randomAssay(random, series[1:5], 0, 1))
		}
		field := randomAssay(random, [][]float64{series, {85, 170}, {4, 16, 85}, {85, 40, 170}}[i%4], []float64{0, 0.1, 0.3, 1}[i/4%4], 3+20*random.Float64())
		b, err := NewBaseline(base, Options{Tau: tau})
		if err != nil {
			continue
		}
		j := b.with(field)
		if !j.maximise() {
			t.Errorf("set %d: an ascent did not arrive", i)
			continue
		}
		fitted++
		for f, top := range j.top {
			j.checkSummit(t, i, form(f), top.p, level)
			for range 40 { // a rough search about the summit
				p := append([]float64(nil), top.p...)
				for k, free := range j.free {
					if free && !math.IsInf(p[k], 1) {
						p[k] = min(max(p[k]+0.1*(random.Float64()-0.5), j.lower[k]), j.upper[k])
					}
				}
				if l := j.m.loglik(p); l > top.loglik+better {
					t.Errorf("set %d form %d: %.9g beside the summit %.9g", i, f, l, top.loglik)
				}
			}
		}
	}
	if fitted < 120 {
		t.Errorf("only %d sets", fitted)
	}
}

// TestSummitOfSurvivorsFarBeyond: a line through a susceptible baseline and a field
// with survivors at doses where next to none is expected, so that the squares of
// probabilities underflow, is the best one there is.
func TestSummitOfSurvivorsFarBeyond(t *testing.T) {
	const better = 1e-6
	random := rand.New(rand.NewPCG(3, 4))
	doses := []float64{0, .5, 1, 2, 4}
	base := [][]doseresp.Container{
		inVials(6, doses, []int{0}, []int{1}, []int{5}, []int{6}, []int{6}),
		inVials(10, doses, []int{1, 1, 0}, []int{3, 2, 5}, []int{7, 9, 9}, []int{10, 10, 10}, []int{10, 10, 10}),
	}
	field := inVials(7, []float64{0, .1, 1, 10}, []int{0, 0}, []int{1, 0}, []int{0, 0}, []int{7, 2})
	for _, link := range doseresp.Links() {
		b, err := NewBaseline(base, Options{Link: link, Tau: 0.3})
		if err != nil {
			t.Fatal(err)
		}
		j := b.with(field)
		if !j.maximise() {
			t.Fatalf("%v: an ascent did not arrive", link)
		}
		p, high := slices.Clone(j.top[none].p), j.top[none].loglik
		for range 2000 { // a walk that only climbs
			q := slices.Clone(p)
			q[atA] += 0.2 * random.NormFloat64()
			q[atB] = max(q[atB]*math.Exp(0.1*random.NormFloat64()), leastSlope)
			q[atD] += 0.05 * random.NormFloat64()
			if l := j.m.loglik(q); l > high {
				p, high = q, l
			}
		}
		if high > j.top[none].loglik+better {
			t.Errorf("%v: a walk from the summit at %g climbed to %g", link, j.top[none].loglik, high)
		}
	}
}

func (j *joint) checkSummit(t *testing.T, set int, f form, p []float64, level float64) {
	t.Helper()
	j.setForm(f, j.freeC)
	if math.IsInf(p[atS], 1) {
		j.free[atS] = false
	}
	j.m.evaluate(p, &j.d)
	j.choose(p)
	for _, at := range j.index {
		if at == atQ && j.free[atS] && p[atQ] > 0.999 || at == atS && p[atS] > 3 {
			continue // level ridges, on which the likelihood has nothing to gain
		}
		g := j.d.gradient[at] / math.Sqrt(math.Abs(j.d.observed[at][at])+1e-6)
		if math.Abs(g) > level {
			t.Errorf("set %d form %d: coordinate %d at %g still has a gradient of %g", set, f, at, p[at], g)
		}
	}
}
