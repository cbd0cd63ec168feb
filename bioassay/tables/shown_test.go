package tables

import (
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"
)

// checkPrintable refuses what a terminal would act on.
func checkPrintable(t testing.TB, line string) {
	t.Helper()
	if !utf8.ValidString(line) {
		t.Errorf("not UTF-8: %q", line)
	}
	for _, r := range line {
		if !strconv.IsPrint(r) {
			t.Errorf("%U in %q", r, line)
		}
	}
}

// Windows-1252 by hand from the encoding standard of the WHATWG: 80 is the
// euro, 9F Ÿ, A0 to FF as in ISO 8859-1, and 81 has no character.
func TestShownCell(t *testing.T) {
	for _, c := range []struct{ cell, want string }{
		{"Bâle", `"Bâle"`},
		{"B\xe2le", `"B?le" (byte E2; "Bâle" in Windows-1252)`},
		{"Gr\xf6\xdfe", `"Gr??e" (bytes F6, DF; "Größe" in Windows-1252)`},
		{"\xe4\xe4", `"??" (byte E4; "ää" in Windows-1252)`},
		{"\x80 \x9f \xff", `"? ? ?" (bytes 80, 9F, FF; "€ Ÿ ÿ" in Windows-1252)`},
		{"a\x81b", `"a?b" (byte 81)`},
		{"ä\xe4", `"ä?" (byte E4; "ää" in Windows-1252)`},
		{"\xe1\xe2\xe3\xe4\xe5", `"?????" (bytes E1, E2, E3, E4; "áâãäå" in Windows-1252)`},
		{"\ufffd\xe4", `"�?" (byte E4; "�ä" in Windows-1252)`},
		{"\x1b\xe4", `"\x1b?" (byte E4; "\x1bä" in Windows-1252)`},
		{strings.Repeat("é", 100) + "\xe4", `"…` + strings.Repeat("é", 20) + `?" (byte E4; "…` + strings.Repeat("é", 20) + `ä" in Windows-1252)`},
		{"a\tb\nc", `"a\tb\nc"`},
		{strings.Repeat("é", 61), `"` + strings.Repeat("é", 60) + `…"`},
	} {
		if got := shownCell(c.cell); got != c.want {
			t.Errorf("%q: got  %s\nwant %s", c.cell, got, c.want)
		}
	}
}

func TestShownNames(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{shownName("dead"), "dead"},
		{shownName("my\nnote  2"), "my note 2"},
		{shownName("Größe"), "Größe"},
		{shownName("Gr\xf6\xdfe"), "Gr??e"},
		{shownName("a\x1b[31m"), `"a\x1b[31m"`},
		{shownName("a\u009b\u202e"), `"a\u009b\u202e"`},
		{shownName(`5" vial`), `"5\" vial"`},
		{shownName(strings.Repeat("x", 61)), strings.Repeat("x", 60) + "…"},
		{shownFile("-"), "standard input"},
		{shownFile(`C:\my counts.csv`), `C:\my counts.csv`},
		{shownFile("a\x1b.csv"), `"a\x1b.csv"`},
		{shownFile("a\xe4.csv"), `"a\xe4.csv"`},
	} {
		if c.got != c.want {
			t.Errorf("got %s, want %s", c.got, c.want)
		}
	}
}

// Nothing of any refused file reaches a terminal unescaped.
func TestErrorsArePrintable(t *testing.T) {
	for _, c := range refused {
		_, err := Read("\x1b\xff.csv", strings.NewReader(c.text))
		for _, line := range strings.Split(err.Error(), "\n") {
			checkPrintable(t, line)
		}
	}
	_, err := Read("\x1b.csv", broken{})
	checkPrintable(t, err.Error())
}
