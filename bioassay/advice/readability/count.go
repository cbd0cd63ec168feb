package readability

import (
	"strings"
	"unicode"
)

// count counts a text. A sentence ends at a full stop, question or exclamation
// mark before a space, and at the end of a line; what holds no word is none. A
// colon or semicolon ends no sentence.
func count(text string, syllables func(word string) int) Counts {
	var c Counts
	for _, sentence := range sentences(text) {
		words := Words(sentence)
		if len(words) > 0 {
			c.Sentences++
		}
		c.Words += len(words)
		for _, w := range words {
			c.Syllables += syllables(w)
		}
	}
	return c
}

func sentences(text string) []string {
	var out []string
	runes, from := []rune(text), 0
	for i, r := range runes {
		end := r == '\n' || strings.ContainsRune(".!?", r) && (i+1 == len(runes) || unicode.IsSpace(runes[i+1]))
		if end {
			out = append(out, string(runes[from:i+1]))
			from = i + 1
		}
	}
	return append(out, string(runes[from:]))
}

// Words returns the words of a text in small letters: letters and digits, with
// hyphens and apostrophes inside. A whole number is a word, a decimal one two.
func Words(text string) []string {
	inside := func(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) }
	fields := strings.FieldsFunc(strings.ToLower(text), func(r rune) bool {
		return !inside(r) && r != '-' && r != '\'' && r != '’'
	})
	var out []string
	for _, f := range fields {
		if f = strings.TrimFunc(f, func(r rune) bool { return !inside(r) }); f != "" {
			out = append(out, f)
		}
	}
	return out
}

// bySyllables sums over the parts of a word: a digit counts as one syllable, a
// run of letters by its language.
func bySyllables(word string, letters func(run []rune) int) int {
	n := 0
	var run []rune
	flush := func() {
		if len(run) > 0 {
			n += max(1, letters(run))
			run = nil
		}
	}
	for _, r := range word {
		switch {
		case unicode.IsDigit(r):
			flush()
			n++
		case unicode.IsLetter(r):
			run = append(run, r)
		case r != '\'' && r != '’':
			flush()
		}
	}
	flush()
	return max(1, n)
}
