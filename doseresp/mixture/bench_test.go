package mixture

import (
	"math"
	"math/rand/v2"
	"testing"

	"vialwise/doseresp"
)

// BenchmarkEstimate is a field against a baseline of one assay and of five, with
// and without the limits of q.
func BenchmarkEstimate(b *testing.B) {
	const fields = 80
	series := []float64{2, 4, 8, 16, 32, 64}
	random := rand.New(rand.NewPCG(2, 1))
	var field [fields][]doseresp.Container
	for i := range field {
		field[i] = randomAssay(random, series, 1, math.Pow(10, 0.25*float64(i%4)))
	}
	for _, set := range []struct {
		name   string
		assays int
		tau    float64
	}{{"one assay", 1, 0}, {"five assays", 5, 0.05}} {
		var assays [][]doseresp.Container
		for j := range set.assays {
			assays = append(assays, randomAssay(random, series, 1, math.Pow(1.1, float64(j-2))))
		}
		base, err := NewBaseline(assays, Options{Tau: set.tau})
		if err != nil {
			b.Fatal(err)
		}
		for name, estimate := range map[string]func([]doseresp.Container) (*Result, error){
			"limits": base.Estimate, "tests": base.Test,
		} {
			b.Run(set.name+", "+name, func(b *testing.B) {
				b.ReportAllocs()
				for i := 0; b.Loop(); i++ {
					if _, err := estimate(field[i%fields]); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}
