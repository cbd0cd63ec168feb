package tables

import (
	"strings"
	"unicode/utf8"
)

// clean looks for cells that are not text. Once the encoding is known to be
// wrong, every further name would be wrong too, so reading stops.
func (s *sheet) clean() bool {
	ok := true
	for i, cell := range s.cells {
		if !utf8.ValidString(cell) {
			if f := s.encodingFault(cell); f != nil {
				s.stop(s.at(i), f)
				return false
			}
		}
		if f := controlFault(cell); f != nil {
			s.fail(i, f)
			ok = false
		}
	}
	return ok
}

// encodingFault is the fault of a cell that is not UTF-8, or nil if another
// cell shows better what is wrong.
func (s *sheet) encodingFault(cell string) *fault {
	switch {
	case s.text == nil:
		return &fault{DamagedWorkbook, "the text of the cell is damaged", "enter it anew"}
	case s.text.encoding != utf8Text:
		return &fault{BadEncoding, "half of a character of UTF-16 stands here, the file is damaged", "export the table again"}
	case s.text.mixed:
		return &fault{BadEncoding, "these bytes are not UTF-8, though other cells are", saveAsText}
	case s.text.undefined && strings.IndexFunc(cell, func(r rune) bool { return r == utf8.RuneError }) >= 0:
		if _, ok := inWindows1252(cell); ok {
			return nil
		}
		return &fault{BadEncoding, "these bytes are neither UTF-8 nor Windows-1252", saveAsText}
	}
	return &fault{BadEncoding, "these bytes are not UTF-8, the file is probably in Windows-1252 or a relative of it, and damaged", saveAsText}
}
