package tables

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
)

// Whatever comes from a file passes one of these functions before it stands in
// an error or a warning, so that no byte of it can steer a terminal.

const mostShown = 60 // characters of a text of the file

// shortened cuts a text after most characters.
func shortened(s string, most int) string {
	if r := []rune(s); len(r) > most {
		return string(r[:most]) + "…"
	}
	return s
}

// quoted returns s between quotation marks on one line, cut when it is long.
func quoted(s string) string { return strconv.Quote(shortened(s, mostShown)) }

// shownName returns the name of a column on one line, cut when it is long, and
// bare unless something in it had to be escaped.
func shownName(name string) string {
	name, _, _ = questioned(name)
	return bareOr(shortened(strings.Join(strings.Fields(name), " "), mostShown))
}

// shownFile returns the name of a file; "-" is what the command line calls the
// standard input.
func shownFile(name string) string {
	if name == "-" {
		return "standard input"
	}
	return printable(name)
}

// printable returns a text that may hold backslashes, spaces and quotation
// marks as it is, unless something in it cannot be printed.
func printable(s string) string {
	for _, r := range s {
		if !strconv.IsPrint(r) || r == utf8.RuneError {
			return strconv.Quote(s)
		}
	}
	return s
}

// bareOr returns s as it is when quoting would change nothing in it.
func bareOr(s string) string {
	if q := strconv.Quote(s); q != `"`+s+`"` {
		return q
	}
	return s
}

// shownCell returns a cell as found. Where bytes are not UTF-8 it names them,
// and the text that they would be in the encoding that spreadsheets write.
func shownCell(s string) string {
	text, wrong, first := questioned(s)
	if len(wrong) == 0 {
		return quoted(s)
	}
	const before = 20 // characters shown before the first wrong byte, if it stands far from the start
	cut := func(t string) string {
		if first <= 2*before {
			return quoted(t)
		}
		return quoted("…" + string([]rune(t)[first-before:]))
	}
	var list []string
	for _, c := range wrong {
		if hex := fmt.Sprintf("%02X", c); !slices.Contains(list, hex) && len(list) < 4 {
			list = append(list, hex)
		}
	}
	remark := "byte " + list[0]
	if len(list) > 1 {
		remark = "bytes " + strings.Join(list, ", ")
	}
	if windows, ok := inWindows1252(s); ok {
		remark += fmt.Sprintf("; %s in Windows-1252", cut(windows))
	}
	return fmt.Sprintf("%s (%s)", cut(text), remark)
}

// questioned returns s with a question mark for each byte that is not UTF-8,
// these bytes, and the number of characters before the first of them.
func questioned(s string) (text string, wrong []byte, first int) {
	if utf8.ValidString(s) {
		return s, nil, 0
	}
	var b strings.Builder
	for i, count := 0, 0; i < len(s); count++ {
		_, size := utf8.DecodeRuneInString(s[i:])
		if one := s[i : i+size]; utf8.ValidString(one) {
			b.WriteString(one)
		} else {
			if len(wrong) == 0 {
				first = count
			}
			wrong = append(wrong, s[i])
			b.WriteByte('?')
		}
		i += size
	}
	return b.String(), wrong, first
}

// inWindows1252 returns s with each byte that is not UTF-8 read as
// Windows-1252, and false if one has no meaning there.
func inWindows1252(s string) (string, bool) {
	var b strings.Builder
	for i := 0; i < len(s); {
		r, size := utf8.DecodeRuneInString(s[i:])
		if r == utf8.RuneError && size == 1 {
			if inWindowsGap(s[i]) {
				return "", false
			}
			r = charmap.Windows1252.DecodeByte(s[i])
		}
		b.WriteRune(r)
		i += size
	}
	return b.String(), true
}
