package registry

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// clean returns a text as the registry keeps it: in Unicode's normal form C,
// in which a name typed on two systems is the same bytes, and with line feeds
// alone, which is what survives a CSV file.
func clean(s string) string {
	if plain(s) {
		return s
	}
	s = strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(s)
	return norm.NFC.String(s)
}

// plain reports whether a text is ASCII without carriage returns, which is the
// common case and needs no work.
func plain(s string) bool {
	for i := 0; i < len(s); i++ {
		if s[i] >= 0x80 || s[i] == '\r' {
			return false
		}
	}
	return true
}

// checkText says why a text cannot be kept.
func checkText(what, s string) error {
	switch {
	case !utf8.ValidString(s):
		return fmt.Errorf("%s %q is not UTF-8", what, s)
	case strings.IndexByte(s, 0) >= 0:
		return fmt.Errorf("%s %q holds a NUL character", what, s)
	}
	return nil
}

// shown is a text as a message may show it: what cannot be printed is escaped,
// so that nothing in a file can steer a terminal.
func shown(s string) string {
	if strings.ContainsFunc(s, func(r rune) bool { return !strconv.IsPrint(r) }) {
		return strconv.Quote(s)
	}
	return s
}

// fold returns what is left of a name when its case, its spaces and the
// compatibility forms of its characters (full-width letters, ligatures) do not
// count. Names that fold alike are probably one name written in two ways.
func fold(s string) string {
	return strings.Join(strings.Fields(strings.ToLower(norm.NFKC.String(s))), "")
}
