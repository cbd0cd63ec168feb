package parallel_test

import (
	"testing"

	"vialwise/internal/parallel"
)

// TestEach: everything is done once and told once.
func TestEach(t *testing.T) {
	for _, n := range []int{0, 1, 2, 1000} {
		times, told := make([]int, n), 0
		parallel.Each(n, func(i int) { times[i]++ }, func() { told++ })
		if told != n {
			t.Errorf("of %d, %d were told", n, told)
		}
		for i, k := range times {
			if k != 1 {
				t.Errorf("of %d, number %d was done %d times", n, i, k)
			}
		}
		parallel.Each(n, func(i int) { times[i]++ }, nil)
	}
}
