package main

import (
	"bytes"
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"
)

// TestWriteFile shows that a file is replaced whole and nothing is left beside it.
func TestWriteFile(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "fits.txt")
	for _, text := range []string{"the first, longer answer", "second", ""} {
		if err := writeFile(path, []byte(text)); err != nil {
			t.Fatal(err)
		}
		if got, err := os.ReadFile(path); err != nil || string(got) != text {
			t.Errorf("%q came back as %q, %v", text, got, err)
		}
	}
	if err := writeFile(filepath.Join(path, "below"), nil); err == nil {
		t.Error("a file was taken for a folder")
	}
	if err := writeFile(folder, nil); err == nil {
		t.Error("a folder was taken for a file")
	}
	entries, err := os.ReadDir(folder)
	if err != nil || len(entries) != 1 {
		t.Errorf("%d files beside each other, want 1, %v", len(entries), err)
	}
}

// TestDeliverKeepsTheEarlierAnswer lets the rendering fail half way.
func TestDeliverKeepsTheEarlierAnswer(t *testing.T) {
	path := filepath.Join(t.TempDir(), "fits.txt")
	if err := os.WriteFile(path, []byte("earlier"), 0o644); err != nil {
		t.Fatal(err)
	}
	var stdout bytes.Buffer
	failure := errors.New("half way")
	for _, out := range []string{path, ""} {
		o := outputFlags{out: out}
		err := o.deliver(&stdout, func(w io.Writer) error {
			if _, err := io.WriteString(w, "half of the answer"); err != nil {
				return err
			}
			return failure
		})
		if !errors.Is(err, failure) {
			t.Errorf("got %v", err)
		}
	}
	if got, err := os.ReadFile(path); err != nil || string(got) != "earlier" || stdout.Len() > 0 {
		t.Errorf("the file holds %q, %v, and standard output %q", got, err, &stdout)
	}
}
