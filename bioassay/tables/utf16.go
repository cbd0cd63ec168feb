package tables

import (
	"encoding/binary"
	"io"
	"unicode/utf16"
	"unicode/utf8"
)

// noCharacter stands in the decoded text for half of a surrogate pair and for
// a single byte at the end. It is no UTF-8, so the cell that holds it is found
// and refused, where a decoder of the libraries would put a character that the
// file does not have.
const noCharacter = 0xFF

// units decodes UTF-16.
type units struct {
	r      io.Reader
	order  binary.ByteOrder
	in     [4096]byte
	held   int  // bytes in in that are not decoded yet
	high   rune // first half of a pair, 0 when none is open
	out    []byte
	buffer []byte // behind out
	err    error
}

func (u *units) Read(p []byte) (int, error) {
	for len(u.out) == 0 {
		if u.err != nil {
			return 0, u.err
		}
		u.fill()
	}
	n := copy(p, u.out)
	u.out = u.out[n:]
	return n, nil
}

// fill decodes the next bytes.
func (u *units) fill() {
	n, err := u.r.Read(u.in[u.held:])
	u.held += n
	u.buffer = u.buffer[:0]
	even := u.held &^ 1
	for i := 0; i < even; i += 2 {
		u.unit(rune(u.order.Uint16(u.in[i:])))
	}
	u.held = copy(u.in[:], u.in[even:u.held])
	if u.err = err; err != nil && (u.held > 0 || u.high != 0) {
		u.buffer = append(u.buffer, noCharacter)
		u.held, u.high = 0, 0
	}
	u.out = u.buffer
}

// unit decodes two bytes.
func (u *units) unit(r rune) {
	if u.high != 0 {
		pair := utf16.DecodeRune(u.high, r)
		u.high = 0
		if pair != utf8.RuneError {
			u.buffer = utf8.AppendRune(u.buffer, pair)
			return
		}
		u.buffer = append(u.buffer, noCharacter)
	}
	switch {
	case !utf16.IsSurrogate(r):
		u.buffer = utf8.AppendRune(u.buffer, r)
	case utf16.DecodeRune(r, 0xDC00) != utf8.RuneError: // a first half
		u.high = r
	default:
		u.buffer = append(u.buffer, noCharacter)
	}
}
