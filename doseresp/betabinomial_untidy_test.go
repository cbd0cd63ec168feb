package doseresp

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestBetaBinomialUntidy: whatever the counts, every number is one, the
// likelihood is at least the binomial's, and limits enclose the estimate.
func TestBetaBinomialUntidy(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 3))
	var f Fitter
	var res Result
	lines, kinds := 0, map[LimitKind]int{}
	for trial := range 1200 {
		assay := untidyAssay(r)
		o := Options{Link: Links()[trial%3], Natural: NaturalMortality{NaturalMode(trial / 3 % 3), .05}}
		if f.Fit(assay, o, &res) != nil {
			continue
		}
		b, ok := f.BetaBinomial(&res)
		if !ok {
			continue
		}
		lines++
		if !(b.Slope > 0 && b.Rho >= 0 && b.Rho <= 1 && b.Natural >= 0 && b.Natural < 1) || math.IsNaN(b.Intercept) || !b.Converged {
			t.Errorf("trial %d: %+v of %v", trial, b, assay)
		}
		if !(b.LogLik >= res.LogLik-1e-9) || b.Boundary != (b.Rho == 0) {
			t.Errorf("trial %d: %+v, the binomial has %.12g", trial, b, res.LogLik)
		}
		for _, p := range []float64{50, 90} {
			l := f.BetaBinomialProfile(&res, p)
			kinds[l.Kind]++
			if lc := b.LC(p); !(l.Lower <= lc*(1+1e-9) && lc <= l.Upper*(1+1e-9)) {
				t.Errorf("trial %d: LC%g %g outside %+v", trial, p, lc, l)
			}
		}
	}
	for _, k := range []LimitKind{Bounded, UnboundedAbove, UnboundedBelow, Unbounded} {
		if kinds[k] < 20 {
			t.Errorf("only %d limits are %v", kinds[k], k)
		}
	}
	if lines < 600 {
		t.Errorf("only %d lines", lines)
	}
}

// TestBetaBinomialAnyCounts: the same for counts no laboratory has, on doses
// none mixes.
func TestBetaBinomialAnyCounts(t *testing.T) {
	r := rand.New(rand.NewPCG(81, 3))
	var f Fitter
	var res Result
	lines := 0
	for trial := range 500 {
		data := make([]byte, 4*(4+r.IntN(14)))
		for i := range data {
			data[i] = byte(r.Uint32())
			switch {
			case i%4 == 2 && r.IntN(3) > 0:
				data[i] = byte(10 + r.IntN(25)) // a laboratory's dose
			case i%4 == 3:
				data[i] &= 0x78 // no huge count, which would be slow
			}
		}
		assay := decodeAssay(data)
		o := Options{Link: Links()[trial%3], Natural: NaturalMortality{NaturalMode(trial / 3 % 3), .05}}
		if f.Fit(assay, o, &res) != nil {
			continue
		}
		b, ok := f.BetaBinomial(&res)
		if !ok {
			continue
		}
		lines++
		l, lc := f.BetaBinomialProfile(&res, 50), b.LC(50)
		if !b.Converged || math.IsNaN(b.Intercept+b.Slope) || !(b.LogLik >= res.LogLik-1e-9*math.Abs(res.LogLik)) {
			t.Errorf("trial %d: %+v, the binomial has %g: %v", trial, b, res.LogLik, assay)
		}
		if !(l.Lower <= lc*(1+1e-9) && lc <= l.Upper*(1+1e-9)) {
			t.Errorf("trial %d: LC50 %g outside %+v: %v", trial, lc, l, assay)
		}
	}
	if lines < 40 {
		t.Errorf("only %d lines", lines)
	}
}
