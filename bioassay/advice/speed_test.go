package advice

import (
	"testing"
)

func BenchmarkWrite(b *testing.B) {
	c := cases()["mixed"]
	for b.Loop() {
		if _, err := Write(c.Findings, c.Context); err != nil {
			b.Fatal(err)
		}
	}
}
