package main

import "testing"

// TestNamed: a name is found as a whole, whatever stands around it that is no
// letter or number, and nowhere within another word.
func TestNamed(t *testing.T) {
	for _, c := range []struct {
		text, name string
		found      bool
	}{
		{"A1", "A1", true},
		{"at A1.", "A1", true},
		{"A11, BA1, éA1, A1²", "A1", false},
		{"A1<b>", "A1", true},
		{"see A-1/b now", "A-1/b", true},
		{"see A-1 /b now", "A-1/b", false},
		{"see xA-1/b", "A-1/b", false},
		{"yard 7", "yard 7", true},
		{"7 yard", "yard 7", false},
		{"Höhe3!", "Höhe3", true},
		{"q (A1) q", "(A1)", true},
		{"q(A1) q", "(A1)", false},
		{"", "A1", false},
	} {
		if name, ok := named([]byte(c.text), []string{"Z9", c.name}); ok != c.found || ok && name != c.name {
			t.Errorf("%q in %q: %v", c.name, c.text, ok)
		}
	}
}
