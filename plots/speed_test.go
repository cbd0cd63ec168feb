package plots

import (
	"io"
	"testing"
)

// A batch of five thousand notes is to take less than a minute on two processors,
// which leaves 20 ms for each.
func BenchmarkSheet(b *testing.B) {
	s := note()
	for b.Loop() {
		if err := Write(io.Discard, s, PDF); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkSheetOnAllProcessors(b *testing.B) {
	s := note()
	b.RunParallel(func(pb *testing.PB) {
		for pb.Next() {
			if err := Write(io.Discard, s, PDF); err != nil {
				b.Error(err)
				return
			}
		}
	})
}
