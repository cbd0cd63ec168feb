package report

import (
	"bytes"
	"os/exec"
	"strings"
	"testing"

	"vialwise/cmd/vialwise/internal/browser"
	"vialwise/internal/needs"
)

// TestReportsInBrowser opens every kind of report: no accessibility violation in
// light and dark, on a wide and a narrow screen, no page wider than its screen, no
// request, and one printed page for each assay beside those of the summary and
// the methods.
func TestReportsInBrowser(t *testing.T) {
	if testing.Short() {
		t.Skip("starts a browser; run without -short")
	}
	needs.Tool(t, "node", "opens pages with it")
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
		found := browser.Check(t, k.page)
		for _, what := range found.All() {
			t.Errorf("%s: %s", k.name, what)
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

// TestPrintKeepsTablesTogether prints a report on paper of several heights: no page
// ends with the title or the header of a table, whose rows stand on the next.
func TestPrintKeepsTablesTogether(t *testing.T) {
	if testing.Short() {
		t.Skip("starts a browser; run without -short")
	}
	reader := needs.Tool(t, "pdftotext", "reads what was printed with it")
	c := comparisonsOf(t, demoAssays(t))
	heads := map[string]string{} // how lines begin that may not end a page
	for _, table := range c.Tables() {
		heads[table.Title], heads[table.Header[0]+" "+table.Header[1]] = "title", "header"
	}
	delete(heads, "")
	var found struct{ PDFs [][]byte }
	browser.Open(t, "print.mjs", comparePage(t, c), &found)
	pages := 0
	for i, pdf := range found.PDFs {
		cmd := exec.Command(reader, "-layout", "-", "-")
		cmd.Stdin = bytes.NewReader(pdf)
		text, err := cmd.Output()
		if err != nil {
			t.Fatal(err)
		}
		for n, sheet := range strings.Split(string(text), "\f") {
			pages++
			lines := strings.Split(strings.TrimSpace(sheet), "\n")
			for _, line := range lines[max(0, len(lines)-2):] {
				for head, what := range heads {
					if strings.HasPrefix(strings.Join(strings.Fields(line), " "), head) {
						t.Errorf("paper %d, page %d ends with the %s of a table: %s", i+1, n+1, what, line)
					}
				}
			}
		}
	}
	if len(found.PDFs) < 5 || pages < 5*len(c.Compared) {
		t.Errorf("%d pages of %d prints", pages, len(found.PDFs))
	}
}

// TestBrowserFindsFaults breaks a page in the ways that the check must see.
func TestBrowserFindsFaults(t *testing.T) {
	if testing.Short() {
		t.Skip("starts a browser; run without -short")
	}
	needs.Tool(t, "node", "opens pages with it")
	page := fitPage(t, fitsOf(t, demoAssays(t)[:1]))
	page = strings.Replace(page, `<html lang="en">`, "<html>", 1)
	page = strings.Replace(page, "<h1>", `<h1 style="width:3000px">`, 1)
	found := browser.Check(t, page)
	if !strings.Contains(strings.Join(found.Violations, "\n"), "html-has-lang") || len(found.Overflow) == 0 {
		t.Errorf("a page without a language and 3000 pixels wide: %+v", found)
	}
}
