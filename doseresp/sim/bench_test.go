package sim

import (
	"fmt"
	"testing"

	"vialwise/doseresp"
)

var sink int

func BenchmarkDraw(b *testing.B) {
	for _, n := range []int{5, 12, 60} {
		for _, rho := range []float64{0, .1} {
			b.Run(fmt.Sprintf("n=%d/rho=%v", n, rho), func(b *testing.B) {
				s := NewSource(1, 1)
				for b.Loop() {
					sink += s.BetaBinomial(n, .4, rho)
				}
			})
		}
	}
}

// BenchmarkAppend draws the 18 containers of one data set of a coverage study.
func BenchmarkAppend(b *testing.B) {
	for _, rho := range []float64{0, .1} {
		b.Run(fmt.Sprintf("rho=%v", rho), func(b *testing.B) {
			truth, s := Truth{LC50: 2, Slope: 2.5, NaturalMortality: .05, Rho: rho}, NewSource(1, 1)
			var buffer []doseresp.Container
			b.ReportAllocs()
			for b.Loop() {
				buffer = Append(buffer[:0], truth, trial, s)
			}
		})
	}
}
