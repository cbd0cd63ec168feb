package plots

import "testing"

func TestPrintable(t *testing.T) {
	for s, want := range map[string]string{
		"Apiary 14 µg/vial": "Apiary 14 µg/vial",
		greek60:             greek60,
		"Ά":                 "Ά",       // composed
		"Ḁ and ǟ":           "Ḁ and ǟ", // the font has them
		"Ꙙ":                 "[A658]",  // an old Cyrillic letter
		"①":                 "1",       // decomposed
		"瓦螨 14":             "[74E6 87A8] 14",
		"a\u200db\ufe0f":    "ab",      // joiner and variation selector
		"\u202eabc":         "abc",     // no override of the direction
		"a\xffb":            "a?b",     // not UTF-8
		"😀":                 "[1F600]", // beyond 16 bits
	} {
		if got := printable(s); got != want {
			t.Errorf("%q is printed %q, want %q", s, got, want)
		}
	}
}

// Hebrew is read from the right, the number in it from the left (Unicode
// Standard Annex 9).
func TestVisualOrder(t *testing.T) {
	for s, want := range map[string]string{
		"Apiary 14":      "Apiary 14",
		"\u05d0\u05d1":   "\u05d1\u05d0",
		"A \u05d0\u05d1": "A \u05d1\u05d0",
		"":               "",
	} {
		if got := visual(s); got != want {
			t.Errorf("%q is seen as %q, want %q", s, got, want)
		}
	}
}
