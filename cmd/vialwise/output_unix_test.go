//go:build unix

package main

import (
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
	"testing"
)

// TestWriteFileKeepsPipes shows that a pipe, as a device, is written to and
// not replaced by a file.
func TestWriteFileKeepsPipes(t *testing.T) {
	path := filepath.Join(t.TempDir(), "pipe")
	if err := syscall.Mkfifo(path, 0o600); err != nil {
		t.Skip("this file system has no pipes")
	}
	// Opened for both, so that neither end waits for the other.
	pipe, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer pipe.Close()
	if err := writeFile(path, []byte("answer")); err != nil {
		t.Fatal(err)
	}
	info, err := os.Stat(path)
	if err != nil || info.Mode()&fs.ModeNamedPipe == 0 {
		t.Fatalf("the pipe became %v, %v", info.Mode(), err)
	}
	got := make([]byte, len("answer"))
	if _, err := pipe.Read(got); err != nil || string(got) != "answer" {
		t.Errorf("read %q, %v", got, err)
	}
}
