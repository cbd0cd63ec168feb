package advice

import (
	"flag"
	"os"
	"path/filepath"
	"testing"
)

var update = flag.Bool("update", false, "write the kept notes anew")

// TestGolden compares the notes of the named cases with those that were read
// aloud and kept.
func TestGolden(t *testing.T) {
	for name, c := range cases() {
		for _, language := range Languages() {
			c.Context.Language = language
			note, err := Write(c.Findings, c.Context)
			if err != nil {
				t.Fatal(err)
			}
			file := filepath.Join("testdata", "notes", name+"."+language+".txt")
			if *update {
				if err := os.WriteFile(file, []byte(note.Text()), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			if got := note.Text(); got != string(want) {
				t.Errorf("%s differs:\n%s", file, got)
			}
		}
	}
}
