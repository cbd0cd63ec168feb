package tables

import (
	"bytes"
	"encoding/binary"
	"io"

	"golang.org/x/text/encoding/charmap"
)

// encoding is how the characters of a text are written as bytes.
type encoding uint8

const (
	utf8Text        encoding = iota
	utf16Little              // least significant byte first
	utf16Big                 // most significant byte first
	windows1252Text          // the one-byte encoding of Western European spreadsheets
)

// String is the name for messages.
func (e encoding) String() string { return [...]string{"UTF-8", "UTF-16", "UTF-16", "Windows-1252"}[e] }

// The marks that some programs write before a text.
const (
	mark8        = "\xEF\xBB\xBF"
	mark16Little = "\xFF\xFE"
	mark16Big    = "\xFE\xFF"
)

// twoByte returns the encoding of a text in two-byte units, and the length of the
// mark before it. Without a mark the zero bytes of Latin letters show it.
func twoByte(start []byte) (e encoding, mark int, ok bool) {
	switch {
	case bytes.HasPrefix(start, []byte(mark16Little)):
		return utf16Little, len(mark16Little), true
	case bytes.HasPrefix(start, []byte(mark16Big)):
		return utf16Big, len(mark16Big), true
	case looksUTF16(start):
		if start[0] == 0 {
			return utf16Big, 0, true
		}
		return utf16Little, 0, true
	}
	return utf8Text, 0, false
}

// inWindowsGap reports whether a byte has no character in Windows-1252 (the
// encoding standard of the WHATWG, index windows-1252, which fills the five
// gaps with control characters).
func inWindowsGap(c byte) bool {
	switch c {
	case 0x81, 0x8D, 0x8F, 0x90, 0x9D:
		return true
	}
	return false
}

// decoded returns r as UTF-8.
func decoded(r io.Reader, e encoding) io.Reader {
	switch e {
	case utf16Little:
		return &units{r: r, order: binary.LittleEndian}
	case utf16Big:
		return &units{r: r, order: binary.BigEndian}
	case windows1252Text:
		return charmap.Windows1252.NewDecoder().Reader(r)
	}
	return r
}
