package doseresp

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestBetaBinomialProfileCut: at each limit the highest likelihood from a grid
// of starts is the cut, or the profile jumps across the cut at that dose.
func TestBetaBinomialProfileCut(t *testing.T) {
	const tolerance = 1e-6
	r := rand.New(rand.NewPCG(5, 2))
	var f Fitter
	var res Result
	checked, jumps := 0, 0
	for trial := range 120 {
		assay := tidyAssay(r)
		o := Options{Link: Links()[trial%3], Natural: NaturalMortality{NaturalMode(trial / 3 % 3), .05}}
		if f.Fit(assay, o, &res) != nil || res.Status != Converged {
			continue
		}
		var room betaRoom
		m, _ := f.betaModel(&res, &room)
		s, ok := m.maximise(&f.summit, res.PearsonContainer)
		if !ok {
			continue
		}
		z := res.Link.Quantile(.9)
		if trial%2 == 0 {
			z = res.Link.Quantile(.5)
		}
		p := newBetaProfile(&m, &s, z, res.betaQuantile())
		lower, upper := p.ends()
		cut := p.top - p.t*p.t/2
		for _, end := range []float64{lower, upper} {
			if math.IsInf(end, 0) {
				continue
			}
			checked++
			switch highest := p.brute(end); {
			case atDose(&m, end):
				jumps++
			case math.Abs(highest-cut) > tolerance:
				t.Errorf("trial %d: %.9f at the limit %.9f, the cut is %.9f: %v", trial, highest, end, cut, assay)
			}
		}
	}
	if checked < 200 || jumps > checked/20 {
		t.Errorf("%d limits, %d of them at a dose", checked, jumps)
	}
}

// brute is the profile at θ from a grid of starts.
func (p *betaProfile) brute(theta float64) float64 {
	best := math.Inf(-1)
	for _, phi := range []float64{0, .05, .5, 3} {
		for _, c := range []float64{1e-3, .05, .2, .5} {
			if !p.model.freeC {
				c = p.model.fixedC
			}
			for _, b := range []float64{1e-3, .1, .5, 2, 10} {
				best = max(best, p.at(theta, betaPoint{p.z, b, c, phi}).loglik)
			}
			if !p.model.freeC {
				break
			}
		}
	}
	return best
}

func atDose(m *betaModel, u float64) bool {
	for _, g := range m.betaCounts.treated {
		if math.Abs(g.u-u) < 1e-6 {
			return true
		}
	}
	return false
}

// TestBetaBinomialProfileOpen decides the open sides from the likelihood of a
// level line: at 40 of 100 dead everywhere but one container, a dose that
// kills 90 % has no upper limit, and one that kills 10 % no lower one.
func TestBetaBinomialProfileOpen(t *testing.T) {
	assay := []Container{{1, 25, 9}, {1, 25, 10}, {2, 25, 9}, {2, 25, 11}, {4, 25, 10}, {4, 25, 11}, {8, 25, 10}, {8, 25, 12}}
	f, r, m := betaFitted(t, assay, Options{})
	s, _ := m.maximise(&f.summit, r.PearsonContainer)
	for percent, want := range map[float64]LimitKind{90: UnboundedAbove, 10: UnboundedBelow, 42: Unbounded} {
		if l := f.BetaBinomialProfile(r, percent); l.Kind != want {
			t.Errorf("LC%g: %+v, want %v", percent, l, want)
		}
		p := newBetaProfile(m, &s, r.Link.Quantile(percent/100), r.betaQuantile())
		below, above := p.open() // and not because a search has run out of doses
		if below != (want != UnboundedAbove) || above != (want != UnboundedBelow) {
			t.Errorf("LC%g: open below %v, above %v", percent, below, above)
		}
	}
}

// TestBetaBinomialProfileFar: a limit just short of infinity is found, however
// far from the doses, as the level line comes nearer to the cut.
func TestBetaBinomialProfileFar(t *testing.T) {
	assay := []Container{{1, 25, 6}, {1, 25, 7}, {2, 25, 8}, {2, 25, 9}, {4, 25, 10}, {4, 25, 11}, {8, 25, 13}, {8, 25, 14}}
	previous := 0.0
	for _, level := range []float64{.5, .9, .95, .96, .965, .98} {
		f, r, _ := betaFitted(t, assay, Options{Level: level})
		l := f.BetaBinomialProfile(r, 90)
		if !(l.Upper > previous) {
			t.Errorf("level %g: %+v after %g", level, l, previous)
		}
		previous = l.Upper
	}
	if !math.IsInf(previous, 1) {
		t.Errorf("the last limit is %g; a slope of 0 agrees with the counts at its level", previous)
	}
}

// TestBetaBinomialAllocatesNothing holds the coverage study's loop to no
// allocation.
func TestBetaBinomialAllocatesNothing(t *testing.T) {
	f, r, _ := betaFitted(t, sixDoses(), Options{})
	if n := testing.AllocsPerRun(20, func() {
		if _, ok := f.BetaBinomial(r); !ok {
			t.Fatal("no line")
		}
		f.BetaBinomialProfile(r, 50)
	}); n != 0 {
		t.Errorf("%g allocations", n)
	}
}

func BenchmarkBetaBinomial(b *testing.B) {
	f, r, _ := betaFitted(b, sixDoses(), Options{})
	b.ReportAllocs()
	for b.Loop() {
		if _, ok := f.BetaBinomial(r); !ok {
			b.Fatal("no line")
		}
	}
}

func BenchmarkBetaBinomialProfile(b *testing.B) {
	f, r, _ := betaFitted(b, sixDoses(), Options{})
	b.ReportAllocs()
	for b.Loop() {
		if l := f.BetaBinomialProfile(r, 50); l.Kind != Bounded {
			b.Fatal(l)
		}
	}
}
