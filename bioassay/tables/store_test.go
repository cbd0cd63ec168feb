package tables

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"vialwise/bioassay"
)

// Rows come back in their order, however those of other assays stand between
// them, and no assay can grow into the rows of another.
func TestStore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var s store
		kept, want := make([]rows, 3), make([][]int, 3)
		line := 0
		for range rapid.IntRange(1, 20).Draw(t, "runs") {
			a := rapid.IntRange(0, 2).Draw(t, "assay")
			for range rapid.SampledFrom([]int{1, 2, 7, 9, 500, 1100}).Draw(t, "rows") {
				line++
				s.add(&kept[a], bioassay.Container{Source: bioassay.Origin{Line: line}})
				want[a] = append(want[a], line)
			}
		}
		for a := range kept {
			got := kept[a].containers()
			if cap(got) != len(got) || !slices.EqualFunc(got, want[a], func(c bioassay.Container, line int) bool { return c.Source.Line == line }) {
				t.Fatalf("assay %d: %d rows with room for %d, want %d", a, len(got), cap(got), len(want[a]))
			}
		}
	})
}
