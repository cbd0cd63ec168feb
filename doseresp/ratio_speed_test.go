package doseresp

import (
	"sync"
	"sync/atomic"
	"testing"
	"time"
)

// TestHundredPopulations compares a hundred populations with one baseline,
// with every kind of limits at LC50 and LC90 and both tests, on two goroutines.
// On an idle machine of two cores it takes 0.2 s; the bound leaves room for
// slower and busier ones, and is the time that a user is promised times two.
func TestHundredPopulations(t *testing.T) {
	if testing.Short() {
		t.Skip("a measurement of speed means nothing under -short, as with the race detector")
	}
	const populations, bound = 100, 2 * time.Second
	percents := []float64{50, 90}
	best := time.Duration(1 << 62)
	for range 5 { // the best of five is the least disturbed
		start := time.Now()
		base := benchAssay()
		post := posterior(t, base, Options{}, DefaultPriors())
		var baseline []*DoseDistribution
		for _, p := range percents {
			baseline = append(baseline, post.Distribution(p))
		}
		var next atomic.Int64
		var workers sync.WaitGroup
		for range 2 {
			workers.Go(func() {
				var c LineComparer
				var tests LineTests
				for i := next.Add(1); i <= populations; i = next.Add(1) {
					field := threeVials()
					field[3+i%6].Dead++ // no two in a row alike
					compareAll(t, field, base, percents, baseline, &c, &tests)
				}
			})
		}
		workers.Wait()
		best = min(best, time.Since(start))
	}
	t.Logf("%d populations in %v", populations, best)
	if best > bound {
		t.Errorf("%d populations took %v, more than %v", populations, best, bound)
	}
}
