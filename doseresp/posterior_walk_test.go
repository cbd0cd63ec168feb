package doseresp

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// drawnAssay is an assay of any design, line and natural mortality, with
// containers that vary by a rough normal error of the line on top of chance.
func drawnAssay(random *rand.Rand) []Container {
	doses, vials := 3+random.IntN(5), 1+random.IntN(3)
	exposed := 5 + random.IntN(30)
	slope, lc50 := 1+4*random.Float64(), math.Pow(10, 1.4*random.Float64()-0.7)
	natural, spread := max(0, .3*random.Float64()-.1), .6*random.Float64()
	var out []Container
	draw := func(dose, mortality float64) {
		k := Container{Dose: dose, Exposed: exposed}
		for range exposed {
			if random.Float64() < mortality {
				k.Dead++
			}
		}
		out = append(out, k)
	}
	for range random.IntN(4) {
		draw(0, natural)
	}
	for d := range doses {
		dose := math.Pow(2, float64(d)-float64(doses-1)/2)
		for range vials {
			eta := slope*math.Log10(dose/lc50) + spread*random.NormFloat64()
			draw(dose, natural+(1-natural)*Probit.CDF(eta))
		}
	}
	return out
}

// offFineGrid is the largest difference between the cumulative probabilities of a
// distribution of log10 LC50 and those of a fine grid, of the counts just fitted.
func offFineGrid(t *testing.T, f *Fitter, o Options, d *DoseDistribution) (most float64) {
	t.Helper()
	target, err := targetOf(&f.design, o, DefaultPriors())
	if err != nil {
		t.Fatal(err)
	}
	span := target.findRegion()
	fine := target.fill(&span, resolutions[3])
	for _, p := range []float64{.001, .025, .1, .2, .3, .4, .5, .6, .7, .8, .9, .975, .999} {
		x := fine.quantile(p, 0, 1e-5)
		most = math.Max(most, math.Abs(d.cumulative(x)-fine.cumulative(x, 0)))
	}
	return most
}

// TestWalkWhereNaturalMortalityMatters: without controls, and with low doses that
// kill many, LC50 depends on C more than anywhere. Drawn counts.
func TestWalkWhereNaturalMortalityMatters(t *testing.T) {
	const tolerance = 0.007
	for name, set := range map[string]struct {
		exposed int
		dead    [][]int // by dose, each double the one before
	}{
		"fifty in each":   {50, [][]int{{10}, {8}, {17}, {35}, {50}, {50}}},
		"twenty, in four": {20, [][]int{{10, 8, 12, 12}, {12, 15, 13, 11}, {17, 14, 17, 19}, {18, 18, 17, 18}, {18, 17, 20, 20}, {19, 20, 20, 20}}},
	} {
		var containers []Container
		for i, all := range set.dead {
			for _, dead := range all {
				containers = append(containers, Container{math.Pow(2, float64(i)-2.5), set.exposed, dead})
			}
		}
		o := Options{Link: Logit}
		var f Fitter
		var r Result
		if err := f.Fit(containers, o, &r); err != nil {
			t.Fatal(err)
		}
		d, err := f.LC50Distribution(&r, o, DefaultPriors())
		if err != nil {
			t.Fatal(err)
		}
		if off := offFineGrid(t, &f, o, d); off > tolerance {
			t.Errorf("%s: off by %.4f", name, off)
		}
	}
}

// TestWalkAgainstAFineGrid compares cumulative probabilities of LC50 with those
// of a grid that is finer than that of any posterior in use.
func TestWalkAgainstAFineGrid(t *testing.T) {
	const (
		assays  = 90
		typical = 0.002 // of the median assay
		worst   = 0.012 // the full posterior allows 0.01
	)
	random := rand.New(rand.NewPCG(21, 8))
	var errs []float64
	for i := range assays {
		containers := drawnAssay(random)
		o := Options{Link: Links()[i%3], Percents: []float64{50}}
		if i%7 == 0 {
			o.Natural.Mode = None
		}
		var f Fitter
		var r Result
		if err := f.Fit(containers, o, &r); err != nil {
			t.Fatal(err)
		}
		if r.Status != Converged || r.LC[0].Fiducial.Kind != Bounded {
			continue
		}
		d, err := f.LC50Distribution(&r, o, DefaultPriors())
		if err != nil {
			t.Fatal(err)
		}
		most := offFineGrid(t, &f, o, d)
		if most > worst {
			t.Errorf("assay %d, %v: %v off by %.4f", i, o.Link, containers, most)
		}
		errs = append(errs, most)
	}
	slices.Sort(errs)
	t.Logf("%d assays: median %.4f, worst %.4f", len(errs), errs[len(errs)/2], errs[len(errs)-1])
	if len(errs) < assays*2/3 || errs[len(errs)/2] > typical {
		t.Errorf("median of %d: %.4f", len(errs), errs[len(errs)/2])
	}
}

// TestWalkOfOtherCounts: without a finite line the distribution is that of the
// full posterior, and what NewPosterior refuses is refused.
func TestWalkOfOtherCounts(t *testing.T) {
	for name, containers := range posteriorCases {
		var f Fitter
		var r Result
		if err := f.Fit(containers, Options{}, &r); err != nil {
			t.Fatal(err)
		}
		d, err := f.LC50Distribution(&r, Options{}, DefaultPriors())
		if err != nil {
			t.Fatal(name, err)
		}
		full := posterior(t, containers, Options{}, DefaultPriors()).Distribution(50)
		for _, x := range []float64{-.5, 0, .3, .7, 1.2} {
			if math.Abs(d.cumulative(x)-full.cumulative(x)) > 0.008 {
				t.Errorf("%s: %.4f below %g, in full %.4f", name, d.cumulative(x), x, full.cumulative(x))
			}
		}
	}
	var f Fitter
	var r Result
	if err := f.Fit([]Container{{0, 10, 1}}, Options{}, &r); err != nil {
		t.Fatal(err)
	}
	if _, err := f.LC50Distribution(&r, Options{}, DefaultPriors()); !errors.Is(err, ErrNoTreated) {
		t.Errorf("no treated container: %v", err)
	}
	if _, err := f.LC50Distribution(&r, Options{}, Priors{}); !errors.Is(err, ErrOptions) {
		t.Errorf("impossible priors: %v", err)
	}
}

// TestGaussFor: n points integrate x^k e^(-5x) over [0, 1] up to k = 2n-1; the
// integrals follow from one another by parts.
func TestGaussFor(t *testing.T) {
	const n, rate, tolerance = 4, 5.0, 1e-12
	rule := gaussFor(interval{0, 1}, n, func(x float64) float64 { return -rate * x })
	want := (1 - math.Exp(-rate)) / rate
	for k := range 2 * n {
		if k > 0 {
			want = (float64(k)*want - math.Exp(-rate)) / rate
		}
		got := 0.0
		for _, p := range rule {
			if math.Abs(math.Log(p.weight)-p.logWeight) > tolerance {
				t.Errorf("weight %g with log %g", p.weight, p.logWeight)
			}
			got += p.weight * math.Exp(-rate*p.value) * math.Pow(p.value, float64(k))
		}
		if math.Abs(got-want) > 1e-9*want {
			t.Errorf("x^%d: %.12g, want %.12g", k, got, want)
		}
	}
}

// TestSplined: a normal density at steps of 0.8 standard deviations gives its own
// cumulative probabilities.
func TestSplined(t *testing.T) {
	const step, tolerance = 0.8, 1e-3
	var value []float64
	for k := -8; k <= 8; k++ {
		x := float64(k) * step
		value = append(value, math.Exp(-x*x/2))
	}
	d := newSplined(1-8*step, step, value).distribution()
	for _, x := range []float64{-2.5, -1, -.3, 0, .5, 1.1, 2} {
		if got, want := d.cumulative(1+x), Probit.CDF(x); math.Abs(got-want) > tolerance {
			t.Errorf("at %g: %.5f, want %.5f", x, got, want)
		}
	}
}

// BenchmarkLC50Distribution is one walk.
func BenchmarkLC50Distribution(b *testing.B) {
	var f Fitter
	var r Result
	if err := f.Fit(threeVials(), Options{}, &r); err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := f.LC50Distribution(&r, Options{}, DefaultPriors()); err != nil {
			b.Fatal(err)
		}
	}
}
