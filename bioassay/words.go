package bioassay

import (
	"fmt"
	"strings"
)

// Plural writes a number with its noun, "1 mite" or "2 mites", for nouns that
// take an s, or ies for a y after a consonant.
func Plural(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	if stem, ok := strings.CutSuffix(noun, "y"); ok && !strings.HasSuffix(stem, "a") && !strings.HasSuffix(stem, "e") && !strings.HasSuffix(stem, "o") {
		return fmt.Sprintf("%d %sies", n, stem)
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

// Listed joins words as a sentence does, "a, b and c".
func Listed(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}
