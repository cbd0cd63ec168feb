package main

import (
	"bytes"
	"io"
	"strings"
	"testing"
)

// TestTerminalGetsNoFile runs every command whose answer may be a file as if
// standard output were a terminal.
func TestTerminalGetsNoFile(t *testing.T) {
	kept := isTerminal
	isTerminal = func(io.Writer) bool { return true }
	defer func() { isTerminal = kept }()
	t.Chdir(t.TempDir())
	for _, command := range []string{"fit", "compare", "baseline"} {
		for _, format := range fileFormats() {
			var stdout, stderr bytes.Buffer
			status := run([]string{command, "--format", format, "counts.csv"}, strings.NewReader(""), &stdout, &stderr)
			want := "format " + format + " is a file to open, not one for a terminal; name it with --out, as in --out results." + format
			if status != exitUsage || stdout.Len() > 0 || !strings.Contains(stderr.String(), want) {
				t.Errorf("%s %s: status %d, %q, %q", command, format, status, stdout.String(), stderr.String())
			}
			// with a file to write, only the missing table is wrong
			stderr.Reset()
			if run([]string{command, "--format", format, "--out", "x", "counts.csv"}, strings.NewReader(""), &stdout, &stderr) != exitFailed {
				t.Errorf("%s %s --out: %q", command, format, stderr.String())
			}
		}
	}
	if isTerminal = kept; isTerminal(&bytes.Buffer{}) {
		t.Error("a buffer counts as a terminal")
	}
}

// TestFormatsAreTold demands that help and completion name every format of a
// command, and no other.
func TestFormatsAreTold(t *testing.T) {
	five := []string{"text", "markdown", "latex", "csv", "json"}
	for command, want := range map[string][]string{
		"fit": append(five[:5:5], "xlsx", "html"), "compare": append(five[:5:5], "xlsx", "html"), "baseline": append(five[:5:5], "xlsx", "html"),
		"check": five, "methods": {"text", "markdown", "latex", "bibtex"},
	} {
		var help, completion, stderr bytes.Buffer
		run([]string{"help", command}, strings.NewReader(""), &help, &stderr)
		if !strings.Contains(help.String(), "format of the answer: "+strings.Join(want, ", ")+" (") {
			t.Errorf("the help of %s does not name %v", command, want)
		}
		run([]string{"__complete", command, "--format", ""}, strings.NewReader(""), &completion, &stderr)
		offered, _, _ := strings.Cut(completion.String(), ":")
		if got := strings.Fields(offered); strings.Join(got, " ") != strings.Join(want, " ") {
			t.Errorf("%s completes %v, want %v", command, got, want)
		}
	}
}
