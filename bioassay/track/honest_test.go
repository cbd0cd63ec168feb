package track

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"vialwise/bioassay"
)

// TestMeanWithoutTheResistant: apiaries of which only a bound is known are those
// that matter, and no mean of the others stands for the region.
func TestMeanWithoutTheResistant(t *testing.T) {
	var apiaries []bioassay.Apiary
	var assays []bioassay.Assay
	for i := range 9 {
		code := fmt.Sprint("A", i)
		apiaries = append(apiaries, bioassay.Apiary{Code: code, Region: "north"})
		a := field(code, code, "2031-04-10", 1, uint64(60+i))
		if i < 5 {
			for k := range a.Containers {
				a.Containers[k].Dead = 0
			}
		}
		assays = append(assays, a)
	}
	r := tracked(t, apiaries, Options{}, assays...).Regions[0].Seasons[0]
	if !math.IsNaN(r.Ratio.Estimate) || r.Pooled != nil || r.Censored != 5 || r.Apiaries != 4 {
		t.Errorf("%+v", r)
	}
	if len(r.Warnings) != 1 || r.Warnings[0].Code != WarnBoundsLeftOut {
		t.Errorf("%v", r.Warnings)
	}
	if high := r.Shares[0]; high.Upper < 0.5 {
		t.Errorf("of nine apiaries five are immune, and %+v are above", high)
	}
}

// TestOtherApiaries: where other apiaries are tested from season to season, the
// trend of the region says so.
func TestOtherApiaries(t *testing.T) {
	var apiaries []bioassay.Apiary
	var assays []bioassay.Assay
	for i := range 10 {
		code := fmt.Sprint("A", i)
		apiaries = append(apiaries, bioassay.Apiary{Code: code, Region: "north"})
		day, fold := "2031-04-10", 1.0
		if i >= 5 {
			day, fold = "2031-10-10", 4
		}
		assays = append(assays, field(code, code, day, fold, uint64(80+i)))
	}
	k := tracked(t, apiaries, Options{}, assays...)
	codes := func(list []bioassay.Warning) (out []bioassay.WarningCode) {
		for _, w := range list {
			out = append(out, w.Code)
		}
		return out
	}
	if !slices.Contains(codes(k.Regions[0].Trend.Warnings), WarnOtherApiaries) {
		t.Errorf("%v", k.Regions[0].Trend.Warnings)
	}
	same := tracked(t, places, Options{}, seasons("A1", 3, 1, 90)...)
	if slices.Contains(codes(same.Regions[0].Trend.Warnings), WarnOtherApiaries) {
		t.Error("the same apiaries were called others")
	}
}

// TestShareNearABound: where all ratios lie a little below a bound, the error of
// the baseline, which all share, keeps the limits from claiming a share above it.
func TestShareNearABound(t *testing.T) {
	const sets = 20
	excluded := 0
	for set := range sets {
		var apiaries []bioassay.Apiary
		var assays []bioassay.Assay
		for i := range 15 {
			code := fmt.Sprint("A", i)
			apiaries = append(apiaries, bioassay.Apiary{Code: code, Region: "north"})
			assays = append(assays, field(code, code, "2031-04-10", 4.2, uint64(1000+100*set+i)))
		}
		s := tracked(t, apiaries, Options{}, assays...).Regions[0].Seasons[0].Shares[1] // above 5
		if s.Lower > 0 {
			excluded++
		}
		if !(s.Lower <= s.Estimate && s.Estimate <= s.Upper) {
			t.Errorf("%+v", s)
		}
	}
	t.Logf("limits exclude a share of 0 in %d of %d", excluded, sets)
	if excluded > 3 {
		t.Errorf("no apiary lies above, and limits exclude that in %d of %d", excluded, sets)
	}
}
