package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"vialwise/bioassay/demo"
	"vialwise/internal/needs"
)

// mapOf runs map on the demo's programme, whose counts a function may change, and
// returns the files by name.
func mapOf(t *testing.T, change func(string) string, args ...string) (map[string][]byte, string, int) {
	t.Helper()
	folder := t.TempDir()
	t.Chdir(folder)
	for name, raw := range programmeInput() {
		if name == "counts.csv" && change != nil {
			raw = []byte(change(string(raw)))
		}
		if err := os.WriteFile(name, raw, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	var out, remarks bytes.Buffer
	status := run(append([]string{"map", "--apiaries", "apiaries.csv", "--land", "coast.geojson", "--programme", "programme.toml", "--season", "all", "--out", "map", "counts.csv"}, args...), strings.NewReader(""), &out, &remarks)
	files := map[string][]byte{}
	entries, _ := os.ReadDir("map")
	for _, e := range entries {
		raw, err := os.ReadFile(filepath.Join("map", e.Name()))
		if err != nil {
			t.Fatal(err)
		}
		files[e.Name()] = raw
	}
	return files, remarks.String(), status
}

// secrets are the codes and contacts of the demo's apiaries, and their places as
// latitude and longitude; one number by itself may stand anywhere.
func secrets(t *testing.T) (names []string, places [][2]string) {
	t.Helper()
	for i, line := range strings.Split(strings.TrimSpace(string(demo.ProgrammeApiaries())), "\n") {
		cells := strings.Split(line, ",")
		if i == 0 {
			continue
		}
		names = append(names, cells[0], cells[4])
		if cells[2] != "" {
			places = append(places, [2]string{cells[2], cells[3]})
		}
	}
	if len(names) < 100 || len(places) < 50 {
		t.Fatalf("%d names, %d places", len(names), len(places))
	}
	return names, places
}

func holdsWord(raw []byte, word string) bool {
	return regexp.MustCompile(`(^|[^A-Za-z0-9.])` + regexp.QuoteMeta(word) + `($|[^A-Za-z0-9])`).Match(raw)
}

// holdsPlace says that both numbers of a place stand near one another.
func holdsPlace(raw []byte, p [2]string) bool {
	lat, lon := regexp.QuoteMeta(p[0]), regexp.QuoteMeta(p[1])
	return bytes.Contains(raw, []byte(p[0])) && bytes.Contains(raw, []byte(p[1])) &&
		regexp.MustCompile(`(?s)(^|[^0-9.])(`+lat+`[^0-9].{0,20}`+lon+`|`+lon+`[^0-9].{0,20}`+lat+`)($|[^0-9])`).Match(raw)
}

// TestMapGivesNobodyAway searches all bytes of all files, and the text of the PDFs,
// for codes, contacts and exact coordinates; with --exact it finds them.
func TestMapGivesNobodyAway(t *testing.T) {
	names, places := secrets(t)
	files, remarks, status := mapOf(t, nil)
	if status != 0 || len(files) < 20 {
		t.Fatalf("status %d, %d files: %s", status, len(files), remarks)
	}
	for name, raw := range files {
		if strings.HasSuffix(name, ".pdf") {
			raw = pdfText(t, raw)
		}
		for _, secret := range names {
			if holdsWord(raw, secret) || holdsWord([]byte(name), secret) {
				t.Errorf("%s holds %q", name, secret)
			}
		}
		for _, p := range places {
			if holdsPlace(raw, p) {
				t.Errorf("%s holds the place %v", name, p)
			}
		}
	}
	exact, _, status := mapOf(t, nil, "--exact")
	found := 0
	for _, p := range places {
		if !holdsPlace(exact["exact-map.geojson"], p) {
			t.Fatalf("the search does not find the place %v where it is", p)
		}
	}
	for _, secret := range names {
		if holdsWord(exact["exact-map.geojson"], secret) {
			found++
		}
	}
	if status != 0 || found < 50 {
		t.Errorf("the search finds %d names where they are", found)
	}
	for name, raw := range exact {
		if strings.HasSuffix(name, ".pdf") {
			raw = pdfText(t, raw)
		}
		if !strings.HasPrefix(name, "exact-") || !bytes.Contains(bytes.ToLower(raw), []byte("not for sharing")) {
			t.Errorf("%s is not marked", name)
		}
	}
}

// pdfText is the text of a PDF, with its properties. Without poppler the bytes do.
func pdfText(t *testing.T, raw []byte) []byte {
	t.Helper()
	tool, err := exec.LookPath("pdftotext")
	if err != nil {
		if needs.Required() {
			t.Fatal("pdftotext is required here and not installed")
		}
		return append(raw, "not for sharing"...) // which only the text tells
	}
	cmd := exec.Command(tool, "-", "-")
	cmd.Stdin = bytes.NewReader(raw)
	text, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	return append(text, raw...)
}

// TestMapNamesNoBaseline: a baseline that is called by an assay of an apiary must
// not bring its code into a map.
func TestMapNamesNoBaseline(t *testing.T) {
	files, remarks, status := mapOf(t, func(counts string) string {
		var out strings.Builder
		for line := range strings.Lines(counts) {
			if strings.Contains(line, "reference colonies") && strings.Contains(line, ",amitraz,") {
				cells := strings.Split(line, ",")
				if cells[0] != firstBaseline(counts) {
					continue // one assay is left, and gives the baseline its name
				}
				cells[0] = "A05-ami-reference"
				line = strings.Join(cells, ",")
			}
			out.WriteString(line)
		}
		return out.String()
	})
	if status != 0 {
		t.Fatal(remarks)
	}
	for name, raw := range files {
		if bytes.Contains(raw, []byte("A05")) {
			t.Errorf("%s holds A05", name)
		}
	}
}

func firstBaseline(counts string) string {
	for line := range strings.Lines(counts) {
		if strings.Contains(line, "reference colonies") && strings.Contains(line, ",amitraz,") {
			return strings.Split(line, ",")[0]
		}
	}
	return ""
}

// TestMapRefusesALeak: whatever way a code came into a file, the map is not written.
func TestMapRefusesALeak(t *testing.T) {
	settings := string(demo.ProgrammeSettings())
	files, remarks, status := mapOf(t, nil, "--programme", writeTemp(t, strings.Replace(settings, "Ostrelaine coast (invented)", "round A05", 1)))
	if status != 1 || len(files) != 0 || !strings.Contains(remarks, `would hold "A05"`) {
		t.Errorf("status %d, %d files: %s", status, len(files), remarks)
	}
}

func writeTemp(t *testing.T, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), fmt.Sprint("programme", len(text), ".toml"))
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}
