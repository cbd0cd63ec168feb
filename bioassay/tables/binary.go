package tables

import (
	"bytes"
	"fmt"
	"strings"
)

const saveAsText = `save the table as CSV in UTF-8, or as an XLSX workbook`

// foreign recognises files that are neither text nor a workbook. The contents
// say what the file should have held.
func foreign(start []byte, contents string) *fault {
	switch {
	case bytes.HasPrefix(start, []byte("\xFF\xFE\x00\x00")), bytes.HasPrefix(start, []byte("\x00\x00\xFE\xFF")):
		return &fault{BadEncoding, "the file is in UTF-32", saveAsText}
	case isBinary(start):
		return &fault{BadEncoding, "this is not a text file", "give the CSV or XLSX file of the " + contents}
	}
	return nil
}

// isPacked recognises what may be a workbook: a ZIP archive, or the container
// of older and of encrypted workbooks.
func isPacked(start []byte) bool {
	for _, s := range []string{"PK\x03\x04", "PK\x05\x06", "\xD0\xCF\x11\xE0"} {
		if bytes.HasPrefix(start, []byte(s)) {
			return true
		}
	}
	return false
}

// signatures are the first bytes of files that are given by mistake and whose
// first line need not show that they are not text.
var signatures = []string{"\x89PNG", "\xFF\xD8\xFF", "GIF8", "%PDF-", "\x1F\x8B", "7z\xBC\xAF", "Rar!\x1A", "{\\rtf"}

// isBinary reports whether the data are no text at all: they begin with a known
// signature, or have a control byte in the first filled line or in more than
// one of twenty bytes of the first kilobyte. A rarer one is the fault of its
// cell, which the rows report with its place.
func isBinary(start []byte) bool {
	for _, s := range signatures {
		if bytes.HasPrefix(start, []byte(s)) {
			return true
		}
	}
	controls := 0
	for _, c := range start {
		if isControl(c) {
			controls++
		}
	}
	line := bytes.TrimLeft(start, " \t\r\n")
	if end := bytes.IndexAny(line, "\r\n"); end >= 0 {
		line = line[:end]
	}
	return hasControl(line) || controls*20 > len(start)
}

// isControl reports whether a byte is a control character of ASCII other than
// the tab and the breaks of lines and pages.
func isControl(c byte) bool { return c < ' ' && (c < '\t' || c > '\r') || c == 0x7F }

func hasControl[T []byte | string](text T) bool {
	for i := 0; i < len(text); i++ {
		if isControl(text[i]) {
			return true
		}
	}
	return false
}

// controlFault is the fault of a cell with control characters, or nil.
func controlFault(cell string) *fault {
	if strings.IndexByte(cell, 0) >= 0 {
		return &fault{NulByte, "the cell contains a NUL byte, the file may be damaged", "export the table again"}
	}
	for i := 0; i < len(cell); i++ {
		if isControl(cell[i]) {
			return &fault{ControlCharacter, fmt.Sprintf("the cell contains the invisible control character %02X", cell[i]),
				"delete it, or export the table again"}
		}
	}
	return nil
}

// looksUTF16 reports whether the text has a zero byte in nearly every pair, as
// Latin letters have in UTF-16.
func looksUTF16(start []byte) bool {
	start = start[:min(len(start), 64)]
	if len(start) < 8 || len(start)%2 != 0 {
		return false
	}
	first, second := 0, 0
	for i := 0; i < len(start); i += 2 {
		switch {
		case start[i] == 0 && start[i+1] != 0:
			first++
		case start[i] != 0 && start[i+1] == 0:
			second++
		}
	}
	return max(first, second)*10 >= len(start)/2*8
}
