package registry

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"vialwise/internal/needs"
)

// childVariable makes the test binary run one task instead of the tests.
const childVariable = "VIALWISE_REGISTRY_CHILD"

// children are the tasks; each has the path of a registry and a number.
var children = map[string]func(path string, n int) error{
	"import": importMany,
}

func TestMain(m *testing.M) {
	task := os.Getenv(childVariable)
	if task == "" {
		os.Exit(m.Run())
	}
	n, err := strconv.Atoi(os.Args[2])
	if err == nil {
		err = children[task](os.Args[1], n)
	}
	if err != nil {
		fmt.Println(err)
		os.Exit(1)
	}
	os.Exit(0)
}

// child is the command that runs a task in a process of its own.
func child(t testing.TB, task, path string, n int) *exec.Cmd {
	t.Helper()
	binary, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(binary, path, strconv.Itoa(n))
	cmd.Env = append(os.Environ(), childVariable+"="+task)
	return cmd
}

// runChild runs a task that must succeed.
func runChild(t testing.TB, task, path string, n int) {
	t.Helper()
	if out, err := child(t, task, path, n).CombinedOutput(); err != nil {
		t.Errorf("%s: %v\n%s", task, err, out)
	}
}

// childAssays is the size of the import that is killed.
const childAssays = 400

// importMany imports the invented table of a seed, and says when it begins.
func importMany(path string, seed int) error {
	table := many(childAssays, 12, seed)
	fmt.Println("ready")
	r, err := Open(path, options())
	if err != nil {
		return err
	}
	_, err = r.Import(context.Background(), table, sourceOfMany(childAssays, seed), ImportOptions{})
	return errors.Join(err, r.Close())
}

// kills is how often an import is killed: 25 times, and 200 where the checks
// must be complete.
func kills() int {
	if needs.Required() && !testing.Short() {
		return 200
	}
	return 25
}

// TestKilledImports kills a process (SIGKILL) at a random moment from before
// it opens the registry to after it has ended, in turn with a new registry and
// one that holds another file. Each time the registry opens, verifies, holds
// all or nothing of the file, and takes it afterwards.
func TestKilledImports(t *testing.T) {
	dir := t.TempDir()
	whole := wholeImport(t)
	random := rand.New(rand.NewPCG(7, 7))
	var none, every, ended int
	for i := range kills() {
		path := filepath.Join(dir, fmt.Sprintf("%d.db", i))
		base := 0
		if i%2 == 1 {
			base = 10
			r := opened(t, path)
			if _, err := r.Import(ctx, many(base, 3, 2), sourceOfMany(base, 2), ImportOptions{}); err != nil {
				t.Fatal(err)
			}
			r.Close()
		}
		within := int64(whole)
		if i%4 == 0 {
			within /= 6 // while the registry is made
		}
		if killImport(t, path, time.Duration(random.Int64N(within))) {
			ended++
		}
		r, err := Open(path, options())
		if err != nil {
			t.Fatalf("kill %d: %v", i, err)
		}
		switch v := sound(t, r); v.Assays {
		case base:
			none++
		case base + childAssays:
			every++
		default:
			t.Errorf("kill %d: %d assays", i, v.Assays)
		}
		if _, err := r.Import(ctx, many(childAssays, 12, 1), sourceOfMany(childAssays, 1), ImportOptions{}); err != nil {
			t.Errorf("kill %d, import afterwards: %v", i, err)
		}
		if v := sound(t, r); v.Assays != base+childAssays {
			t.Errorf("kill %d: in the end %d assays", i, v.Assays)
		}
		r.Close()
	}
	t.Logf("%d imports killed within %v: %d left nothing, %d all, %d of these had ended by themselves", kills(), whole, none, every, ended)
	if none == 0 {
		t.Error("no import was killed before it ended")
	}
}

// startImport starts an import and returns once it says that it begins.
func startImport(t *testing.T, path string) *exec.Cmd {
	t.Helper()
	cmd := child(t, "import", path, 1)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	if line, err := bufio.NewReader(out).ReadString('\n'); err != nil || line != "ready\n" {
		t.Fatalf("%q %v", line, err)
	}
	return cmd
}

// killImport kills an import some time after it begins. It reports whether the
// import had ended before.
func killImport(t *testing.T, path string, after time.Duration) (ended bool) {
	t.Helper()
	cmd := startImport(t, path)
	time.Sleep(after)
	if err := cmd.Process.Kill(); err != nil && !errors.Is(err, os.ErrProcessDone) {
		t.Fatal(err)
	}
	return cmd.Wait() == nil
}

// wholeImport is how long an import takes that nobody kills.
func wholeImport(t *testing.T) time.Duration {
	t.Helper()
	cmd := startImport(t, filepath.Join(t.TempDir(), "whole.db"))
	began := time.Now()
	if err := cmd.Wait(); err != nil {
		t.Fatal(err)
	}
	return time.Since(began)
}

// Two processes that import at once both end right, with different files and
// with the same one.
func TestTwoProcessesAtOnce(t *testing.T) {
	for _, seeds := range [][2]int{{1, 2}, {1, 1}} {
		path := filepath.Join(t.TempDir(), "r.db")
		var running []*exec.Cmd
		var outs []*strings.Builder
		for _, seed := range seeds {
			cmd, out := child(t, "import", path, seed), &strings.Builder{}
			cmd.Stdout, cmd.Stderr = out, out
			if err := cmd.Start(); err != nil {
				t.Fatal(err)
			}
			running, outs = append(running, cmd), append(outs, out)
		}
		for i, cmd := range running {
			if err := cmd.Wait(); err != nil {
				t.Errorf("seeds %v: %v\n%s", seeds, err, outs[i])
			}
		}
		files := map[bool]int{true: 1, false: 2}[seeds[0] == seeds[1]]
		if v := sound(t, opened(t, path)); v.Assays != files*childAssays || v.Events != files {
			t.Errorf("seeds %v: %+v", seeds, v)
		}
	}
}

// A process that cannot wait long enough says that another one writes.
func TestBusy(t *testing.T) {
	r := fresh(t)
	tx, err := r.db.BeginTx(ctx, nil)
	if err != nil {
		t.Fatal(err)
	}
	defer tx.Rollback()
	o := options()
	o.Wait = 50 * time.Millisecond
	other, err := Open(r.path, o)
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	_, err = other.Import(ctx, many(1, 1, 1), sourceOfMany(1, 1), ImportOptions{})
	isKind(t, err, Busy)
}
