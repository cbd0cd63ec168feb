package tables

import (
	"io"
	"strings"
	"unicode"
)

// The limits of what is read. A count table of this size is a mistake or a
// database, and either is better noticed than loaded.
const (
	MaxBytes         = 256 << 20 // bytes in a file
	MaxUnpackedBytes = 1 << 30   // bytes in a workbook once unpacked
	MaxRows          = 2_000_000
	MaxColumns       = 1000
	MaxRowBytes      = 1 << 20 // bytes in a row of a text
	MaxErrors        = 1000    // errors reported before reading stops
)

// limits are the above, smaller in tests.
type limits struct {
	bytes        int64
	rows, errors int
}

var usual = limits{MaxBytes, MaxRows, MaxErrors}

// feeds is a reader that turns every line break, \r\n or a lone \r, into \n, so
// that lines are counted the same way whoever wrote the file.
type feeds struct {
	r        io.Reader
	returned bool // the last byte was a \r
}

func (f *feeds) Read(p []byte) (int, error) {
	for {
		n, err := f.r.Read(p)
		out := 0
		for _, c := range p[:n] {
			if c == '\n' && f.returned {
				f.returned = false
				continue
			}
			if f.returned = c == '\r'; f.returned {
				c = '\n'
			}
			p[out] = c
			out++
		}
		if out > 0 || err != nil || len(p) == 0 {
			return out, err
		}
	}
}

// isBlank reports whether a character shows nothing: every space of Unicode,
// the no-break ones among them, and the marks of zero width that copying from
// web pages leaves behind.
func isBlank(r rune) bool {
	switch r {
	case '\u200B', '\u2060', '\uFEFF':
		return true
	}
	return unicode.IsSpace(r)
}

// trim removes blanks from both ends of a cell.
func trim(s string) string {
	if s == "" {
		return s
	}
	if first, last := s[0], s[len(s)-1]; ' ' < first && first < 0x80 && ' ' < last && last < 0x80 {
		return s // the common case, without decoding
	}
	return strings.TrimFunc(s, isBlank)
}
