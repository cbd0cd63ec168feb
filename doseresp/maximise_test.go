package doseresp

import (
	"math"
	"math/rand/v2"
	"testing"
)

// randomAssay draws an untidy assay: any slope, any natural mortality, doses
// that may miss the LC50, few or many individuals.
func randomAssay(r *rand.Rand) []Container {
	doses := 3 + r.IntN(6)
	n := []int{3, 5, 10, 20, 60}[r.IntN(5)]
	c := []float64{0, .02, .1, .3}[r.IntN(4)]
	slope := .5 + 6*r.Float64()
	middle := (r.Float64() - .3) * float64(doses) / 2
	out := []Container{}
	for i := range doses + 1 {
		p := c
		dose := 0.0
		if i > 0 {
			x := float64(i-1)*.301 - middle*.301
			dose = math.Pow(10, x)
			p = c + (1-c)*Probit.CDF(slope*x)
		}
		dead := 0
		for range n {
			if r.Float64() < p {
				dead++
			}
		}
		out = append(out, Container{Dose: dose, Exposed: n, Dead: dead})
	}
	return out
}

// TestMaximiseFindsHighestSummit compares the chosen starts with an
// exhaustive grid of 315 starts on random untidy assays.
func TestMaximiseFindsHighestSummit(t *testing.T) {
	r := rand.New(rand.NewPCG(20, 26))
	checked := 0
	for trial := range 1500 {
		assay := randomAssay(r)
		link := Links()[trial%3]
		var d design
		d.summarise(assay)
		_, dead := d.totals()
		if status, _ := d.triage(int(dead)); status != Converged {
			continue
		}
		m := model{design: &d, link: link, freeC: trial%5 != 0, fixedC: .05}
		if m.freeC {
			m.fixedC = 0
		}
		limit := m.stepLimit()
		if limit.saturated() || m.fallingStepLimit().saturated() {
			continue
		}
		checked++
		got := m.maximise(limit)
		best := math.Max(got.loglik, limit.loglik)
		for _, c := range []float64{1e-3, .03, .08, .15, .25, .4, .6} {
			for _, b := range []float64{-1, .3, 1, 3, 10} {
				for _, a := range []float64{-3, -1.5, -.7, 0, .7, 1.5, 3, 5, -6} {
					s := m.climb(params{a, b, c})
					if s.loglik > best+1e-6 {
						t.Errorf("trial %d %v: summit %.9f (a %.4f b %.4f c %.4f, step %.6f), but %.9f (a %.4f b %.4f c %.4f) from start a %g b %g c %g\n%v",
							trial, link, got.loglik, got.a, got.b, got.c, limit.loglik, s.loglik, s.a, s.b, s.c, a, b, c, assay)
						best = s.loglik
					}
				}
			}
		}
	}
	if checked < 800 {
		t.Errorf("only %d assays were comparable", checked)
	}
}
