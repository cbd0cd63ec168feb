package mappage

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

// runner is the folder of the programs that open pages in a browser. Their
// libraries are installed there with npm ci.
var runner = filepath.Join("..", "..", "testdata", "browser")

// missing skips a test that needs what is not there, unless the environment
// variable VIALWISE_REQUIRE_TOOLS is set, as CI sets it.
func missing(t *testing.T, what string) {
	t.Helper()
	if os.Getenv("VIALWISE_REQUIRE_TOOLS") != "" {
		t.Fatalf("%s is required here and not installed", what)
	}
	t.Skipf("%s is not installed; this test opens maps with it", what)
}

func needTool(t *testing.T, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		missing(t, name)
	}
	return path
}

// open runs one of the programs on a page and reads what it found.
func open(t *testing.T, program, page string, found any) {
	t.Helper()
	if testing.Short() {
		t.Skip("starts a browser; run without -short")
	}
	node, chromium := needTool(t, "node"), needTool(t, "chromium")
	if _, err := os.Stat(filepath.Join(runner, "node_modules", "axe-core")); err != nil {
		missing(t, "axe-core (npm ci in cmd/vialwise/testdata/browser)")
	}
	file := filepath.Join(t.TempDir(), "map.html")
	if err := os.WriteFile(file, []byte(page), 0o600); err != nil {
		t.Fatal(err)
	}
	c, cancel := context.WithTimeout(context.Background(), 4*time.Minute)
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

// TestMapInBrowser finds no accessibility violation in light and dark, on a wide
// and a narrow screen, no page wider than its screen and no request.
func TestMapInBrowser(t *testing.T) {
	for name, p := range map[string]*Page{"shared": samplePage(9), "exact": exact(samplePage(9))} {
		var found struct {
			Violations, Overflow, Requests []string
			Pages, Rules                   int
		}
		open(t, "check.mjs", written(t, p), &found)
		for _, list := range [][]string{found.Violations, found.Overflow, found.Requests} {
			for _, what := range list {
				t.Errorf("%s: %s", name, what)
			}
		}
		if found.Rules < 20 || found.Pages < 1 || found.Pages > 3 {
			t.Errorf("%s: %d rules passed, %d printed pages", name, found.Rules, found.Pages)
		}
	}
}

func exact(p *Page) *Page {
	p.NotForSharing, p.Points = true, []Point{{5, 5, "A01"}}
	return p
}

// step is the page after a key.
type step struct {
	Key, Title, Caption, Told, About, Focus, Value string
	Rows, Shown                                    int
}

// worked is what a browser found that worked a map by keyboard.
type worked struct {
	Ready, Change int // ms
	Steps         []step
	Errors        []string
	Static        struct {
		Rows, Shown int
		Title       string
		Controls    bool
	}
	Click string
}

// TestMapByKeyboard changes acaricide, season and area with keys alone, and
// holds the map, the table and the words to one another after each.
func TestMapByKeyboard(t *testing.T) {
	p := samplePage(9)
	var found worked
	open(t, "map.mjs", written(t, p), &found)
	if len(found.Errors) > 0 {
		t.Fatal(found.Errors)
	}
	if found.Static.Controls || found.Static.Rows != len(p.Facts[0][2]) || found.Static.Shown != found.Static.Rows {
		t.Errorf("without scripts: %+v", found.Static)
	}
	titles := []string{ // after each key
		"amitraz, 2032-spring", "amitraz, 2032-spring", "amitraz, 2032-spring", "tau-fluvalinate <b>, 2032-spring", "tau-fluvalinate <b>, 2032-spring",
		"tau-fluvalinate <b>, 2031-autumn", "tau-fluvalinate <b>, 2031-spring", "tau-fluvalinate <b>, 2032-spring", "tau-fluvalinate <b>, 2032-spring", "tau-fluvalinate <b>, 2032-spring",
	}
	if len(found.Steps) != len(titles) {
		t.Fatalf("%d steps", len(found.Steps))
	}
	for i, s := range found.Steps {
		if s.Title != titles[i] || s.Caption != s.Title || s.Rows != s.Shown || !strings.HasSuffix(s.Title, s.Value) {
			t.Errorf("step %d: %+v, want %s", i, s, titles[i])
		}
	}
	if last := found.Steps[len(found.Steps)-1]; !strings.Contains(last.About, "Mean ratio") && !strings.Contains(last.About, "nothing is told") {
		t.Errorf("an area chosen by keyboard tells %q", last.About)
	}
	if found.Click == "" {
		t.Error("a click on the map tells nothing")
	}
}

// Limits of a large map, in bytes and milliseconds.
const (
	mostBytes = 10_000_000
	mostReady = 2000
)

// TestLargeMapIsQuick opens the map of a large programme: 1,250 areas, 4
// acaricides, 12 seasons.
func TestLargeMapIsQuick(t *testing.T) {
	p := samplePage(1250)
	for len(p.Acaricides) < 4 {
		p.Acaricides, p.Baselines, p.Facts = append(p.Acaricides, "another"), append(p.Baselines, "its baseline"), append(p.Facts, p.Facts[0])
	}
	for len(p.Seasons) < 12 {
		p.Seasons = append(p.Seasons, "a further season")
		for a := range p.Facts {
			p.Facts[a] = append(p.Facts[a][:len(p.Facts[a]):len(p.Facts[a])], p.Facts[a][0])
		}
	}
	page := written(t, p)
	if len(page) > mostBytes {
		t.Errorf("%d bytes", len(page))
	}
	var found worked
	open(t, "map.mjs", page, &found)
	t.Logf("%d bytes, ready in %d ms, slowest change %d ms", len(page), found.Ready, found.Change)
	if found.Ready > mostReady || found.Change > mostReady {
		t.Errorf("ready in %d ms, slowest change %d ms", found.Ready, found.Change)
	}
}
