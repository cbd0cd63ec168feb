package report

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"vialwise/bioassay"
)

// pages are one of each kind of report, on the demo's data.
func pages(t *testing.T) map[string]string {
	c := comparisonsOf(t, demoAssays(t))
	return map[string]string{"fit": fitPage(t, fitsOf(t, demoAssays(t))), "compare": comparePage(t, c), "baseline": baselinePage(t, c)}
}

// TestPagesAreSound demands what a reader with a screen reader, without a network
// and without scripts needs of the elements of every report.
func TestPagesAreSound(t *testing.T) {
	for name, page := range pages(t) {
		t.Run(name, func(t *testing.T) {
			all := elements(t, page)
			checkLinks(t, all)
			checkHeadings(t, all)
			count := map[string]int{}
			for _, e := range all {
				count[e.name]++
				checkAttributes(t, e)
			}
			if count["script"] > 0 || count["link"] > 0 || count["img"] > 0 || count["h1"] != 1 || count["main"] != 1 {
				t.Errorf("elements %v", count)
			}
			if n := strings.Count(page, "<desc>"); count["svg"] == 0 || count["svg"] != n || count["svg"] != count["figure"] {
				t.Errorf("%d figures, %d drawings, %d with a description", count["figure"], count["svg"], n)
			}
			if n := strings.Count(page, "Invented data."); n < count["figure"] {
				t.Errorf("the mark stands %d times on a page of %d figures", n, count["figure"])
			}
		})
	}
}

// checkLinks demands ids that are unique and links that lead to them.
func checkLinks(t *testing.T, all []element) {
	t.Helper()
	ids := map[string]bool{}
	for _, e := range all {
		id := e.attributes["id"]
		if id != "" && ids[id] {
			t.Errorf("two elements have the id %s", id)
		}
		ids[id] = true
	}
	for _, e := range all {
		href, linked := e.attributes["href"]
		if target, ok := strings.CutPrefix(href, "#"); linked && (!ok || !ids[target]) {
			t.Errorf("the link %s leads nowhere", href)
		}
		if label := e.attributes["aria-labelledby"]; !ids[label] && label != "" {
			t.Errorf("<%s> is labelled by %s, which is not there", e.name, label)
		}
	}
}

// checkHeadings demands that no level is skipped.
func checkHeadings(t *testing.T, all []element) {
	t.Helper()
	level := 0
	for _, e := range all {
		n, err := strconv.Atoi(strings.TrimPrefix(e.name, "h"))
		if err != nil || len(e.name) != 2 {
			continue
		}
		if n > level+1 {
			t.Errorf("h%d follows h%d", n, level)
		}
		level = n
	}
}

func checkAttributes(t *testing.T, e element) {
	t.Helper()
	switch {
	case e.name == "th" && e.attributes["scope"] == "":
		t.Error("a header cell has no scope")
	case e.name == "html" && e.attributes["lang"] != "en":
		t.Error("the page does not state its language")
	case e.name == "svg" && e.attributes["role"] != "img":
		t.Error("a drawing is no image to a screen reader")
	}
	for attribute := range e.attributes {
		if attribute == "src" || strings.HasPrefix(attribute, "on") || attribute == "style" {
			t.Errorf("<%s> has the attribute %s", e.name, attribute)
		}
	}
}

// TestPagesAskNobody demands that nothing is fetched: the only addresses are names
// of namespaces.
func TestPagesAskNobody(t *testing.T) {
	font := regexp.MustCompile(`base64,[A-Za-z0-9+/=]*`)
	address := regexp.MustCompile(`(?i)(?:https?:)?//[a-z0-9.]+|@import|url\([^)]{0,20}`)
	for name, page := range pages(t) {
		for _, found := range address.FindAllString(font.ReplaceAllString(page, ""), -1) {
			if found != "http://www.w3.org" && !strings.HasPrefix(found, "url(data:font") {
				t.Errorf("%s: the page names %s", name, found)
			}
		}
	}
}

// TestPagesHoldEveryAssay looks for the name, the counts, the hash of the input and
// the references in the fit's report.
func TestPagesHoldEveryAssay(t *testing.T) {
	f := fitsOf(t, demoAssays(t))
	page := fitPage(t, f)
	for i, a := range f.Analyses {
		if !strings.Contains(page, `<h2 id="assay-`+strconv.Itoa(i+1)+`"><bdi>`+a.Assay.Name+"</bdi></h2>") {
			t.Errorf("%s has no section", a.Assay.Name)
		}
	}
	for _, want := range []string{f.Inputs[0].SHA256, "Fieller 1940", "Rule: ", "Cure: ", "74 assays", "discarded", "Finney, D. J. (1971)", "0/15, 0/12, 0/15 − 1, 0/13"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
}

// hostile are names that try to leave their place in a page.
var hostile = []string{
	`<script>alert(1)</script>`, `" onload="alert(2)`, `</title><h1>x`, `</style><script>`, `'><img src=x onerror=alert(3)>`,
	"right\u202Eto\u202Cleft", "שלום عالم", `{{.Version}}`, "&lt;b&gt;", "]]>", "javascript:alert(4)", strings.Repeat("Ωμέγα", 12),
}

// TestLeadCountsTheFile: the lead of a comparison counts every assay of the file and
// says which were not used; that of baselines says whose mites it counts.
func TestLeadCountsTheFile(t *testing.T) {
	all := demoAssays(t)
	c := comparisonsOf(t, all)
	n := len(c.Compared) + assaysOf(c.Baselines)
	c.Refused = []bioassay.Refusal{{Assay: all[0], Err: fmt.Errorf("%w: controls", bioassay.ErrDiscarded)}, {Assay: all[1], Err: bioassay.ErrNoBaseline}}
	for _, k := range []struct{ page, want string }{
		{comparePage(t, c), fmt.Sprintf("%d bioassays of varroa mites from counts.csv; of these 1 is discarded by the quality rules and 1 is not comparable.<", n+2)},
		{baselinePage(t, c), fmt.Sprintf("%d bioassays of susceptible varroa mites from counts.csv.<", assaysOf(c.Baselines))},
	} {
		if !strings.Contains(k.page, k.want) {
			t.Errorf("%q is not there", k.want)
		}
	}
}

// TestPagesEscapeNames gives the assays of the demo hostile names everywhere.
func TestPagesEscapeNames(t *testing.T) {
	assays := demoAssays(t)[:2*len(hostile)]
	for i := range assays {
		a := &assays[i]
		name := hostile[i%len(hostile)]
		a.Name, a.Population, a.Apiary = name+strconv.Itoa(i), name, name
		a.Containers = append([]bioassay.Container(nil), a.Containers...)
		a.Containers[0].Note, a.Containers[0].Label = name, name
		a.Containers[0].Source.File = name
		if i%2 == 0 && a.Role != bioassay.RoleBaseline {
			a.Unit = name
		}
	}
	for _, page := range []string{fitPage(t, fitsOf(t, assays)), comparePage(t, comparisonsOf(t, assays[:9]))} {
		for _, e := range elements(t, page) {
			if e.name == "script" || e.name == "img" || e.attributes["onload"] != "" {
				t.Fatalf("a name became the element %v", e)
			}
		}
		if strings.ContainsAny(page, "\u202A\u202B\u202D\u202E\u2066\u2067\u2068") {
			t.Error("a name can turn the text around that follows it")
		}
		if !strings.Contains(page, "&lt;script&gt;alert(1)&lt;/script&gt;") {
			t.Error("the name with a script in it is not shown")
		}
	}
}

// TestPagesRepeat demands the same bytes twice.
func TestPagesRepeat(t *testing.T) {
	first := pages(t)
	for name, page := range pages(t) {
		if page != first[name] {
			t.Errorf("%s: two runs differ", name)
		}
	}
}

// The budget of a report of 500 assays.
const (
	budgetTime  = 10 * time.Second
	budgetBytes = 15 << 20
)

// TestPageOfManyAssays holds a report of 500 assays to its budget, the fits
// included.
func TestPageOfManyAssays(t *testing.T) {
	if testing.Short() {
		t.Skip("a measurement of time means nothing under -short, as with the race detector")
	}
	assays := manyAssays(t, 500)
	start := time.Now()
	page := fitPage(t, fitsOf(t, assays))
	took := time.Since(start)
	t.Logf("500 assays: %v, %.1f MB", took.Round(time.Millisecond), float64(len(page))/1e6)
	if took > budgetTime || len(page) > budgetBytes {
		t.Errorf("500 assays took %v and %d bytes, of %v and %d", took, len(page), budgetTime, budgetBytes)
	}
}

// BenchmarkPage writes the report of the demo's fits.
func BenchmarkPage(b *testing.B) {
	f := fitsOf(b, demoAssays(b))
	for b.Loop() {
		b.SetBytes(int64(len(fitPage(b, f))))
	}
}
