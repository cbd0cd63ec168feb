package tables

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"unicode"
)

// The limits of what is read. A count table of this size is a mistake or a
// database, and either is better noticed than loaded.
const (
	MaxBytes  = 256 << 20 // bytes in a file
	MaxRows   = 2_000_000
	MaxErrors = 1000 // errors reported before reading stops
)

// limits are the above, smaller in tests.
type limits struct {
	bytes        int64
	rows, errors int
}

var usual = limits{MaxBytes, MaxRows, MaxErrors}

// load reads the whole of r as text: without byte-order mark and with every
// line break, \r\n or a lone \r, turned into \n, so that lines are counted the
// same way whoever wrote the file. The contents are those expected, for messages.
func load(r io.Reader, max int64, contents string) ([]byte, *fault, error) {
	data, err := io.ReadAll(io.LimitReader(r, max+1))
	if err != nil {
		return nil, nil, err
	}
	if int64(len(data)) > max {
		return nil, &fault{FileTooLarge, fmt.Sprintf("the file is longer than %d MiB", max>>20),
			"split it into several files"}, nil
	}
	if f := foreign(data, contents); f != nil {
		return nil, f, nil
	}
	data = bytes.TrimPrefix(data, []byte("\xEF\xBB\xBF"))
	if len(bytes.TrimFunc(data, isBlank)) == 0 {
		return nil, &fault{EmptyFile, "the file is empty", "export the table again"}, nil
	}
	return lineFeeds(data), nil, nil
}

// lineFeeds turns \r\n and \r into \n, in place.
func lineFeeds(data []byte) []byte {
	if bytes.IndexByte(data, '\r') < 0 {
		return data
	}
	out := data[:0]
	for i, c := range data {
		switch {
		case c != '\r':
			out = append(out, c)
		case i+1 == len(data) || data[i+1] != '\n':
			out = append(out, '\n')
		}
	}
	return out
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
