package registry

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
)

// Full scale is a twentieth more than any programme is expected to reach:
// go test ./bioassay/registry -run TestScale -v -assays 100000
var scaleAssays = flag.Int("assays", 5000, "assays of 20 containers in TestScale")

func init() { children["scale"] = scale }

// TestScale imports, reads, verifies and exports many assays in a process of
// its own and holds it to the time and the memory that the full scale of 100,000
// assays may take: 3 minutes for the import, and 1 GB.
func TestScale(t *testing.T) {
	if testing.Short() {
		t.Skip("-short: speed is measured without the race detector")
	}
	out, err := child(t, "scale", filepath.Join(t.TempDir(), "r.db"), *scaleAssays).CombinedOutput()
	t.Logf("%s", out)
	if err != nil {
		t.Error(err)
	}
}

func scale(path string, n int) error {
	const (
		containers = 20
		perFile    = 5000
		allowed    = 3 * time.Minute // for full
		full       = 100_000
		memory     = 1_000_000 // kB
	)
	limit := allowed * time.Duration(n) / full
	r, err := Open(path, options())
	if err != nil {
		return err
	}
	began := time.Now()
	for first := 0; first < n; first += perFile {
		table := many(min(perFile, n-first), containers, first)
		if _, err := r.Import(ctx, table, sourceOfMany(perFile, first), ImportOptions{}); err != nil {
			return err
		}
	}
	imported := time.Since(began)
	fmt.Printf("import %v (%d assays, %d rows, %d MB)\n", imported.Round(time.Millisecond), n, n*containers, size(path)>>20)
	steps := []struct {
		name string
		run  func() error
	}{
		{"again", func() error {
			res, err := r.Import(ctx, many(min(perFile, n), containers, 0), sourceOfMany(perFile, 0), ImportOptions{})
			if err == nil && res.Event != nil {
				err = errors.New("the same rows were written again")
			}
			return err
		}},
		{"read", func() error {
			seen := 0
			for _, err := range r.Assays(ctx, Filter{}) {
				if err != nil {
					return err
				}
				seen++
			}
			if seen != n {
				return fmt.Errorf("read %d assays", seen)
			}
			return nil
		}},
		{"verify", func() error { return holds(path, n) }},
		{"export", func() error { return r.Export(ctx, path+".export") }},
		{"restore", func() error { return Restore(ctx, path+".export", path+".restored", options()) }},
		{"backup", func() error { return r.Backup(ctx, path+".backup") }},
	}
	for _, s := range steps {
		began := time.Now()
		if err := s.run(); err != nil {
			return fmt.Errorf("%s: %w", s.name, err)
		}
		fmt.Printf("%s %v\n", s.name, time.Since(began).Round(time.Millisecond))
	}
	peak, err := peakMemory()
	fmt.Printf("peak memory %d MB\n", peak>>10)
	switch {
	case err != nil:
		return err
	case imported > limit:
		return fmt.Errorf("the import took %v, allowed are %v", imported, limit)
	case peak > memory:
		return fmt.Errorf("the peak was %d kB, allowed are %d", peak, memory)
	}
	return r.Close()
}

func size(path string) int64 {
	info, err := os.Stat(path)
	if err != nil {
		return 0
	}
	return info.Size()
}

// peakMemory is the most that the process ever had in memory, in kB.
func peakMemory() (int, error) {
	status, err := os.ReadFile("/proc/self/status")
	if err != nil {
		return 0, err
	}
	_, rest, _ := bytes.Cut(status, []byte("VmHWM:"))
	fields := strings.Fields(string(rest[:min(len(rest), 40)]))
	if len(fields) == 0 {
		return 0, errors.New("the system does not say how much memory was used")
	}
	return strconv.Atoi(fields[0])
}
