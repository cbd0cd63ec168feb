package sim

import (
	"fmt"
	"math"
)

// Design is the plan of an assay: what is put into how many containers.
type Design struct {
	Doses      []float64
	Replicates int // containers at each dose
	Exposed    int // individuals in each of them

	Controls       int // untreated containers
	ControlExposed int // individuals in each of them
}

// Containers is the number of containers, controls among them.
func (d Design) Containers() int { return len(d.Doses)*d.Replicates + d.Controls }

// GeometricDoses returns n doses, each the factor times the one before. It
// panics unless lowest and factor are finite and above 0, and n not negative.
func GeometricDoses(lowest, factor float64, n int) []float64 {
	if !(lowest > 0) || !(factor > 0) || math.IsInf(lowest, 1) || math.IsInf(factor, 1) || n < 0 {
		panic(fmt.Sprintf("sim: no geometric series of %d doses from %v by %v", n, lowest, factor))
	}
	doses := make([]float64, n)
	for i := range doses {
		doses[i] = lowest
		lowest *= factor
	}
	return doses
}
