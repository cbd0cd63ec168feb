package mappage

import (
	"strings"
	"testing"

	"vialwise/cmd/vialwise/internal/browser"
)

// TestMapInBrowser finds no accessibility violation in light and dark, on a wide
// and a narrow screen, no page wider than its screen and no request.
func TestMapInBrowser(t *testing.T) {
	for name, p := range map[string]*Page{"shared": samplePage(9), "exact": exact(samplePage(9))} {
		found := browser.Check(t, written(t, p))
		for _, what := range found.All() {
			t.Errorf("%s: %s", name, what)
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
	Rows, Shown, Numbers                           int
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
	Click   string
	Caption float64 // px beyond a window of 500
}

// TestMapByKeyboard changes acaricide, season and area with keys alone, and
// holds the map, the table and the words to one another after each.
func TestMapByKeyboard(t *testing.T) {
	p := samplePage(9)
	var found worked
	browser.Open(t, "map.mjs", written(t, p), &found)
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
		if s.Title != titles[i] || s.Caption != s.Title || s.Rows != s.Shown || s.Numbers != s.Shown || !strings.HasSuffix(s.Title, s.Value) {
			t.Errorf("step %d: %+v, want %s", i, s, titles[i])
		}
	}
	if last := found.Steps[len(found.Steps)-1]; !strings.Contains(last.About, "Mean ratio") && !strings.Contains(last.About, "nothing is told") {
		t.Errorf("an area chosen by keyboard tells %q", last.About)
	}
	if found.Caption > 0 {
		t.Errorf("the caption of the table reaches %g px out of a narrow window", found.Caption)
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
	browser.Open(t, "map.mjs", page, &found)
	t.Logf("%d bytes, ready in %d ms, slowest change %d ms", len(page), found.Ready, found.Change)
	if found.Ready > mostReady || found.Change > mostReady {
		t.Errorf("ready in %d ms, slowest change %d ms", found.Ready, found.Change)
	}
}
