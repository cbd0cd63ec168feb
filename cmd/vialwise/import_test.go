package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"vialwise/bioassay"
	"vialwise/bioassay/registry"
	"vialwise/bioassay/rules"
)

// TestSourceIsWhatWasRead: the history names the bytes that were read, or the
// file is not imported.
func TestSourceIsWhatWasRead(t *testing.T) {
	path := filepath.Join(t.TempDir(), "counts.csv")
	const text = "assay,concentration,exposed,dead\nA,1,10,5\n"
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	in, err := openInput(nil, path)
	if err != nil {
		t.Fatal(err)
	}
	defer in.close()
	s, err := in.source(path)
	if want := registry.SourceOf("counts.csv", []byte(text)); err != nil || s != want {
		t.Errorf("%+v, want %+v, %v", s, want, err)
	}
	if err := os.WriteFile(path, []byte(strings.Replace(text, "5", "6", 1)), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := in.source(path); err == nil || !strings.Contains(err.Error(), "was changed while it was read") {
		t.Errorf("%v", err)
	}
}

// TestProgrammeWith: decisions become overrides beside those of the file, of
// which the programme itself keeps its own.
func TestProgrammeWith(t *testing.T) {
	p := rules.Builtin()
	p.Overrides = append(make([]bioassay.Override, 0, 8), bioassay.Override{Assay: "A"})
	decisions := []registry.Decision{
		{Assay: "B", Code: bioassay.ControlsFailed, Verdict: registry.Keep, By: "Ada", Why: "sun", At: "2031-05-09T23:00:00Z", Event: 3},
		{Assay: "C", Code: bioassay.NotBlind, Verdict: registry.Discard, By: "Ben", Why: "labels", At: "2031-05-10T00:00:00Z", Event: 4},
		{Assay: "D", Code: bioassay.NotBlind, Verdict: registry.NoVerdict, By: "Ben", Why: "labels", At: "2031-05-10T00:00:00Z", Event: 5},
	}
	with := programmeWith(p, decisions)
	if len(with.Overrides) != 3 || len(p.Overrides) != 1 {
		t.Fatalf("%+v, %+v", with.Overrides, p.Overrides)
	}
	want := bioassay.Override{Assay: "B", Code: bioassay.ControlsFailed, By: "Ada", On: bioassay.Date{Year: 2031, Month: 5, Day: 9}, Why: "sun", Event: 3}
	if with.Overrides[1] != want || !with.Overrides[2].Discards {
		t.Errorf("%+v", with.Overrides)
	}
	undated := decisions[0]
	undated.At = "May"
	if o := overrideOf(undated); o.Check() == nil {
		t.Errorf("%+v is a recorded decision", o)
	}
	programmeWith(p, decisions[1:])
	if with.Overrides[1] != want {
		t.Error("two programmes share their overrides")
	}
}

// TestExportedFolder: a folder or its descriptor is an export, a table is not.
func TestExportedFolder(t *testing.T) {
	folder := t.TempDir()
	for file, want := range map[string]string{folder: folder, filepath.Join(folder, descriptor): folder, descriptor: ".", "counts.csv": ""} {
		if got, ok := exportedFolder([]string{"other.csv", file}); got != want || ok != (want != "") {
			t.Errorf("%s: %q, %v", file, got, ok)
		}
	}
}
