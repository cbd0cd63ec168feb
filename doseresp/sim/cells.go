package sim

import (
	"errors"
	"sync"
	"sync/atomic"
)

// eachCell computes the n cells of a study on some workers, 1 where 0, and
// returns what was found in the order of the cells. newWorker gives every worker
// a function with memory of its own. progress, which may be nil, is told after
// each cell, never twice at once.
func eachCell[R any](n, workers int, progress func(done, total int), newWorker func() func(cell int) (R, error)) ([]R, error) {
	results := make([]R, n)
	failed := make([]error, n)
	var next atomic.Int64
	var wait sync.WaitGroup
	var report sync.Mutex
	done := 0
	for range max(workers, 1) {
		wait.Go(func() {
			compute := newWorker()
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				results[i], failed[i] = compute(i)
				report.Lock()
				if done++; progress != nil {
					progress(done, n)
				}
				report.Unlock()
			}
		})
	}
	wait.Wait()
	return results, errors.Join(failed...)
}
