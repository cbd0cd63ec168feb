package advice

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"vialwise/bioassay/advice/readability"
	"vialwise/bioassay/rules"
)

func catalogueText(t *testing.T, language string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("catalogue", language+".toml"))
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// TestCataloguesComplete reads every catalogue file anew, so that a missing
// message is a failing test with its name.
func TestCataloguesComplete(t *testing.T) {
	for _, language := range Languages() {
		if _, err := ReadCatalogue(language, []byte(catalogueText(t, language))); err != nil {
			t.Error(err)
		}
	}
	if got := strings.Join(Languages(), " "); got != "en es" {
		t.Errorf("languages %s", got)
	}
}

// TestSourcesTranslated: whatever rule set of the program a note can name has its
// source and the animals that it was made for in every catalogue.
func TestSourcesTranslated(t *testing.T) {
	n := 0
	for _, language := range Languages() {
		c, err := CatalogueOf(language)
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range rules.Builtin().RuleSets {
			if r.Classes == nil && r.Ratios == nil {
				continue
			}
			n++
			if c.sources[r.Source] == "" || r.Borrowed != "" && c.animals[r.Borrowed] == "" {
				t.Errorf("%s has no words for %q or %q of rule set %s", language, r.Source, r.Borrowed, r.Name)
			}
		}
	}
	if n < 4 {
		t.Errorf("%d rule sets", n)
	}
}

// TestSmallPrintSpeaksOneLanguage: the Spanish note holds no English source.
func TestSmallPrintSpeaksOneLanguage(t *testing.T) {
	c, err := CatalogueOf("es")
	if err != nil {
		t.Fatal(err)
	}
	got := c.word(bases{{Name: "fold-bands", Source: "WHO, from memory", Borrowed: "mosquitoes"}, {Name: "own", Source: "encuesta propia"}}) + " " + c.word(source(GroupSource()))
	if want := "fold-bands (OMS, de memoria; hecha para mosquitos); own (encuesta propia) clasificación de los modos de acción de IRAC, de memoria"; got != want {
		t.Errorf("%q", got)
	}
	many := bases{{Name: "a", Source: "x"}, {Name: "b", Source: "x"}, {Name: "c", Source: "x"}, {Name: "d", Source: "x"}}
	if got := c.word(many); got != "a (x); b (x); c (x); …" {
		t.Errorf("%q", got)
	}
}

// TestSentences holds the sentences to their form: each ends like a sentence,
// and none begins with a name, which would be written small.
func TestSentences(t *testing.T) {
	sentence := regexp.MustCompile(`(?m)^(found|field|sure|do|dont|care|next)-[a-z-]+ = (.*)$`)
	quoted := regexp.MustCompile(`"([^"]+)"`)
	for _, language := range Languages() {
		for _, m := range sentence.FindAllStringSubmatch(catalogueText(t, language), -1) {
			for _, q := range quoted.FindAllStringSubmatch(m[2], -1) {
				if !strings.HasSuffix(q[1], ".") && !strings.HasSuffix(q[1], "?") || strings.HasPrefix(q[1], "{") || strings.Contains(q[1], "—") {
					t.Errorf("%s: %s", language, q[1])
				}
			}
		}
	}
}

// TestNoStatisticsWords keeps the words of the trade off the page.
func TestNoStatisticsWords(t *testing.T) {
	words := regexp.MustCompile(`(?i)\b(LC50|probit|ratio|interval|confidence|significant|limits?|posterior|baseline|mortality|razón|intervalo|confianza|significativo|mortalidad|probabilidad|estadístic\w+)\b`)
	for _, language := range Languages() {
		text := catalogueText(t, language)
		if found := words.FindString(text[strings.Index(text, "[messages]"):]); found != "" {
			t.Errorf("%s holds %q", language, found)
		}
	}
}

// TestWordsCounted demands that the lists that the syllable counters are
// checked against hold every word of the catalogues but for the sources, which stand
// in the small print alone.
func TestWordsCounted(t *testing.T) {
	value, hole := regexp.MustCompile(`"([^"]*)"`), regexp.MustCompile(`\{[^}]*\}`)
	for _, language := range Languages() {
		list, err := os.ReadFile("readability/testdata/syllables_" + language + ".txt")
		if err != nil {
			t.Fatal(err)
		}
		_, text, _ := strings.Cut(catalogueText(t, language), "[dates]")
		text, citations, _ := strings.Cut(text, "[sources]")
		text += citations[strings.Index(citations, "[messages]"):]
		for line := range strings.Lines(text) {
			_, right, _ := strings.Cut(line, "=")
			for _, m := range value.FindAllStringSubmatch(right, -1) {
				for _, word := range readability.Words(hole.ReplaceAllString(m[1], " ")) {
					if !strings.Contains(string(list), "\n"+word+" ") {
						t.Errorf("%s: %s is not in the list; add it with its syllables", language, word)
					}
				}
			}
		}
	}
}

func TestReadCatalogueRefuses(t *testing.T) {
	english := catalogueText(t, "en")
	for _, c := range []struct{ name, old, new, want string }{
		{"missing message", "care-label = ", "care-lable = ", `message "care-label" is missing`},
		{"unknown message", "care-label = ", "care-lable = ", `message "care-lable" is not known here`},
		{"missing placeholder", "Your mites still die of {list}.", "Your mites still die.", "placeholder {list} is missing"},
		{"unknown placeholder", "Follow the label.", "Follow the {label}.", "placeholder {label} is not known here"},
		{"blank", `"Follow the label. It is the law."`, `" "`, "the text is blank"},
		{"no other", `other = "Test:`, `many = "Test:`, `no form "other"`},
		{"wrong form", `one = "Test:`, `first = "Test:`, `"first" is no text under one of`},
		{"missing heading", `care = "Take care"`, "", `headings: "care" is missing`},
		{"missing active", `amitraz = "amitraz"`, "", `actives: "amitraz" is missing`},
		{"months", `"December"]`, `]`, "found 11 names"},
		{"language", `language = "en"`, `language = "?"`, `found "?"`},
		{"list", `nor = " or "`, `nor = ""`, "list needs"},
		{"missing source", `"IRAC mode of action classification, from memory" = "IRAC`, `"IRAC" = "IRAC`, `sources: "IRAC mode of action classification, from memory" is missing`},
		{"unknown table", "[animals]", "[beasts]", "beasts is not known here"},
		{"not TOML", "[animals]", "[animals", "toml"},
	} {
		if !strings.Contains(english, c.old) {
			t.Fatalf("%s: the catalogue does not hold %q", c.name, c.old)
		}
		_, err := ReadCatalogue("third.toml", []byte(strings.Replace(english, c.old, c.new, 1)))
		if err == nil || !strings.Contains(err.Error(), c.want) || !strings.HasPrefix(err.Error(), "third.toml: ") {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

// TestThirdLanguage takes a language from a file alone, with the plural forms
// of Polish, which has "few" for 2 to 4 and "many" for 5 (CLDR).
func TestThirdLanguage(t *testing.T) {
	text := strings.NewReplacer(
		`language = "en"`, `language = "pl"`,
		`do-send = "Please send us {n} more live mites to test {list} again."`,
		`do-send = { few = "few {n} {list}", many = "many {n} {list}", other = "other {n} {list}" }`,
		`found-all = "We tested {n}, and none works as it should. Talk to us before you treat."`,
		`found-all = { few = "few {n}", many = "many {n}", other = "other {n}" }`,
	).Replace(catalogueText(t, "en"))
	third, err := ReadCatalogue("pl.toml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]string{"failed": "many 80 amitraz", "everything": "few 4"} {
		c := cases()[name]
		c.Context.Language, c.Context.Catalogue = "", third
		note, err := Write(c.Findings, c.Context)
		if err != nil || !strings.Contains(note.Text(), want) || note.Language != "pl" {
			t.Errorf("%s: %v\n%s", name, err, note.Text())
		}
	}
}

func TestCatalogueOf(t *testing.T) {
	for name, want := range map[string]string{"en": "en", "es-AR": "es", "en-Latn-GB": "en"} {
		if c, err := CatalogueOf(name); err != nil || c.Language != want {
			t.Errorf("%s: %v", name, err)
		}
	}
	for _, name := range []string{"", "fr", "e", "-"} {
		if _, err := CatalogueOf(name); err == nil || !strings.Contains(err.Error(), "en, es") {
			t.Errorf("%q: %v", name, err)
		}
	}
}
