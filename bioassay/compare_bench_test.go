package bioassay_test

import (
	"fmt"
	"testing"

	"vialwise/bioassay"
)

// BenchmarkCompareHundred compares one hundred populations with one baseline,
// with every limit: delta, combined profile, posterior, both tests, bands and
// the resistant fraction with profile limits and posterior.
func BenchmarkCompareHundred(b *testing.B) {
	rules := &bioassay.RatioBands{Percent: 50, Bands: bioassay.RuleBands{{Name: "high", From: 10, Above: true}, {Name: "moderate", From: 5}, {Name: "low"}}}
	o := bioassay.CompareOptions{Bands: rules}
	base, err := bioassay.BuildBaseline("susceptible", baselineAssays(1), bioassay.BaselineOptions{Analysis: o.Analysis})
	if err != nil {
		b.Fatal(err)
	}
	var fields []bioassay.Assay
	for i := range 100 {
		fields = append(fields, simulated(fmt.Sprint("field ", i), moved(susceptible, 1+float64(i%7)/2), uint64(1000+i)))
	}
	b.ReportAllocs()
	for b.Loop() {
		c, err := bioassay.NewComparer(base, o)
		if err != nil {
			b.Fatal(err)
		}
		compared, refused := bioassay.CompareAll(fields, []*bioassay.Comparer{c}, nil)
		if len(compared) != 100 || refused != nil {
			b.Fatal(len(compared), refused)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Milliseconds())/float64(b.N)/100, "ms/population")
}
