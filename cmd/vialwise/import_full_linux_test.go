package main

import (
	"errors"
	"os"
	"os/exec"
	"strings"
	"syscall"
	"testing"

	"vialwise/internal/needs"
)

// notMounted is the exit status of a script that may not mount.
const notMounted = 77

// inOwnMounts runs a script in a folder that it mounts a memory file system of
// 1.5 MB on, which no other process sees. Where the system does not allow that
// the test is skipped, unless the checks must be complete.
func inOwnMounts(t *testing.T, script string, args ...string) string {
	t.Helper()
	folder := t.TempDir()
	cmd := exec.Command("sh", append([]string{"-c", `mount --make-rprivate / && mount -t tmpfs -o size=1536k vialwise "$1" && cd "$1" || exit 77
` + script, "sh", folder}, args...)...)
	cmd.Env = append(os.Environ(), registryVariable+"=", "LC_ALL=C")
	cmd.SysProcAttr = &syscall.SysProcAttr{Cloneflags: syscall.CLONE_NEWNS}
	if os.Getuid() != 0 {
		cmd.SysProcAttr.Cloneflags |= syscall.CLONE_NEWUSER
		cmd.SysProcAttr.UidMappings = []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getuid(), Size: 1}}
		cmd.SysProcAttr.GidMappings = []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getgid(), Size: 1}}
	}
	out, err := cmd.CombinedOutput()
	var exit *exec.ExitError
	if err != nil && (!errors.As(err, &exit) || exit.ExitCode() == notMounted) {
		if needs.Required() && os.Getuid() == 0 {
			t.Fatalf("root cannot mount here: %v %s", err, out)
		}
		t.Skipf("mounting is not allowed: %v %s", err, out)
	}
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	return string(out)
}

const firstTable = `printf 'assay,concentration,exposed,dead\nA,0,10,1\nA,1,10,5\n' >first.csv
vialwise import --who Ada first.csv >/dev/null || exit 1
`

// said demands that an output has all of some texts.
func said(t *testing.T, out string, texts ...string) {
	t.Helper()
	for _, text := range texts {
		if !strings.Contains(out, text) {
			t.Errorf("nothing says %q in\n%s", text, out)
		}
	}
}

// TestDiskFullCommand imports a table that the disk has no room for. The error
// says so, the registry is what it was, and once there is room the same command
// ends right. Beside a ballast that leaves no byte not even opening is possible.
func TestDiskFullCommand(t *testing.T) {
	out := inOwnMounts(t, firstTable+`
vialwise import --who Ada "$2"; echo "status $?"
vialwise verify; echo "status $?"
head -c 9000000 /dev/zero >ballast 2>/dev/null
vialwise import --who Ada first.csv; echo "status $?"
rm ballast
mount -o remount,size=64m . || exit 77
vialwise import --who Ada "$2"; echo "status $?"
vialwise verify; echo "status $?"
`, writeRegister(t, 24_000))
	said(t, out, "the disk is full, nothing was written", "make room and do it again", "not imported  –\n",
		"1       1       1         2           0         0\n", "check the room on the disk and its health",
		"imported  2\n", "2       2001    2001      24002       0         0\n")
	if want := "status 1\nstatus 0\nstatus 1\nstatus 0\nstatus 0\n"; statuses(out) != want {
		t.Errorf("%q in\n%s", statuses(out), out)
	}
}

// TestReadOnlyFolderCommand takes away the right to write, and gives it back.
func TestReadOnlyFolderCommand(t *testing.T) {
	out := inOwnMounts(t, firstTable+`
printf 'assay,concentration,exposed,dead\nB,0,10,1\nB,1,10,5\n' >second.csv
mount -o remount,ro . || exit 77
vialwise import --who Ada second.csv; echo "status $?"
vialwise import --who Ada --registry new.sqlite second.csv; echo "status $?"
vialwise export folder; echo "status $?"
mount -o remount,rw . || exit 77
vialwise import --who Ada second.csv; echo "status $?"
vialwise verify; echo "status $?"
`)
	said(t, out, `registry "vialwise.sqlite": the file cannot be opened, or the files beside it cannot be made`, `registry "new.sqlite": the file`,
		"check that the folder exists and can be written", "2       2       2         4           0         0\n")
	if want := "status 1\nstatus 1\nstatus 1\nstatus 0\nstatus 0\n"; statuses(out) != want {
		t.Errorf("%q in\n%s", statuses(out), out)
	}
}

// statuses are the lines of a script that name an exit status.
func statuses(out string) (lines string) {
	for line := range strings.Lines(out) {
		if strings.HasPrefix(line, "status ") {
			lines += line
		}
	}
	return lines
}
