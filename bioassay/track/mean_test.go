package track

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"vialwise/bioassay"
	"vialwise/doseresp/sim"
)

func assayOf(log, se float64, df int) Measured {
	return Measured{Brief: &bioassay.Brief{Log: log, LogSE: se, DF: df, Mites: 90}}
}

// TestMeanByHand: weights 4 and 1 of two assays that agree, and of two that do not.
func TestMeanByHand(t *testing.T) {
	const tolerance = 1e-12
	w := testWork(t)
	for name, k := range map[string]struct {
		logs     [2]float64
		log, se  float64
		quantile float64 // of the limits
	}{
		"agree":    {[2]float64{0.5, 0.55}, 0.51, math.Sqrt(1 / 125.), 1.9599639845400545},
		"disagree": {[2]float64{0.5, 1.5}, 0.7, math.Sqrt(20 / 125.), 12.706204736432095}, // Σw(y-m)² = 100×0.04 + 25×0.64 = 20; ν = 400/361
	} {
		s := w.mean([]Measured{assayOf(k.logs[0], 0.1, 0), assayOf(k.logs[1], 0.2, 0)})
		if math.Abs(s.Log-k.log) > tolerance || math.Abs(s.LogSE-k.se) > tolerance {
			t.Errorf("%s: %g, %g; want %g, %g", name, s.Log, s.LogSE, k.log, k.se)
		}
		if got := math.Log10(s.LC50.Upper/s.LC50.Estimate) / s.LogSE; math.Abs(got-k.quantile) > 1e-6 {
			t.Errorf("%s: limits at %g standard errors, want %g", name, got, k.quantile)
		}
	}
}

func TestMeanFreedom(t *testing.T) {
	for _, k := range []struct {
		f         float64
		k, own    int
		want      int
		situation string
	}{
		{1, 2, 0, 0, "no scatter, no heterogeneity"},
		{1, 3, 14, 14, "heterogeneity alone"},
		{1.001, 2, 0, 0, "next to no scatter"},
		{4, 2, 0, 1, "16/9"},
		{4, 5, 0, 7, "64/9"},
		{4, 5, 10, 6, "16/(0.1 + 9/4)"},
		{1e6, 2, 0, 1, "scatter alone"},
	} {
		if got := meanFreedom(k.f, k.k, k.own); got != k.want {
			t.Errorf("%s: %d, want %d", k.situation, got, k.want)
		}
	}
}

// TestMeanCoverage draws assays of one season, without true differences and with
// such as large as their errors, and holds the limits of the mean to what its
// description says.
func TestMeanCoverage(t *testing.T) {
	sets := 4000
	if testing.Short() {
		sets = 400
	}
	w := testWork(t)
	w.bands = nil
	for cell, k := range []struct {
		assays int
		excess float64 // standard deviation, in that of the errors
		want   float64
	}{{2, 0, 0.96}, {3, 0, 0.96}, {2, 1, 0.89}, {3, 1, 0.90}, {4, 1, 0.91}} {
		held := 0
		for i := range sets {
			s := sim.NewSource(uint64(600+cell), uint64(i))
			var all []Measured
			for range k.assays {
				se := 0.05 + 0.06*s.Float64()
				z := distuv.UnitNormal.Quantile(s.Float64() + 0x1p-54)
				all = append(all, assayOf(z*math.Hypot(se, 0.08*k.excess), se, 0))
			}
			if m := w.mean(all); m.LC50.Lower <= 1 && 1 <= m.LC50.Upper {
				held++
			}
		}
		share := float64(held) / float64(sets)
		t.Logf("%d assays, excess %g: %.3f", k.assays, k.excess, share)
		if math.Abs(share-k.want) > 0.01+3*math.Sqrt(k.want*(1-k.want)/float64(sets)) {
			t.Errorf("%d assays, excess %g: limits hold the mean in %.3f, want about %.2f", k.assays, k.excess, share, k.want)
		}
	}
}
