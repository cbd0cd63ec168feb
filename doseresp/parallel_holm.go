package doseresp

import (
	"math"
	"slices"
)

// Holm adjusts probabilities of several tests so that the chance of one false
// positive among all stays below the level with which each is compared (Holm
// 1979, Scandinavian Journal of Statistics 6:65-70): with p₍₁₎ <= … <= p₍ₘ₎
// the adjusted p₍ᵢ₎ is the largest (m-j+1) p₍ⱼ₎ up to j = i, at most 1. A NaN,
// which stands for a test that was not made, stays and does not count.
func Holm(p []float64) []float64 {
	order := make([]int, 0, len(p))
	out := make([]float64, len(p))
	for i, x := range p {
		out[i] = x
		if !math.IsNaN(x) {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(i, j int) int {
		switch {
		case p[i] < p[j]:
			return -1
		case p[i] > p[j]:
			return 1
		}
		return 0
	})
	highest := 0.0
	for rank, i := range order {
		highest = max(highest, min(1, float64(len(order)-rank)*p[i]))
		out[i] = highest
	}
	return out
}
