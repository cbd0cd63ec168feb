package main

import (
	"bytes"
	"encoding/csv"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"vialwise/bioassay/demo"
)

// TestNotesNameNoOther: the note of an apiary names no other, in either language and
// any format, and neither does what --explain adds.
func TestNotesNameNoOther(t *testing.T) {
	code := regexp.MustCompile(`\b[AB]\d\d\b`)
	for _, language := range demoLanguages {
		for _, extension := range []string{"txt", "html"} {
			w, notes := demoNotesOf(t, language)
			w.style.extension, w.explain = extension, extension == "txt"
			for _, n := range notes {
				raw, err := w.write(n)
				if err != nil {
					t.Fatal(err)
				}
				text := regexp.MustCompile(`base64,[A-Za-z0-9+/=]+`).ReplaceAllString(string(raw), "")
				for _, found := range code.FindAllString(text, -1) {
					if found != n.apiary {
						t.Errorf("the note of %s names %s", n.apiary, found)
					}
				}
				if !strings.Contains(text, n.apiary) {
					t.Errorf("the note of %s does not name it", n.apiary)
				}
			}
		}
	}
}

// TestNoteAloneAsInBatch: what a note says does not depend on how many are written
// with it.
func TestNoteAloneAsInBatch(t *testing.T) {
	w, notes := demoNotesOf(t, "en")
	w.explain = true // with the figures behind each statement
	batch := map[string]string{}
	for _, n := range notes {
		raw, err := w.write(n)
		if err != nil {
			t.Fatal(err)
		}
		batch[n.apiary] = string(raw)
	}
	folder := t.TempDir()
	inputs := map[string][]byte{
		"counts.csv": demo.ProgrammeCounts(), "apiaries.csv": demo.ProgrammeApiaries(), "programme.toml": demo.ProgrammeSettings(),
		"treatments.csv": demo.Treatments(), "hives.csv": demo.Hives(),
	}
	for name, raw := range inputs {
		if err := os.WriteFile(filepath.Join(folder, name), raw, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	t.Chdir(folder)
	for _, code := range []string{"A05", "B39"} {
		stdout, stderr, status := called("note", "--quiet", "--explain", "--apiary", code, "--date", demo.NoteDay, "--apiaries", "apiaries.csv", "--programme", "programme.toml",
			"--treatments", "treatments.csv", "--hives", "hives.csv", "counts.csv")
		if status != 0 || stdout != batch[code] {
			t.Errorf("%s: status %d, %s\nalone:\n%s\nin the batch:\n%s", code, status, stderr, stdout, batch[code])
		}
	}
}

func called(args ...string) (string, string, int) {
	var stdout, stderr bytes.Buffer
	status := run(args, strings.NewReader(""), &stdout, &stderr)
	return stdout.String(), stderr.String(), status
}

// TestNotesInBothLanguages: every apiary has the same statements in both languages.
func TestNotesInBothLanguages(t *testing.T) {
	rulesOf := func(language string) map[string]string {
		out := map[string]string{}
		_, notes := demoNotesOf(t, language)
		for _, n := range notes {
			var ids []string
			for _, section := range n.note.Sections {
				for _, st := range section.Statements {
					ids = append(ids, st.Rule)
				}
			}
			for _, st := range n.note.LeftOut { // one language may lack the room that another has
				ids = append(ids, st.Rule)
			}
			slices.Sort(ids)
			out[n.apiary] = strings.Join(ids, " ")
		}
		return out
	}
	english, spanish := rulesOf("en"), rulesOf("es")
	if !maps.Equal(english, spanish) {
		for _, code := range slices.Sorted(maps.Keys(english)) {
			if english[code] != spanish[code] {
				t.Errorf("%s: %s\n%s", code, english[code], spanish[code])
			}
		}
	}
}

// TestManyNotes writes 300 notes with their index twice: the same bytes, one page
// each, and files of their own for codes that differ in signs or case alone.
func TestManyNotes(t *testing.T) {
	w := demoNoteWriter(t, "pdf", "es")
	notes := manyNotes(t, w, 300)
	for i, code := range []string{"N/7", `N\7`, "n 7", "..", "Ñandú 1", "<b>", "=1+1", strings.Repeat("x", 300)} {
		notes[i].apiary = code
	}
	first, err := w.files(slices.Clone(notes), []string{"apiary Z: no mites"}, &progress{})
	if err != nil {
		t.Fatal(err)
	}
	second, err := w.files(slices.Clone(notes), []string{"apiary Z: no mites"}, &progress{})
	if err != nil {
		t.Fatal(err)
	}
	names := map[string]bool{}
	for i, a := range first {
		name := strings.ToLower(a.name)
		if names[name] || filepath.Base(a.name) != a.name || strings.ContainsAny(a.name, `/\:*?"<>|=`) {
			t.Errorf("file name %q", a.name)
		}
		names[name] = true
		if second[i].name != a.name || !bytes.Equal(second[i].data, a.data) {
			t.Errorf("%s differs the second time", a.name)
		}
		if strings.HasSuffix(a.name, ".pdf") && bytes.Count(a.data, []byte("/Type /Page\n")) != 1 {
			t.Errorf("%s is not one page", a.name)
		}
	}
	if len(first) != len(notes)+2 {
		t.Errorf("%d files", len(first))
	}
	table := string(first[len(notes)].data)
	rows, err := csv.NewReader(strings.NewReader(table)).ReadAll()
	if err != nil || !slices.Equal(rows[0], indexHeader) {
		t.Fatal(err, rows[0])
	}
	for _, r := range rows[1:] {
		if !names[strings.ToLower(strings.TrimPrefix(r[1], "'"))] || strings.HasPrefix(r[0], "=") {
			t.Errorf("row %q", r)
		}
	}
}

// TestThirdLanguageByFile: a catalogue is all that a further language takes, and one
// that lacks a message is refused with its name.
func TestThirdLanguageByFile(t *testing.T) {
	raw, err := os.ReadFile(filepath.Join("..", "..", "bioassay", "advice", "catalogue", "en.toml"))
	if err != nil {
		t.Fatal(err)
	}
	folder := t.TempDir()
	further := strings.NewReplacer(`language = "en"`, `language = "sv"`, "Follow the label. It is the law.", "LABEL").Replace(string(raw))
	for name, text := range map[string]string{"sv.toml": further, "half.toml": strings.Replace(further, "care-gear = ", "care-gaer = ", 1)} {
		if err := os.WriteFile(filepath.Join(folder, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.WriteFile(filepath.Join(folder, "counts.csv"), demo.ProgrammeCounts(), 0o600); err != nil {
		t.Fatal(err)
	}
	t.Chdir(folder)
	stdout, stderr, status := called("note", "--quiet", "--apiary", "A05", "--date", demo.NoteDay, "--language", "sv.toml", "--format", "html", "counts.csv")
	if status != 0 || !strings.Contains(stdout, `<html lang="sv">`) || !strings.Contains(stdout, "LABEL") {
		t.Errorf("status %d, %s", status, stderr)
	}
	_, stderr, status = called("note", "--quiet", "--apiary", "A05", "--date", demo.NoteDay, "--language", "half.toml", "counts.csv")
	if status != exitFailed || !strings.Contains(stderr, `message "care-gear" is missing`) {
		t.Errorf("status %d, %s", status, stderr)
	}
}
