package notepage

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"vialwise/bioassay/advice"
	"vialwise/plots"
)

// runner is the folder of the program that opens pages in a browser. Its libraries
// are installed there with npm ci.
var runner = filepath.Join("..", "..", "testdata", "browser")

// missing skips a test that needs what is not there, unless the environment
// variable VIALWISE_REQUIRE_TOOLS is set, as CI sets it.
func missing(t *testing.T, what string) {
	t.Helper()
	if os.Getenv("VIALWISE_REQUIRE_TOOLS") != "" {
		t.Fatalf("%s is required here and not installed", what)
	}
	t.Skipf("%s is not installed; this test opens notes with it", what)
}

func needTool(t *testing.T, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		missing(t, name)
	}
	return path
}

// opened is what the browser found.
type opened struct {
	Violations, Overflow, Requests []string
	Pages, Rules                   int
}

func openInBrowser(t *testing.T, page string) (found opened) {
	t.Helper()
	if testing.Short() {
		t.Skip("starts a browser; run without -short")
	}
	node, chromium := needTool(t, "node"), needTool(t, "chromium")
	if _, err := os.Stat(filepath.Join(runner, "node_modules", "axe-core")); err != nil {
		missing(t, "axe-core (npm ci in cmd/vialwise/testdata/browser)")
	}
	file := filepath.Join(t.TempDir(), "note.html")
	if err := os.WriteFile(file, []byte(page), 0o600); err != nil {
		t.Fatal(err)
	}
	c, cancel := context.WithTimeout(context.Background(), 4*time.Minute)
	defer cancel()
	cmd := exec.CommandContext(c, node, "check.mjs", chromium, file)
	cmd.Dir = runner
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	if err := json.Unmarshal(out, &found); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	return found
}

// TestNotesInBrowser opens the fullest note in both languages: no accessibility
// violation in light and dark, on a wide and a narrow screen, no page wider than its
// screen, no request, and exactly one printed page of either paper.
func TestNotesInBrowser(t *testing.T) {
	pages := map[string]string{}
	for _, language := range advice.Languages() {
		pages[language+" a4"] = written(t, sample(t, language), plots.A4)
		pages[language+" letter"] = written(t, sample(t, language), plots.Letter)
	}
	var index bytes.Buffer
	if err := WriteIndex(&index, "2031-05-02", []Entry{{"A01", "note-A01.pdf", []string{"amitraz: unclear"}}}, []string{"apiary Z: not tested"}, "test", ""); err != nil {
		t.Fatal(err)
	}
	pages["index"] = index.String()
	for name, page := range pages {
		found := openInBrowser(t, page)
		for _, list := range [][]string{found.Violations, found.Overflow, found.Requests} {
			for _, what := range list {
				t.Errorf("%s: %s", name, what)
			}
		}
		if found.Rules < 12 || found.Pages != 1 {
			t.Errorf("%s: %d rules passed, %d printed pages", name, found.Rules, found.Pages)
		}
	}
}

// TestBrowserFindsFaults breaks a note in the ways that the check must see.
func TestBrowserFindsFaults(t *testing.T) {
	page := written(t, sample(t, "en"), plots.A4)
	page = strings.Replace(page, `<html lang="en">`, "<html>", 1)
	page = strings.Replace(page, "<h1>", `<h1 style="width:3000px;height:2000px">`, 1)
	found := openInBrowser(t, page)
	if !strings.Contains(strings.Join(found.Violations, "\n"), "html-has-lang") || len(found.Overflow) == 0 || found.Pages < 2 {
		t.Errorf("a page without a language, 3000 pixels wide and 2000 high: %+v", found)
	}
}
