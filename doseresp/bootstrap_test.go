package doseresp_test

import (
	"errors"
	"fmt"
	"math"
	"runtime"
	"slices"
	"strings"
	"sync/atomic"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"vialwise/doseresp"
	"vialwise/doseresp/sim"
)

func streams(seed uint64) func(int) doseresp.Sampler {
	return func(replicate int) doseresp.Sampler { return sim.NewSource(seed, uint64(replicate)) }
}

func bootstrap(t testing.TB, assay []doseresp.Container, o doseresp.Options, boot doseresp.BootstrapOptions) *doseresp.BootstrapResult {
	t.Helper()
	r, err := doseresp.Bootstrap(assay, o, boot)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// small is an assay of which many replicates have no finite line.
const small = "0:8/0 1:4/0 1:4/1 2:4/1 2:4/0 4:4/3 4:4/4 8:4/4 8:4/4"

// TestBootstrapWorkers: neither the number of workers nor the order of the
// containers changes a bit.
func TestBootstrapWorkers(t *testing.T) {
	for _, set := range []string{published["Rotenone"], published["Deguelin"], published["BugLab"], small} {
		assay := counts(t, set)
		var want string
		for _, workers := range []int{1, 2, 7} {
			r := bootstrap(t, assay, doseresp.Options{}, doseresp.BootstrapOptions{
				Replicates: 300, Workers: workers, NewSampler: streams(7),
			})
			got := fmt.Sprintf("%+v %+v", *r.Fit, struct {
				Rho                 float64
				Bracketed, Excluded int
				Limits              []doseresp.BootstrapLimits
			}{r.Rho, r.Bracketed, r.Excluded, r.Limits})
			if want == "" {
				want = got
			}
			if got != want {
				t.Errorf("%s: %d workers gave\n%s\nand 1 gave\n%s", set, workers, got, want)
			}
			slices.Reverse(assay)
		}
		other := bootstrap(t, assay, doseresp.Options{}, doseresp.BootstrapOptions{Replicates: 300, NewSampler: streams(8)})
		if strings.Contains(want, fmt.Sprintf("%+v", other.Limits)) {
			t.Errorf("%s: another seed gave the same limits", set)
		}
	}
}

// TestBootstrapRunsSideBySide: each of the first replicates gives way to others
// until as many have begun as there are workers, which fewer goroutines than
// workers never reach.
func TestBootstrapRunsSideBySide(t *testing.T) {
	const patience = 1_000_000
	for _, workers := range []int{1, 2, 7} {
		var begun, alone atomic.Int64
		bootstrap(t, counts(t, published["Rotenone"]), doseresp.Options{}, doseresp.BootstrapOptions{
			Replicates: 200, Workers: workers, NewSampler: func(i int) doseresp.Sampler {
				if i < workers {
					begun.Add(1)
					for n := 0; n < patience && begun.Load() < int64(workers); n++ {
						runtime.Gosched()
					}
					if begun.Load() < int64(workers) {
						alone.Add(1)
					}
				}
				return sim.NewSource(7, uint64(i))
			},
		})
		if n := alone.Load(); n > 0 {
			t.Errorf("%d workers: %d replicates waited in vain for the others", workers, n)
		}
	}
}

// TestBootstrapLargeSamples: with many mites the percentiles are Fieller's
// limits. The tolerance is 5 Monte Carlo standard errors of a 2.5 % quantile,
// √(.025 .975/B)/φ(1.96) = .0422 standard errors of log10 LCp for B = 4000.
func TestBootstrapLargeSamples(t *testing.T) {
	const replicates = 4000
	tolerance := 5 * math.Sqrt(.025*.975/replicates) / distuv.UnitNormal.Prob(1.96)
	var assay []doseresp.Container
	for range 40 { // many containers too: few would leave BCa an acceleration
		assay = append(assay, counts(t, published["Rotenone"])...)
	}
	r := bootstrap(t, assay, doseresp.Options{Heterogeneity: doseresp.Never},
		doseresp.BootstrapOptions{Replicates: replicates, NewSampler: streams(3)})
	if r.Rho != 0 || r.Bracketed+r.Excluded != 0 {
		t.Errorf("rho %v, %d bracketed, %d excluded", r.Rho, r.Bracketed, r.Excluded)
	}
	for i, l := range r.Limits {
		lc := r.Fit.LC[i]
		for name, got := range map[string]doseresp.Limits{"percentile": l.Percentile, "BCa": l.BCa} {
			lower := math.Log10(got.Lower/lc.Fiducial.Lower) / lc.Log10SE
			upper := math.Log10(got.Upper/lc.Fiducial.Upper) / lc.Log10SE
			// BCa adds the Monte Carlo error of z0, 1.25/√B, twice.
			allowed := tolerance
			if name == "BCa" {
				allowed += 5 * 2 * 1.25 / math.Sqrt(replicates)
			}
			if !(math.Abs(lower) < allowed && math.Abs(upper) < allowed) {
				t.Errorf("LC%v %s: %.3f and %.3f standard errors from Fieller, allowed %.3f", l.Percent, name, lower, upper, allowed)
			}
		}
	}
}

// TestBootstrapHeterogeneity: where h was applied, the replicates vary by h
// more than binomial ones: their central 95 % is 2·1.96 standard errors wide.
func TestBootstrapHeterogeneity(t *testing.T) {
	truth := sim.Truth{LC50: 2, Slope: 2.5, Rho: .2}
	design := sim.Design{Doses: sim.GeometricDoses(.5, 2, 5), Replicates: 12, Exposed: 20}
	assay := sim.Assay(truth, design, sim.NewSource(2, 5))
	r := bootstrap(t, assay, doseresp.Options{Percents: []float64{50}}, doseresp.BootstrapOptions{NewSampler: streams(4)})
	h := r.Fit.Heterogeneity.H
	if !r.Fit.Heterogeneity.Applied || h < 3 {
		t.Fatalf("h = %v: not the assay that this test wants", h)
	}
	near(t, "rho", r.Rho, (h-1)/19, 1e-12)
	width := math.Log10(r.Limits[0].Percentile.Upper/r.Limits[0].Percentile.Lower) / (2 * 1.96)
	near(t, "standard error", width, r.Fit.LC[0].Log10SE, .1)
}

// script is a Sampler that returns the same deaths to every container: all,
// none or those that are expected, rounded.
type script string

func (s script) Binomial(n int, p float64) int {
	switch s {
	case "all":
		return n
	case "none":
		return 0
	case "step": // all or none, by the half that is likelier
		return n * int(math.Round(p))
	case "falling":
		return n - int(math.Round(float64(n)*p))
	}
	return int(math.Round(float64(n) * p))
}

func (s script) BetaBinomial(n int, p, _ float64) int { return s.Binomial(n, p) }

// TestBootstrapWithoutLines scripts what the replicates look like: the first
// 20 of 400 show one pattern, 10 are needed beyond a limit, the others agree
// with the line.
func TestBootstrapWithoutLines(t *testing.T) {
	assay := counts(t, "1:20/2 2:20/7 4:20/13 8:20/18")
	expected := bootstrap(t, assay, doseresp.Options{}, doseresp.BootstrapOptions{
		Replicates: 400, NewSampler: func(int) doseresp.Sampler { return script("expected") },
	})
	plain := expected.Limits[1].Percentile
	if plain.Lower != plain.Upper || plain.Kind != doseresp.Bounded {
		t.Fatalf("identical replicates have limits %+v", plain)
	}
	for _, c := range []struct {
		pattern             script
		bracketed, excluded int
		want                doseresp.Limits
	}{
		{"all", 20, 0, doseresp.Limits{Lower: 0, Upper: plain.Upper, Kind: doseresp.UnboundedBelow}},
		{"none", 20, 0, doseresp.Limits{Lower: plain.Lower, Upper: math.Inf(1), Kind: doseresp.UnboundedAbove}},
		{"step", 20, 0, doseresp.Limits{Lower: 2, Upper: 4}}, // the bracket of the LC50, on both sides
		{"falling", 0, 20, plain},
	} {
		r := bootstrap(t, assay, doseresp.Options{}, doseresp.BootstrapOptions{
			Replicates: 400, NewSampler: func(i int) doseresp.Sampler {
				if i < 20 {
					return c.pattern
				}
				return script("expected")
			},
		})
		if r.Bracketed != c.bracketed || r.Excluded != c.excluded || r.Limits[1].Failed != 20 {
			t.Errorf("%s: %d bracketed, %d excluded, %d failed", c.pattern, r.Bracketed, r.Excluded, r.Limits[1].Failed)
		}
		got := r.Limits[1].Percentile
		same := func(a, b float64) bool { return a == b || math.Abs(a-b) <= 1e-12*b }
		if got.Kind != c.want.Kind || !same(got.Lower, c.want.Lower) || !same(got.Upper, c.want.Upper) {
			t.Errorf("%s: limits %+v, want %+v", c.pattern, got, c.want)
		}
	}
	// No Abbott's correction exists where every control died.
	r := bootstrap(t, append(assay, doseresp.Container{Exposed: 20, Dead: 2}),
		doseresp.Options{Natural: doseresp.NaturalMortality{Mode: doseresp.AbbottCorrection}},
		doseresp.BootstrapOptions{Replicates: 400, NewSampler: func(i int) doseresp.Sampler {
			if i < 20 {
				return script("all")
			}
			return script("expected")
		}})
	if r.Bracketed != 0 || r.Excluded != 20 {
		t.Errorf("no control survived: %d bracketed, %d excluded", r.Bracketed, r.Excluded)
	}
	// Too few that say anything: no limits.
	r = bootstrap(t, assay, doseresp.Options{}, doseresp.BootstrapOptions{
		Replicates: 400, NewSampler: func(i int) doseresp.Sampler {
			if i < 201 {
				return script("falling")
			}
			return script("expected")
		},
	})
	for _, l := range r.Limits {
		if l.Percentile.Kind != doseresp.Unbounded || l.BCa.Kind != doseresp.Unbounded {
			t.Errorf("199 replicates: %+v", l)
		}
	}
}

func TestBootstrapRefuses(t *testing.T) {
	good := doseresp.BootstrapOptions{NewSampler: streams(1)}
	for name, c := range map[string]struct {
		set  string
		o    doseresp.Options
		boot doseresp.BootstrapOptions
		want error
	}{
		"no sampler":      {published["Rotenone"], doseresp.Options{}, doseresp.BootstrapOptions{}, doseresp.ErrOptions},
		"few replicates":  {published["Rotenone"], doseresp.Options{}, doseresp.BootstrapOptions{Replicates: 199, NewSampler: streams(1)}, doseresp.ErrOptions},
		"few for level":   {published["Rotenone"], doseresp.Options{Level: .999}, good, doseresp.ErrOptions},
		"negative":        {published["Rotenone"], doseresp.Options{}, doseresp.BootstrapOptions{Workers: -1, NewSampler: streams(1)}, doseresp.ErrOptions},
		"options":         {published["Rotenone"], doseresp.Options{Level: 2}, good, doseresp.ErrOptions},
		"counts":          {"1:3/4", doseresp.Options{}, good, doseresp.ErrCounts},
		"no line":         {"1:5/0 2:5/0 4:5/5", doseresp.Options{}, good, doseresp.ErrNoLine},
		"falling line":    {"1:9/8 2:9/5 4:9/2", doseresp.Options{}, good, doseresp.ErrNoLine},
		"no line, 1 dose": {"1:9/8", doseresp.Options{}, good, doseresp.ErrNoLine},
	} {
		if _, err := doseresp.Bootstrap(counts(t, c.set), c.o, c.boot); !errors.Is(err, c.want) {
			t.Errorf("%s: error %v, want %v", name, err, c.want)
		}
	}
}

// BenchmarkBootstrap is the default of 2000 replicates of four LCp, six doses
// of two containers and two controls.
func BenchmarkBootstrap(b *testing.B) {
	assay := counts(b, "0:30/1 .5:15/2 .5:15/3 1:15/4 1:15/5 2:15/8 2:15/7 4:15/11 4:15/10 8:15/14 8:15/13 16:15/15 16:15/14")
	for _, workers := range []int{1, 2} {
		b.Run(fmt.Sprintf("workers=%d", workers), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				bootstrap(b, assay, doseresp.Options{}, doseresp.BootstrapOptions{Workers: workers, NewSampler: streams(1)})
			}
		})
	}
}
