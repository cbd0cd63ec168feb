package registry

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"

	"vialwise/internal/needs"
)

func init() {
	children["disk full"] = diskFull
	children["size limit"] = sizeLimit
	children["read-only folder"] = readOnlyFolder
}

// inNamespace runs a task that mounts a file system of its own, which no other
// process sees. Where the system does not allow that the test is skipped, unless
// the checks must be complete.
func inNamespace(t *testing.T, task string) {
	t.Helper()
	cmd := child(t, task, t.TempDir(), 0)
	cmd.SysProcAttr = &syscall.SysProcAttr{Cloneflags: syscall.CLONE_NEWNS}
	if os.Getuid() != 0 {
		cmd.SysProcAttr.Cloneflags |= syscall.CLONE_NEWUSER
		cmd.SysProcAttr.UidMappings = []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getuid(), Size: 1}}
		cmd.SysProcAttr.GidMappings = []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getgid(), Size: 1}}
	}
	out, err := cmd.CombinedOutput()
	var exit *exec.ExitError
	switch {
	case err == nil:
		t.Logf("%s", out)
	case !errors.As(err, &exit), strings.HasPrefix(string(out), notMounted):
		if needs.Required() && os.Getuid() == 0 {
			t.Fatalf("root cannot mount here: %v %s", err, out)
		}
		t.Skipf("mounting is not allowed: %v %s", err, out)
	default:
		t.Errorf("%v\n%s", err, out)
	}
}

const notMounted = "not mounted: "

// mount mounts a small memory file system that only this process sees.
func mount(folder, size string) error {
	if err := syscall.Mount("", "/", "", syscall.MS_REC|syscall.MS_PRIVATE, ""); err != nil {
		return fmt.Errorf("%s%w", notMounted, err)
	}
	if err := syscall.Mount("tmpfs", folder, "tmpfs", 0, "size="+size); err != nil {
		return fmt.Errorf("%s%w", notMounted, err)
	}
	return nil
}

func TestDiskFull(t *testing.T) { inNamespace(t, "disk full") }

// diskFull fills a disk of 1.5 MB more and more, importing each time, until
// not even opening is possible.
func diskFull(folder string, _ int) error {
	if err := mount(folder, "1536k"); err != nil {
		return err
	}
	path, ballast := filepath.Join(folder, "r.db"), filepath.Join(folder, "ballast")
	if err := tryImport(path, 20, 1); err != nil {
		return fmt.Errorf("the first import: %w", err)
	}
	outcomes := map[string]int{}
	for size := 0; size <= 1400; size += 140 {
		if err := os.WriteFile(ballast, make([]byte, size<<10), 0o600); err != nil && !errors.Is(err, syscall.ENOSPC) {
			return err
		}
		err := tryImport(path, 2500, 2)
		var own *Error
		switch {
		case err == nil:
			return fmt.Errorf("2500 assays fitted beside %d kB", size)
		case !errors.As(err, &own) || !slices.Contains([]Kind{DiskFull, Unreadable, NotWritable}, own.Kind):
			return fmt.Errorf("with %d kB taken: %w", size, err)
		}
		outcomes[string(own.Kind)]++
		if err := os.Remove(ballast); err != nil {
			return err
		}
		if err := holds(path, 20); err != nil {
			return fmt.Errorf("after %d kB were taken: %w", size, err)
		}
	}
	fmt.Println(outcomes)
	if outcomes[string(DiskFull)] < 8 {
		return errors.New("the disk was hardly ever full")
	}
	return nil
}

// tryImport opens a registry, imports, and closes it.
func tryImport(path string, assays, seed int) error {
	r, err := Open(path, options())
	if err != nil {
		return err
	}
	_, err = r.Import(ctx, many(assays, 20, seed), sourceOfMany(assays, seed), ImportOptions{})
	if e := r.Close(); err == nil {
		err = e
	}
	return err
}

// holds checks that a registry is sound and holds so many assays.
func holds(path string, assays int) error {
	r, err := Open(path, options())
	if err != nil {
		return err
	}
	v, err := r.Verify(ctx, nil)
	if err == nil && (!v.Sound() || v.Assays != assays) {
		err = fmt.Errorf("%+v", v)
	}
	return errors.Join(err, r.Close())
}

// A limit on the size of files fails in another way than a full disk.
func TestSizeLimit(t *testing.T) {
	runChild(t, "size limit", filepath.Join(t.TempDir(), "r.db"), 0)
}

func sizeLimit(path string, _ int) error {
	signal.Ignore(syscall.SIGXFSZ) // which would end the process
	if err := tryImport(path, 20, 1); err != nil {
		return err
	}
	var limit syscall.Rlimit
	if err := syscall.Getrlimit(syscall.RLIMIT_FSIZE, &limit); err != nil {
		return err
	}
	for _, size := range []uint64{0, 100_000, 200_000, 400_000} {
		before := limit.Cur
		limit.Cur = size
		if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &limit); err != nil {
			return err
		}
		err := tryImport(path, 1000, 2)
		limit.Cur = before
		if e := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &limit); e != nil {
			return e
		}
		var own *Error
		if !errors.As(err, &own) || own.Remedy == "" {
			return fmt.Errorf("with files up to %d bytes: %v", size, err)
		}
		if err := holds(path, 20); err != nil {
			return err
		}
	}
	return nil
}

func TestReadOnlyFolder(t *testing.T) { inNamespace(t, "read-only folder") }

// readOnlyFolder makes the file system under a registry one that may only be
// read. A copy without a write-ahead log can still be read there.
func readOnlyFolder(folder string, _ int) error {
	if err := mount(folder, "4m"); err != nil {
		return err
	}
	path, copied := filepath.Join(folder, "r.db"), filepath.Join(folder, "copy.db")
	if err := tryImport(path, 20, 1); err != nil {
		return err
	}
	r, err := Open(path, options())
	if err != nil {
		return err
	}
	if err := errors.Join(r.Backup(ctx, copied), r.Close()); err != nil {
		return err
	}
	if err := syscall.Mount("", folder, "", syscall.MS_REMOUNT|syscall.MS_RDONLY, ""); err != nil {
		return fmt.Errorf("%s%w", notMounted, err)
	}
	for _, p := range []string{path, copied, filepath.Join(folder, "new.db")} {
		err := tryImport(p, 10, 2)
		var own *Error
		if !errors.As(err, &own) || own.Kind != NotWritable || own.Remedy == "" {
			return fmt.Errorf("%s: %v", p, err)
		}
		fmt.Println(err)
	}
	o := options()
	o.ReadOnly = true
	reader, err := Open(copied, o)
	if err != nil {
		return err
	}
	v, err := reader.Verify(ctx, nil)
	if err == nil && (!v.Sound() || v.Assays != 20) {
		err = fmt.Errorf("%+v", v)
	}
	if err := errors.Join(err, reader.Close()); err != nil {
		return err
	}
	if err := syscall.Mount("", folder, "", syscall.MS_REMOUNT, ""); err != nil {
		return err
	}
	return holds(path, 20)
}
