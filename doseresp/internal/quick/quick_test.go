package quick_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"vialwise/doseresp/internal/quick"
)

const (
	draws  = 300_000
	offLog = 4e-16
	offExp = 5e-16
)

// TestLog compares with math.Log over the whole range, near 1 and at the ends.
func TestLog(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 1))
	worst := 0.0
	compare := func(x float64) {
		want := math.Log(x)
		if off := math.Abs(quick.Log(x)-want) / max(1, math.Abs(want)); off > worst {
			worst = off
			if off > offLog {
				t.Errorf("log %g is off by %g", x, off)
			}
		}
	}
	for range draws {
		compare(math.Exp(1400*random.Float64() - 700))
		compare(0.5 + random.Float64())
		compare(1 - math.Exp(-40*random.Float64()))
	}
	for _, x := range []float64{1, 0.5, 2, math.Nextafter(1, 0), math.Nextafter(1, 2), math.Nextafter(2, 0), 0x1p-1022, math.MaxFloat64, 0x1p-1060} {
		compare(x)
	}
	for _, x := range []float64{0, math.Copysign(0, -1), -1, math.Inf(1), math.Inf(-1), math.NaN()} {
		if got, want := quick.Log(x), math.Log(x); got != want && !(math.IsNaN(got) && math.IsNaN(want)) {
			t.Errorf("log %g is %g, want %g", x, got, want)
		}
	}
	t.Logf("worst error %.1e", worst)
}

// TestRough holds the rough one to 1e-10 of Log over all normal numbers.
func TestRough(t *testing.T) {
	const tolerance = 1e-10
	random := rand.New(rand.NewPCG(3, 3))
	for range draws {
		x := math.Exp(1400*random.Float64() - 700)
		if off := math.Abs(quick.Rough(x) - math.Log(x)); off > tolerance {
			t.Fatalf("rough log %g is off by %g", x, off)
		}
	}
	if l := quick.Rough(0); l > -700 || math.IsNaN(l) || math.IsInf(l, 0) {
		t.Errorf("rough log 0 counts as %g", l)
	}
}

// TestExp compares with math.Exp over the whole range and at the ends.
func TestExp(t *testing.T) {
	random := rand.New(rand.NewPCG(2, 2))
	worst := 0.0
	compare := func(x float64) {
		want := math.Exp(x)
		if off := math.Abs(quick.Exp(x)/want - 1); off > worst {
			worst = off
			if off > offExp {
				t.Errorf("exp %g is off by %g", x, off)
			}
		}
	}
	for range draws {
		compare(1416*random.Float64() - 708)
		compare(random.NormFloat64())
		compare(1e-9 * random.NormFloat64())
	}
	for _, x := range []float64{0, 1, -1, math.Ln2, math.Ln2 / 256, 707.999, -707.999, 709, -709} {
		compare(x)
	}
	for _, x := range []float64{-745, -750, 710, math.Inf(1), math.Inf(-1), math.NaN()} {
		if got, want := quick.Exp(x), math.Exp(x); got != want && !(math.IsNaN(got) && math.IsNaN(want)) {
			t.Errorf("exp %g is %g, want %g", x, got, want)
		}
	}
	t.Logf("worst error %.1e", worst)
}

// BenchmarkAll sets them beside those of package math.
func BenchmarkAll(b *testing.B) {
	for _, f := range []struct {
		name string
		of   func(float64) float64
	}{{"quick.Log", quick.Log}, {"quick.Rough", quick.Rough}, {"math.Log", math.Log}, {"quick.Exp", quick.Exp}, {"math.Exp", math.Exp}} {
		b.Run(f.name, func(b *testing.B) {
			x, sum := 0.3, 0.0
			for b.Loop() {
				sum += f.of(x)
				x += 1e-7
			}
			if math.IsNaN(sum) {
				b.Error("no number")
			}
		})
	}
}
