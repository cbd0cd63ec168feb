package bioassay_test

import (
	"bytes"
	"math"
	"testing"

	"vialwise/bioassay"
	"vialwise/doseresp"
)

// FuzzBriefDecode: bytes are refused or make a Brief that encodes to them.
func FuzzBriefDecode(f *testing.F) {
	full := &bioassay.Brief{
		Status: doseresp.Converged, Mites: 300, Controls: 40, Concentrations: 6, LC50: bioassay.Interval{Estimate: 1, Lower: 0, Upper: math.Inf(1)},
		Log: math.NaN(), LogSE: 0.1, DF: -3, Posterior: true, Single: true, Bands: []float64{0.1, 0.2, 0.7}, Difference: doseresp.Greater,
		Natural: bioassay.NaturalBeyond, Censored: doseresp.CensoredLow,
	}
	for _, b := range []*bioassay.Brief{full, {}} {
		raw, err := b.MarshalBinary()
		if err != nil {
			f.Fatal(err)
		}
		f.Add(raw)
		f.Add(raw[:len(raw)-3])
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		var b bioassay.Brief
		if b.UnmarshalBinary(raw) != nil {
			return
		}
		once, err := b.MarshalBinary()
		if err != nil {
			t.Fatal(err)
		}
		var again bioassay.Brief
		if err := again.UnmarshalBinary(once); err != nil {
			t.Fatal(err)
		}
		if twice, _ := again.MarshalBinary(); !bytes.Equal(once, twice) {
			t.Errorf("%x became %x", once, twice)
		}
	})
}

// TestBriefEncoding holds every field of the demo's kind of Brief.
func TestBriefEncoding(t *testing.T) {
	want := &bioassay.Brief{Status: doseresp.Converged, Mites: 5, Controls: 2, Concentrations: 3, LC50: bioassay.Interval{Estimate: 1, Lower: 2, Upper: 3},
		Posterior: true, Censored: doseresp.Interval, Log: 4, LogSE: 5, DF: 6, Ratio: bioassay.Interval{Estimate: 7, Lower: 8, Upper: 9}, RatioCensored: doseresp.CensoredHigh,
		Difference: doseresp.Smaller, Natural: bioassay.NaturalWithin, Bands: []float64{10, 11}, Fraction: bioassay.Interval{Estimate: 12, Lower: 13, Upper: 14}, FractionP: 15, WholeShift: true}
	raw, err := want.MarshalBinary()
	if err != nil {
		t.Fatal(err)
	}
	var got bioassay.Brief
	if err := got.UnmarshalBinary(raw); err != nil {
		t.Fatal(err)
	}
	if len(got.Bands) != 2 || got.Bands[1] != 11 {
		t.Error(got.Bands)
	}
	got.Bands, want.Bands = nil, nil
	if a, b := got, *want; a.LC50 != b.LC50 || a.Ratio != b.Ratio || a.Fraction != b.Fraction || a.FractionP != b.FractionP || a.Log != b.Log || a.LogSE != b.LogSE ||
		a.DF != b.DF || a.Mites != b.Mites || a.Controls != b.Controls || a.Concentrations != b.Concentrations || a.Status != b.Status || a.Censored != b.Censored ||
		a.RatioCensored != b.RatioCensored || a.Difference != b.Difference || a.Natural != b.Natural || a.Posterior != b.Posterior || a.WholeShift != b.WholeShift || a.Single != b.Single {
		t.Errorf("%+v, want %+v", a, b)
	}
	if len(raw) > 200 {
		t.Errorf("%d bytes", len(raw))
	}
}
