package tables

import (
	"bytes"
	"io"
	"unicode/utf8"
)

// survey is what a first pass over the bytes of a text tells.
type survey struct {
	filled    bool // there is more than blanks
	controls  bool // some byte is a control character
	returns   bool // there is a carriage return
	multibyte bool // there is a character beyond ASCII in UTF-8
	invalid   bool // some byte is not UTF-8
	undefined bool // some byte has no meaning in Windows-1252
}

const surveyBlock = 64 << 10

// look reads r to its end.
func look(r io.Reader) (v survey, err error) {
	buffer := make([]byte, surveyBlock+utf8.UTFMax)
	held := 0 // bytes of a character that the last block cut
	for {
		n, err := io.ReadFull(r, buffer[held:surveyBlock])
		block := buffer[:held+n]
		last := err == io.EOF || err == io.ErrUnexpectedEOF
		if err != nil && !last {
			return v, err
		}
		whole := len(block)
		if !last {
			whole -= cutRune(block)
		}
		v.add(block[:whole])
		held = copy(buffer, block[whole:])
		if last {
			return v, nil
		}
	}
}

// cutRune returns how many bytes at the end begin a character and do not end it.
func cutRune(block []byte) int {
	for n := 1; n < utf8.UTFMax && n <= len(block); n++ {
		tail := block[len(block)-n:]
		if utf8.RuneStart(tail[0]) {
			if utf8.FullRune(tail) {
				return 0
			}
			return n
		}
	}
	return 0
}

// add surveys a block that ends with a whole character.
func (v *survey) add(block []byte) {
	v.controls = v.controls || hasControl(block)
	v.returns = v.returns || bytes.IndexByte(block, '\r') >= 0
	v.filled = v.filled || len(bytes.TrimFunc(block, isBlank)) > 0
	if utf8.Valid(block) {
		v.multibyte = v.multibyte || !isASCII(block)
		return
	}
	for len(block) > 0 {
		r, size := utf8.DecodeRune(block)
		switch {
		case r == utf8.RuneError && size == 1:
			v.invalid = true
			v.undefined = v.undefined || inWindowsGap(block[0])
		case size > 1:
			v.multibyte = true
		}
		block = block[size:]
	}
}

func isASCII(block []byte) bool {
	for _, c := range block {
		if c >= utf8.RuneSelf {
			return false
		}
	}
	return true
}
