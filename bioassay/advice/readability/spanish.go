package readability

import "strings"

// SyllablesSpanish counts the syllables of a Spanish word by the rules of its
// spelling (Real Academia Española, Ortografía, 2010, from memory): a syllable
// holds one vowel a, e or o, or an í or ú, or else the i and u between
// consonants; an i or u without accent joins the vowel beside it, and an h
// between vowels does not part them. The u of que, qui, gue and gui is silent;
// y is a vowel at the end of a word and alone.
func SyllablesSpanish(word string) int {
	return bySyllables(strings.ToLower(word), spanish)
}

func spanish(run []rune) int {
	n := 0
	strong, weak := 0, 0 // in the present run of vowels
	var previous rune
	flush := func() {
		if strong+weak > 0 {
			n += max(1, strong)
		}
		strong, weak = 0, 0
	}
	for i, r := range run {
		next := func(set string) bool { return i+1 < len(run) && strings.ContainsRune(set, run[i+1]) }
		switch {
		case strings.ContainsRune("aeoáéóíú", r):
			strong++
		case r == 'u' && strings.ContainsRune("qg", previous) && next("eiéí"):
		case r == 'i' && previous == 'i':
			flush()
			weak++
		case strings.ContainsRune("iuü", r), r == 'y' && i == len(run)-1:
			weak++
		case r == 'h' && previous != 'c':
		default:
			flush()
		}
		previous = r
	}
	flush()
	return n
}
