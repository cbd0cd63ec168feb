package render

import (
	"bytes"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"vialwise/bioassay"
	"vialwise/doseresp"
)

func methodText(t *testing.T, m *Methods, format string) string {
	t.Helper()
	var b bytes.Buffer
	if err := WriteMethods(&b, m, format); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// fullMethods are those of a comparison with every option on.
func fullMethods() *Methods {
	m := (&Comparisons{
		Version: "9.8.7", Inputs: []Input{{"counts.csv", strings.Repeat("0a", 32)}},
		Options: bioassay.CompareOptions{Analysis: bioassay.AnalysisOptions{
			Fit:    doseresp.Options{Natural: doseresp.NaturalMortality{Mode: doseresp.AbbottCorrection}},
			Limits: bioassay.LimitSets{Profile: true, Posterior: true, Bootstrap: true}, Seed: 7, Replicates: 99,
		}},
	}).Methods()
	m.say(trackSentences()...)
	return m
}

// TestMethodsFollowTheOptions looks for the words of every choice.
func TestMethodsFollowTheOptions(t *testing.T) {
	type o = bioassay.AnalysisOptions
	for want, options := range map[string]o{
		"with a probit link on log10 dose (Finney 1971)":                  {},
		"with a complementary log-log link":                               {Fit: doseresp.Options{Link: doseresp.Cloglog}},
		"estimated jointly with the line wherever there were untreated":   {},
		"Natural mortality was taken as 0, and untreated containers were": {Fit: doseresp.Options{Natural: doseresp.NaturalMortality{Mode: doseresp.None}}},
		"fixed at 5 %.": {Fit: doseresp.Options{Natural: doseresp.NaturalMortality{Mode: doseresp.Fixed, Value: 0.05}}},
		"Abbott's formula before the fit (Abbott 1925)": {Fit: doseresp.Options{Natural: doseresp.NaturalMortality{Mode: doseresp.AbbottCorrection}}},
		"counted as alive":                               {Moribund: bioassay.MoribundAlive},
		"exceeded 1, the variances":                      {},
		"was significant (P < 0.15), the variances":      {Fit: doseresp.Options{Heterogeneity: doseresp.WhenSignificant}},
		"No heterogeneity factor was applied.":           {Fit: doseresp.Options{Heterogeneity: doseresp.Never}},
		"expected information matrix":                    {Fit: doseresp.Options{Information: doseresp.Expected}},
		"are 90 % fiducial limits (Fieller 1940)":        {Fit: doseresp.Options{Level: 0.9}},
		"slope lognormal with median 3 probits":          {Priors: &doseresp.Priors{SlopeMedian: 3}},
		"Profile likelihood limits (Venzon & Moolgavkar": {Limits: bioassay.LimitSets{Profile: true}},
		"rest on 99 replicates":                          {Limits: bioassay.LimitSets{Bootstrap: true}, Replicates: 99},
		"with seed 7;":                                   {Limits: bioassay.LimitSets{Bootstrap: true}, Seed: 7},
		"No random numbers were used.":                   {Limits: bioassay.LimitSets{Profile: true}, Seed: 7},
	} {
		text := strings.Join((&Fits{Version: "test", Options: options}).Methods().Paragraphs(), " ")
		if !strings.Contains(text, want) {
			t.Errorf("the methods do not say %q:\n%s", want, text)
		}
	}
	text := strings.Join(fullMethods().Paragraphs(), " ")
	for _, want := range []string{"Vialwise 9.8.7 (The Vialwise authors 2026)", "counts.csv (SHA-256 0a0a", "Zou & Donner 2008", "at least 2 times as high"} {
		if !strings.Contains(text, want) {
			t.Errorf("the methods of a comparison do not say %q", want)
		}
	}
	known := &bioassay.Baseline{BetweenSD: bioassay.Known(0.1), BetweenSource: "a survey"}
	text = strings.Join((&Baselines{Baselines: []*bioassay.Baseline{known}}).Methods().Paragraphs(), " ")
	if !strings.Contains(text, "taken as 0.1 (a survey)") || strings.Contains(text, "Paule") {
		t.Errorf("a variation that was given: %s", text)
	}
}

var (
	bibEntry = regexp.MustCompile(`(?m)^@(article|book|misc)\{([a-z0-9]+),\n((?:  [a-z]+ += \{.*\},\n)+)\}$`)
	bibField = regexp.MustCompile(`(?m)^  ([a-z]+) += \{(.*)\},$`)
	latexKey = regexp.MustCompile(`\\cite\{([^}]*)\}`)
)

// TestBibTeX reads the entries as BibTeX would: LaTeX cites no key that they lack,
// and each has the fields that its kind needs.
func TestBibTeX(t *testing.T) {
	text := methodText(t, fullMethods(), "bibtex")
	entries := bibEntry.FindAllStringSubmatch(text, -1)
	if len(entries) != strings.Count(text, "@") || len(entries) == 0 {
		t.Fatalf("%d of %d entries can be read", len(entries), strings.Count(text, "@"))
	}
	keys := map[string]bool{}
	for _, e := range entries {
		keys[e[2]] = true
		fields := map[string]string{}
		for _, f := range bibField.FindAllStringSubmatch(e[3], -1) {
			fields[f[1]] = f[2]
			if strings.Count(f[2], "{") != strings.Count(f[2], "}") || strings.ContainsAny(f[2], "%&#_$~^\\") || f[2] == "" {
				t.Errorf("%s: field %s = %q", e[2], f[1], f[2])
			}
		}
		need := map[string][]string{"article": {"author", "title", "journal", "volume", "pages", "year"}, "book": {"author", "title", "publisher", "year"}, "misc": {"author", "title", "howpublished", "year"}}
		for _, field := range need[e[1]] {
			if fields[field] == "" {
				t.Errorf("%s has no %s", e[2], field)
			}
		}
	}
	latex := methodText(t, fullMethods(), "latex")
	cites := latexKey.FindAllStringSubmatch(latex, -1)
	for _, c := range cites {
		for key := range strings.SplitSeq(c[1], ",") {
			if !keys[key] {
				t.Errorf("LaTeX cites %s, which BibTeX does not define", key)
			}
		}
	}
	if len(cites) < len(entries) || strings.Contains(latex, "[[") {
		t.Errorf("%d citations of %d works", len(cites), len(entries))
	}
}

// TestReferencesAreThoseOfTheCode looks for every work among the comments of the
// code, and demands that one cited there from memory says so here.
func TestReferencesAreThoseOfTheCode(t *testing.T) {
	root := filepath.Join("..", "..", "..", "..")
	var comments strings.Builder
	for _, folder := range []string{"doseresp", "bioassay", "plots"} {
		err := filepath.WalkDir(filepath.Join(root, folder), func(path string, entry fs.DirEntry, err error) error {
			if err != nil || filepath.Ext(path) != ".go" || strings.HasSuffix(path, "_test.go") {
				return err
			}
			raw, err := os.ReadFile(path)
			comments.Write(raw)
			comments.WriteString("\n\n")
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	code := regexp.MustCompile(`\s*\n\s*//\s*`).ReplaceAllString(comments.String(), " ")
	var keys []string
	for _, r := range references {
		keys = append(keys, r.Key)
		if r.Kind == "software" {
			continue
		}
		family, _, _ := strings.Cut(r.Authors[0], ",")
		cite := regexp.MustCompile(`\b` + family + `\b[^.;)]{0,40}?\(?` + strconv.Itoa(r.Year) + `[^)]*`)
		found := cite.FindAllString(code, -1)
		if len(found) == 0 {
			t.Errorf("no code cites %s", r.Short())
		}
		if r.Kind == "article" { // the citation that says where it stands counts
			found = slices.DeleteFunc(found, func(s string) bool { return !strings.Contains(s, r.Volume+":"+r.Pages) })
			if len(found) == 0 {
				t.Errorf("no code gives %s:%s for %s", r.Volume, r.Pages, r.Short())
			}
		}
		memory := slices.ContainsFunc(found, func(s string) bool { return strings.Contains(s, "from memory") })
		if memory != (r.Note == fromMemory) {
			t.Errorf("%s is cited from memory: %v, and the note is %q", r.Short(), memory, r.Note)
		}
	}
	if !slices.IsSorted(keys) {
		t.Errorf("the references are not in the order of the alphabet: %v", keys)
	}
	for _, key := range keys {
		if cited := citedIn(fullMethods().paragraphs); !slices.ContainsFunc(cited, func(r Reference) bool { return r.Key == key }) {
			t.Errorf("no method cites %s", key)
		}
	}
}

// TestSoftwareReference compares the entry of this program with its citation file.
func TestSoftwareReference(t *testing.T) {
	raw, err := os.ReadFile(filepath.Join("..", "..", "..", "..", "CITATION.cff"))
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(references, func(r Reference) bool { return r.Kind == "software" })
	r := references[i]
	for _, want := range []string{`title: "` + r.Title + `"`, `date-released: "` + strconv.Itoa(r.Year) + "-", `name: "` + strings.Trim(r.Authors[0], "{}") + `"`} {
		if !strings.Contains(string(raw), want) {
			t.Errorf("CITATION.cff does not say %s", want)
		}
	}
}

// TestMethodsFormats writes every format, and refuses another.
func TestMethodsFormats(t *testing.T) {
	for _, format := range MethodsFormats() {
		a, b := methodText(t, fullMethods(), format), methodText(t, fullMethods(), format)
		if a != b || !strings.Contains(a, "Fieller") && !strings.Contains(a, "fieller1940") {
			t.Errorf("%s: %s", format, a)
		}
	}
	if err := WriteMethods(&bytes.Buffer{}, fullMethods(), "json"); err == nil || !strings.Contains(err.Error(), "bibtex") {
		t.Errorf("format json: %v", err)
	}
}
