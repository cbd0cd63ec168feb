package readability

import "strings"

// SyllablesEnglish counts the syllables of an English word. English spelling
// does not tell them, so this is a rule of thumb with a list of exceptions:
//
//   - each run of the vowels a, e, i, o, u, y is one syllable;
//   - a final e is silent, but not in -le after a consonant;
//   - -ed is silent except after t and d, -es except after a hissing sound;
//   - the runs ia, io, iu, eo, ua, uo and ui after a consonant other than q and
//     g are two, except in -tion, -sion, -cial, -cious and their like.
//
// It is checked against a list that holds every word of the English catalogue.
func SyllablesEnglish(word string) int {
	return bySyllables(strings.ToLower(word), func(run []rune) int { return english(string(run)) })
}

// exceptions are words that the rules get wrong.
var exceptions = map[string]int{
	"acrinathrin": 4, "amitraz": 3, "something": 2, "sometimes": 2, "somewhere": 2, "elsewhere": 2,
	"sure": 1, "science": 2, "people": 2, "area": 3, "idea": 3, "being": 2, "doing": 2, "going": 2,
	"create": 2, "created": 3, "quiet": 2, "quietly": 3, "reliable": 4, "business": 2, "every": 2, "everything": 3,
	"fluvalinate": 4, "seriously": 4, "mosquito": 3, "mosquitoes": 3, "does": 1, "goes": 1, "shoes": 1,
	"whole": 1, "careful": 2, "carefully": 3, "therefore": 2, "someone": 2, "naive": 2,
	"build": 1, "building": 2, "built": 1, "guide": 1, "fruit": 1, "suit": 1, "juice": 1, "bruise": 1,
	"used": 1, "hundred": 2, "naked": 2, "wicked": 2, "apiary": 4, "apiaries": 4, "museum": 3,
	"poem": 2, "lion": 2, "diet": 2, "trial": 2,
}

func vowel(b byte) bool { return strings.IndexByte("aeiouy", b) >= 0 }

func english(w string) int {
	if n, ok := exceptions[w]; ok {
		return n
	}
	w = silentEnd(w)
	n := 0
	for i := 0; i < len(w); {
		if !vowel(w[i]) {
			i++
			continue
		}
		from := i
		for i < len(w) && vowel(w[i]) {
			i++
		}
		n++
		if split(w, from, i) {
			n++
		}
	}
	return max(1, n)
}

// silentEnd cuts an ending that is not spoken.
func silentEnd(w string) string {
	stem, letter := w, byte(0)
	cut := func(ending string) bool {
		s, ok := strings.CutSuffix(w, ending)
		if ok && len(s) > 1 {
			stem, letter = s, s[len(s)-1]
		}
		return ok && len(s) > 1
	}
	switch {
	case cut("ed"):
		if letter == 't' || letter == 'd' || vowel(letter) || letter == 'l' && !vowel(w[len(w)-4]) {
			return w
		}
	case cut("es"):
		hissing := strings.IndexByte("sxzcg", letter) >= 0 || strings.HasSuffix(stem, "ch") || strings.HasSuffix(stem, "sh")
		if hissing || vowel(letter) || letter == 'l' && !vowel(w[len(w)-4]) {
			return w
		}
	case cut("e"):
		if vowel(letter) || letter == 'l' && !vowel(w[len(w)-3]) {
			return w
		}
	case cut("ely") || cut("eless") || cut("ement") || cut("eful"): // safely, useless, movement, hopeful
		if !vowel(letter) {
			return stem + w[len(stem)+1:]
		}
		return w
	}
	return stem
}

// split reports that a run of vowels is two syllables.
func split(w string, from, to int) bool {
	run := w[from:to]
	before, after := byte(0), w[to:]
	if from > 0 {
		before = w[from-1]
	}
	switch {
	case len(run) < 2:
		return false
	case strings.HasPrefix(run, "io"), strings.HasPrefix(run, "ia"):
		soft := strings.IndexByte("tscgx", before) >= 0 && from > 1 // nation, special, vicious, region
		return !soft
	case strings.HasPrefix(run, "iu"), strings.HasPrefix(run, "eo"), strings.HasPrefix(run, "uo"), strings.HasPrefix(run, "ua"):
		return before != 'q' && before != 'g' && !strings.HasPrefix(after, "y")
	case run == "ie" && (after == "r" || after == "st") && from > 1: // easier, easiest
		return true
	case run == "yi" || run == "ayi" || run == "oyi" || run == "eyi" || run == "uyi": // trying, saying
		return true
	case run == "iei" || run == "eei" || run == "oei": // seeing
		return true
	}
	return false
}
