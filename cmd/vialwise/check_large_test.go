package main

import (
	"bufio"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"testing"
	"time"

	"vialwise/cmd/vialwise/internal/render"
)

// writeRegister writes an invented table of n rows and 20 columns, 12 rows to
// an assay, with counts that make every rule speak now and then.
func writeRegister(t testing.TB, n int) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "register.csv")
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	w := bufio.NewWriterSize(f, 1<<20)
	w.WriteString("assay,apiary,population,role,collected_on,tested_on,acaricide,protocol,unit,container,concentration," +
		"exposed,dead,moribund,missing,exposure_h,reading_h,mite_source,capped_brood,note\n")
	r := rand.New(rand.NewPCG(1, 2))
	for i := range n {
		a, v := i/12, i%12
		dose, chance := [...]float64{0, 0.5, 1, 2, 4, 8}[v/2], [...]float64{0.05, 0.2, 0.4, 0.6, 0.8, 0.95}[v/2]
		exposed, dead := 8+r.IntN(9), 0
		for range exposed {
			if r.Float64() < chance {
				dead++
			}
		}
		fmt.Fprintf(w, "N%d-%d,N%d,east,field,2031-04-%02d,2031-04-%02d,amitraz,vial-residue,ug/vial,v%02d,%g,%d,%d,0,0,%d,24,brood,yes,\n",
			a/12, a%12, a/12, 1+a%27, 2+a%27, v+1, dose*float64(1+a%97), exposed, dead, 24*(1+a%2))
	}
	if err := w.Flush(); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	return path
}

// checkFile checks a file and writes the answer nowhere. It returns the most
// bytes of the heap that were in use at any look, and the containers read.
func checkFile(t testing.TB, path, format string) (peak uint64, rows int) {
	t.Helper()
	stop, stopped := make(chan struct{}), make(chan uint64)
	go func() {
		var most uint64
		for {
			var m runtime.MemStats
			runtime.ReadMemStats(&m)
			most = max(most, m.HeapAlloc)
			select {
			case <-stop:
				stopped <- most
				return
			case <-time.After(5 * time.Millisecond):
			}
		}
	}()
	defer spare(true)()
	answer, err := new(checkFlags).run(nil, []string{path}, &progress{})
	if err == nil {
		err = render.WriteCheck(io.Discard, answer, format)
	}
	close(stop)
	peak = <-stopped
	if err != nil {
		t.Fatal(err)
	}
	return peak, answer.Tally().Rows
}

// TestCheckMemory holds the memory of each row, with all its findings, to a
// millionth of 300 MB, without the help of the limit that is reached only later.
func TestCheckMemory(t *testing.T) {
	if testing.Short() {
		t.Skip("writes a file of 20 MB; run without -short")
	}
	const rows, mostPerRow = 200_000, 300
	path := writeRegister(t, rows)
	runtime.GC()
	var before runtime.MemStats
	runtime.ReadMemStats(&before)
	peak, n := checkFile(t, path, "json")
	perRow := float64(peak-before.HeapAlloc) / rows
	t.Logf("%.0f bytes per row at the peak", perRow)
	if n != rows || perRow > mostPerRow {
		t.Errorf("%d rows, %.0f bytes each, at most %d wanted", n, perRow, mostPerRow)
	}
}

// BenchmarkCheckMillion prints how fast a million rows are checked.
func BenchmarkCheckMillion(b *testing.B) {
	if testing.Short() {
		b.Skip("writes a file of 100 MB; run without -short")
	}
	const rows = 1_000_000
	path := writeRegister(b, rows)
	b.ReportAllocs()
	var peak uint64
	for b.Loop() {
		p, _ := checkFile(b, path, "text")
		peak = max(peak, p)
	}
	b.ReportMetric(rows*float64(b.N)/b.Elapsed().Seconds(), "rows/s")
	b.ReportMetric(float64(peak)/1e6, "peak-MB")
}
