package readability_test

import (
	"bufio"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"vialwise/bioassay/advice/readability"
)

const formulaTolerance = 0.05 // the published example is given to one decimal

// TestGrade: "The Australian platypus is seemingly a hybrid of a mammal and
// reptilian creature" has 24 syllables in 13 words and grade 11.3 (Wikipedia,
// Flesch-Kincaid readability tests).
func TestGrade(t *testing.T) {
	c := readability.Counts{Sentences: 1, Words: 13, Syllables: 24}
	if got := c.Grade(); math.Abs(got-11.3) > formulaTolerance {
		t.Errorf("grade %g, want 11.3", got)
	}
	if got := (readability.Counts{}).Grade(); got != 0 {
		t.Errorf("grade of nothing %g", got)
	}
}

// TestEase compares with a sum by hand: 10 sentences of 10 words with 200
// syllables give 206.84 - 120 - 10.2, and longer sentences are harder, which
// the formula as printed would deny.
func TestEase(t *testing.T) {
	got := readability.Counts{Sentences: 10, Words: 100, Syllables: 200}.Ease()
	if math.Abs(got-76.64) > 1e-9 {
		t.Errorf("ease %g, want 76.64", got)
	}
	if long := (readability.Counts{Sentences: 2, Words: 100, Syllables: 200}).Ease(); long >= got {
		t.Errorf("long sentences have ease %g, short ones %g", long, got)
	}
}

func TestCount(t *testing.T) {
	for _, c := range []struct {
		text string
		want readability.Counts
	}{
		{"", readability.Counts{}},
		{"Wash. Count the mites!", readability.Counts{Sentences: 2, Words: 4, Syllables: 4}},
		{"What we found\nYour mites die.", readability.Counts{Sentences: 2, Words: 6, Syllables: 6}},
		{"About 3.5 of 100 (group 3A); so: wait.", readability.Counts{Sentences: 1, Words: 9, Syllables: 13}},
		{"tau-fluvalinate ...", readability.Counts{Sentences: 1, Words: 1, Syllables: 5}},
		{"don't", readability.Counts{Sentences: 1, Words: 1, Syllables: 1}},
	} {
		if got := readability.CountEnglish(c.text); got != c.want {
			t.Errorf("%q: %+v, want %+v", c.text, got, c.want)
		}
	}
	if got, want := readability.CountSpanish("¿Murió? Sí, el 3 de abril."), (readability.Counts{Sentences: 2, Words: 6, Syllables: 8}); got != want {
		t.Errorf("Spanish: %+v, want %+v", got, want)
	}
}

// TestSyllables compares the counters with lists of words.
func TestSyllables(t *testing.T) {
	for file, syllables := range map[string]func(string) int{
		"testdata/syllables_en.txt": readability.SyllablesEnglish,
		"testdata/syllables_es.txt": readability.SyllablesSpanish,
	} {
		f, err := os.Open(file)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		n := 0
		for scan := bufio.NewScanner(f); scan.Scan(); {
			var word string
			var want int
			if strings.HasPrefix(scan.Text(), "#") {
				continue
			}
			if _, err := fmt.Sscan(scan.Text(), &word, &want); err != nil {
				t.Fatalf("%s: %q: %v", file, scan.Text(), err)
			}
			n++
			if got := syllables(word); got != want {
				t.Errorf("%s: %s has %d syllables, counted %d", file, word, want, got)
			}
		}
		if n < 200 {
			t.Errorf("%s holds only %d words", file, n)
		}
	}
}
