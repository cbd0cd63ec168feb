package tables

import (
	"bufio"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"sync/atomic"
	"testing"
	"time"
)

// writeLarge writes an invented table of n rows and 20 columns, 24 rows to an
// assay, as a register of many seasons would hold it: about 105 bytes a row.
func writeLarge(t testing.TB, n int) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "large.csv")
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	w := bufio.NewWriterSize(f, 1<<20)
	w.WriteString("assay,apiary,population,role,collected_on,tested_on,acaricide,protocol,unit,container,concentration," +
		"exposed,dead,moribund,missing,exposure_h,reading_h,mite_source,capped_brood,note\n")
	for i := range n {
		a, v := i/24, i%24
		fmt.Fprintf(w, "N%d-%d,N%d,east,field,2031-04-%02d,2031-04-%02d,amitraz,vial-24h,ug/vial,v%02d,%g,%d,%d,%d,%d,24,24,brood,%s,\n",
			a/12, a%12, a/12, 1+a%27, 2+a%27, v+1, float64(v/4)*0.25, 10+v%3, v/4+v%3, v%2, v%5/4, [...]string{"yes", "no"}[a%2])
	}
	if err := w.Flush(); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	return path
}

// peakHeap runs f and returns the most memory of the heap that was in use at
// any of its looks, every few milliseconds.
func peakHeap(f func()) uint64 {
	var peak atomic.Uint64
	stop, stopped := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(stopped)
		for {
			var m runtime.MemStats
			runtime.ReadMemStats(&m)
			peak.Store(max(peak.Load(), m.HeapAlloc))
			select {
			case <-stop:
				return
			case <-time.After(5 * time.Millisecond):
			}
		}
	}()
	f()
	close(stop)
	<-stopped
	return peak.Load()
}

// Memory grows with the rows kept and with nothing else: 160 bytes for a
// container on 64-bit machines, its share of the assay, and what the collector
// leaves lying about at 20 %.
func TestMemoryPerRow(t *testing.T) {
	if testing.Short() {
		t.Skip("writes a file of 20 MB; run without -short")
	}
	const rows = 200_000
	const mostPerRow = 280 // bytes
	path := writeLarge(t, rows)
	defer debug.SetGCPercent(debug.SetGCPercent(20))
	runtime.GC()
	var before runtime.MemStats
	runtime.ReadMemStats(&before)
	var table *Table
	peak := peakHeap(func() {
		var err error
		if table, err = ReadFile(path); err != nil {
			t.Fatal(err)
		}
	})
	n := 0
	for _, a := range table.Assays {
		n += len(a.Containers)
	}
	perRow := float64(peak-before.HeapAlloc) / rows
	t.Logf("%.0f bytes per row at the peak", perRow)
	if n != rows || perRow > mostPerRow {
		t.Errorf("%d rows read, %.0f bytes each, at most %d wanted", n, perRow, mostPerRow)
	}
}

// BenchmarkReadMillion prints how fast a million rows are read and how much
// memory of the heap that takes.
func BenchmarkReadMillion(b *testing.B) {
	if testing.Short() {
		b.Skip("writes a file of 100 MB; run without -short")
	}
	const rows = 1_000_000
	path := writeLarge(b, rows)
	defer debug.SetGCPercent(debug.SetGCPercent(20))
	var peak uint64
	for b.Loop() {
		peak = max(peak, peakHeap(func() {
			if _, err := ReadFile(path); err != nil {
				b.Fatal(err)
			}
		}))
	}
	b.ReportMetric(rows*float64(b.N)/b.Elapsed().Seconds(), "rows/s")
	b.ReportMetric(float64(peak)/1e6, "peak-MB")
}
