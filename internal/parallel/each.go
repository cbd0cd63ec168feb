// Package parallel divides work among the processors.
package parallel

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// Each does n things, by their numbers from 0, on all processors. done, where not
// nil, is called after each of them, by one goroutine at a time.
func Each(n int, do func(int), done func()) {
	var next atomic.Int64
	var wait sync.WaitGroup
	var lock sync.Mutex
	for range min(runtime.GOMAXPROCS(0), n) {
		wait.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				do(i)
				if done != nil {
					lock.Lock()
					done()
					lock.Unlock()
				}
			}
		})
	}
	wait.Wait()
}
