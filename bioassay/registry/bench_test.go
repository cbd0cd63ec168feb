package registry

import (
	"fmt"
	"path/filepath"
	"testing"
)

const benchAssays, benchContainers = 1000, 20

func BenchmarkImport(b *testing.B) {
	dir, run := b.TempDir(), 0
	table := many(benchAssays, benchContainers, 1)
	b.ReportAllocs()
	for b.Loop() {
		run++
		r := opened(b, filepath.Join(dir, fmt.Sprintf("%d.db", run)))
		if _, err := r.Import(ctx, table, sourceOfMany(benchAssays, 1), ImportOptions{}); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.N*benchAssays*benchContainers)/b.Elapsed().Seconds(), "rows/s")
}

// filled is a registry of the assays of a benchmark.
func filled(b *testing.B) *Registry {
	r := fresh(b)
	if _, err := r.Import(ctx, many(benchAssays, benchContainers, 1), sourceOfMany(benchAssays, 1), ImportOptions{}); err != nil {
		b.Fatal(err)
	}
	return r
}

func BenchmarkImportAgain(b *testing.B) {
	r := filled(b)
	table := many(benchAssays, benchContainers, 1)
	for b.Loop() {
		if _, err := r.Import(ctx, table, sourceOfMany(benchAssays, 1), ImportOptions{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkAssays(b *testing.B) {
	r := filled(b)
	b.ReportAllocs()
	for b.Loop() {
		if n := len(all(b, r.Assays(ctx, Filter{}))); n != benchAssays {
			b.Fatal(n)
		}
	}
}

func BenchmarkVerify(b *testing.B) {
	r := filled(b)
	for b.Loop() {
		sound(b, r)
	}
}
