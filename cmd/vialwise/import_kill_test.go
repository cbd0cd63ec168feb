package main

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"vialwise/bioassay/registry"
	"vialwise/internal/needs"
)

// program is a command line of the program in a process of its own.
func program(folder string, args ...string) *exec.Cmd {
	cmd := exec.Command("vialwise", args...) // which the tests put on the path
	cmd.Dir = folder
	cmd.Env = append(os.Environ(), registryVariable+"=")
	return cmd
}

// mustRun runs a command line that must succeed.
func mustRun(t testing.TB, folder string, args ...string) string {
	t.Helper()
	out, err := program(folder, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %v\n%s", args, err, out)
	}
	return string(out)
}

// holding verifies a registry and returns its number of assays.
func holding(t testing.TB, path string) int {
	t.Helper()
	r, err := registry.Open(path, registry.Options{MustExist: true})
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	v, err := r.Verify(context.Background(), nil)
	if err != nil || !v.Sound() {
		t.Fatalf("%+v %v", v, err)
	}
	return v.Assays
}

// killed is how often an import is killed: 20 times, and 200 where the checks
// must be complete.
func killed() int {
	if needs.Required() && !testing.Short() {
		return 200
	}
	return 20
}

// TestKilledImportCommand kills the command (SIGKILL) at a random moment of its
// life. Each time the registry opens, verifies, holds all or nothing of the
// file, and the command that is given again ends right. The package registry
// kills imports from inside.
func TestKilledImportCommand(t *testing.T) {
	folder := t.TempDir()
	table := writeRegister(t, 600*12)
	const assays, base = 600, 1
	first := filepath.Join(folder, "first.csv")
	if err := os.WriteFile(first, []byte("assay,concentration,exposed,dead\nA,0,10,1\nA,1,10,5\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	began := time.Now()
	mustRun(t, folder, "import", "--registry", "whole.sqlite", "--who", "Ada", table)
	whole := time.Since(began)
	random := rand.New(rand.NewPCG(8, 8))
	var none, every int
	for i := range killed() {
		path := filepath.Join(folder, fmt.Sprintf("%d.sqlite", i))
		mustRun(t, folder, "import", "--registry", path, "--who", "Ada", first)
		cmd := program(folder, "import", "--registry", path, "--who", "Ada", table)
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		time.Sleep(time.Duration(random.Int64N(int64(whole))))
		if err := cmd.Process.Kill(); err != nil && !errors.Is(err, os.ErrProcessDone) {
			t.Fatal(err)
		}
		cmd.Wait()
		switch n := holding(t, path); n {
		case base:
			none++
		case base + assays:
			every++
		default:
			t.Errorf("kill %d: %d assays", i, n)
		}
		mustRun(t, folder, "import", "--registry", path, "--who", "Ada", table)
		if n := holding(t, path); n != base+assays {
			t.Errorf("kill %d: in the end %d assays", i, n)
		}
		os.Remove(path)
	}
	t.Logf("%d imports killed within %v: %d left nothing, %d all", killed(), whole, none, every)
	if none == 0 {
		t.Error("no import was killed before it ended")
	}
}

// TestTwoImportCommands runs two imports of one table and of another at once
// into a registry that none of them finds. All end right: the assays are there
// once.
func TestTwoImportCommands(t *testing.T) {
	folder := t.TempDir()
	table := writeRegister(t, 300*12)
	var other strings.Builder
	other.WriteString("assay,concentration,exposed,dead\n")
	for i := range 300 {
		fmt.Fprintf(&other, "Z%d,0,10,1\nZ%d,1,10,%d\n", i, i, i%10)
	}
	second := filepath.Join(folder, "second.csv")
	if err := os.WriteFile(second, []byte(other.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	var wait sync.WaitGroup
	for _, file := range []string{table, second, table} {
		wait.Go(func() {
			if out, err := program(folder, "import", "--who", "Ada", file).CombinedOutput(); err != nil {
				t.Errorf("%s: %v\n%s", file, err, out)
			}
		})
	}
	wait.Wait()
	path := filepath.Join(folder, defaultRegistry)
	if n := holding(t, path); n != 600 {
		t.Errorf("%d assays, want 600", n)
	}
	r, err := registry.Open(path, registry.Options{MustExist: true})
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	if events, err := r.History(context.Background()); err != nil || len(events) != 2 {
		t.Errorf("%d events, want 2: the third import has nothing new; %v", len(events), err)
	}
}
