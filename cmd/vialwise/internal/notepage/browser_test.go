package notepage

import (
	"bytes"
	"strings"
	"testing"

	"vialwise/bioassay/advice"
	"vialwise/cmd/vialwise/internal/browser"
	"vialwise/plots"
)

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
		found := browser.Check(t, page)
		for _, what := range found.All() {
			t.Errorf("%s: %s", name, what)
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
	found := browser.Check(t, page)
	if !strings.Contains(strings.Join(found.Violations, "\n"), "html-has-lang") || len(found.Overflow) == 0 || found.Pages < 2 {
		t.Errorf("a page without a language, 3000 pixels wide and 2000 high: %+v", found)
	}
}
