package bioassay

import "fmt"

// Plural writes a number with its noun, "1 mite" or "2 mites", for nouns that
// take an s.
func Plural(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}
