package plots

import (
	"io"
	"testing"
)

// Five thousand notes are a batch: each may take 20 ms of one processor.
func BenchmarkSheet(b *testing.B) {
	s := note()
	for b.Loop() {
		if err := Write(io.Discard, s, PDF); err != nil {
			b.Fatal(err)
		}
	}
}
