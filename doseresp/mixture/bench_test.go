package mixture_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"vialwise/doseresp"
	"vialwise/doseresp/mixture"
)

// drawn is an assay of twenty containers of twelve mites with the LC50; invented.
func drawn(lc50 float64, random *rand.Rand) (out []doseresp.Container) {
	for k := range 20 {
		dose, p := 0.0, 0.02
		if k >= 2 {
			dose = math.Pow(2, float64((k-2)/3)-2)
			p = 0.02 + 0.98*doseresp.Probit.CDF(2.8*math.Log10(dose/lc50))
		}
		dead := 0
		for range 12 {
			if random.Float64() < p {
				dead++
			}
		}
		out = append(out, doseresp.Container{Dose: dose, Exposed: 12, Dead: dead})
	}
	return out
}

// BenchmarkEstimate is a field against a baseline of one assay and of five, with
// and without the limits of q.
func BenchmarkEstimate(b *testing.B) {
	const fields = 80
	var field [fields][]doseresp.Container
	for i := range field {
		field[i] = drawn(math.Pow(10, 0.25*float64(i%4)), rand.New(rand.NewPCG(2, uint64(i))))
	}
	for _, set := range []struct {
		name   string
		assays int
		tau    float64
	}{{"one assay", 1, 0}, {"five assays", 5, 0.05}} {
		var assays [][]doseresp.Container
		for j := range set.assays {
			assays = append(assays, drawn(math.Pow(1.1, float64(j-2)), rand.New(rand.NewPCG(1, uint64(j)))))
		}
		base, err := mixture.NewBaseline(assays, mixture.Options{Tau: set.tau})
		if err != nil {
			b.Fatal(err)
		}
		for name, estimate := range map[string]func([]doseresp.Container) (*mixture.Result, error){
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
