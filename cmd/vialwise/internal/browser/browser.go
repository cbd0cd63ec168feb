// Package browser opens pages in a browser, for the tests of those who write them.
package browser

import (
	"context"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"vialwise/internal/needs"
)

// runner is the folder of the programs that open pages, from the folder of a
// package beside this one. Their libraries are installed there with npm ci.
var runner = filepath.Join("..", "..", "testdata", "browser")

// patience is how long a browser may take over a page.
const patience = 4 * time.Minute

// Found is what Check finds in a page.
type Found struct {
	// Violations are those of accessibility, in light and dark, on a wide and a
	// narrow screen; Overflow is what is wider than its screen; Requests are those
	// to other files.
	Violations, Overflow, Requests []string
	Pages                          int // when printed
	Rules                          int // of accessibility that were passed
}

// All lists everything that was found wrong.
func (f Found) All() []string { return append(append(f.Violations, f.Overflow...), f.Requests...) }

// Check opens a page and looks for what no page may have.
func Check(t testing.TB, page string) (found Found) {
	t.Helper()
	Open(t, "check.mjs", page, &found)
	return found
}

// Open runs one of the programs on a page and reads what it found. The test is
// skipped with -short, and where the browser or its libraries are missing.
func Open(t testing.TB, program, page string, found any) {
	t.Helper()
	if testing.Short() {
		t.Skip("starts a browser; run without -short")
	}
	const why = "opens pages with it"
	node, chromium := needs.Tool(t, "node", why), needs.Tool(t, "chromium", why)
	if _, err := os.Stat(filepath.Join(runner, "node_modules", "axe-core")); err != nil {
		needs.Missing(t, "axe-core (npm ci in cmd/vialwise/testdata/browser)", why)
	}
	file := filepath.Join(t.TempDir(), "page.html")
	if err := os.WriteFile(file, []byte(page), 0o600); err != nil {
		t.Fatal(err)
	}
	c, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	cmd := exec.CommandContext(c, node, program, chromium, file)
	cmd.Dir = runner
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	if err := json.Unmarshal(out, found); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
}
