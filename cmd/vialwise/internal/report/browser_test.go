package report

import (
	"context"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// runner is the folder of the program that opens reports in a browser. Its
// libraries are installed there with npm ci.
var runner = filepath.Join("..", "..", "testdata", "browser")

// missing skips a test that needs what is not there, unless the environment
// variable VIALWISE_REQUIRE_TOOLS is set, as CI sets it, where a skip would hide a
// missing check.
func missing(t *testing.T, what string) {
	t.Helper()
	if os.Getenv("VIALWISE_REQUIRE_TOOLS") != "" {
		t.Fatalf("%s is required here and not installed", what)
	}
	t.Skipf("%s is not installed; this test opens reports with it", what)
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

func openInBrowser(t *testing.T, page string) opened {
	t.Helper()
	node, chromium := needTool(t, "node"), needTool(t, "chromium")
	if _, err := os.Stat(filepath.Join(runner, "node_modules", "axe-core")); err != nil {
		missing(t, "axe-core (npm ci in cmd/vialwise/testdata/browser)")
	}
	file := filepath.Join(t.TempDir(), "report.html")
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
	var found opened
	if err := json.Unmarshal(out, &found); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	return found
}

// TestReportsInBrowser opens every kind of report: no accessibility violation in
// light and dark, on a wide and a narrow screen, no page wider than its screen, no
// request, and one printed page for each assay beside those of the summary and
// the methods.
func TestReportsInBrowser(t *testing.T) {
	if testing.Short() {
		t.Skip("starts a browser; run without -short")
	}
	needTool(t, "node")
	assays := demoAssays(t)[:9]
	c := comparisonsOf(t, assays)
	for _, k := range []struct {
		name, page string
		beside     int // pages beside those of sections, at most
	}{
		{"fit", fitPage(t, fitsOf(t, assays)), 4},
		{"compare", comparePage(t, c), 7},
		{"baseline", baselinePage(t, c), 4},
	} {
		found := openInBrowser(t, k.page)
		for _, list := range [][]string{found.Violations, found.Overflow, found.Requests} {
			for _, what := range list {
				t.Errorf("%s: %s", k.name, what)
			}
		}
		if found.Rules < 20 {
			t.Errorf("%s: only %d rules were passed", k.name, found.Rules)
		}
		sections := strings.Count(k.page, `<section class="part"`)
		if found.Pages < sections+2 || found.Pages > sections+k.beside {
			t.Errorf("%s: %d printed pages for %d sections", k.name, found.Pages, sections)
		}
	}
}

// TestBrowserFindsFaults breaks a page in the ways that the check must see.
func TestBrowserFindsFaults(t *testing.T) {
	if testing.Short() {
		t.Skip("starts a browser; run without -short")
	}
	needTool(t, "node")
	page := fitPage(t, fitsOf(t, demoAssays(t)[:1]))
	page = strings.Replace(page, `<html lang="en">`, "<html>", 1)
	page = strings.Replace(page, "<h1>", `<h1 style="width:3000px">`, 1)
	found := openInBrowser(t, page)
	if !strings.Contains(strings.Join(found.Violations, "\n"), "html-has-lang") || len(found.Overflow) == 0 {
		t.Errorf("a page without a language and 3000 pixels wide: %+v", found)
	}
}
