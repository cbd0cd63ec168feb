package tables

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"strings"
)

const saveAsUTF8 = `save the file as "CSV UTF-8 (comma-separated)"`

// foreign recognises files that are not text in a superset of ASCII. The
// contents say what the file should have held.
func foreign(data []byte, contents string) *fault {
	start := data[:min(len(data), 64)]
	switch {
	case isWorkbook(start):
		return &fault{BadEncoding, "this is a spreadsheet workbook, not a text file", saveAsUTF8}
	case bytes.HasPrefix(start, []byte("\xFF\xFE")), bytes.HasPrefix(start, []byte("\xFE\xFF")), looksUTF16(start):
		return &fault{BadEncoding, "the file is in UTF-16, not UTF-8", saveAsUTF8}
	case isBinary(data):
		return &fault{BadEncoding, "this is not a text file", "give the CSV file of the " + contents}
	}
	return nil
}

// isWorkbook recognises the old workbooks by their signature, and the newer
// ones, which are ZIP archives, by the name of the first file in the archive.
func isWorkbook(start []byte) bool {
	if bytes.HasPrefix(start, []byte("\xD0\xCF\x11\xE0")) {
		return true
	}
	if !bytes.HasPrefix(start, []byte("PK\x03\x04")) {
		return false
	}
	// The length of the name stands at byte 26, the name at byte 30 (APPNOTE
	// of the ZIP format, section 4.3.7).
	const lengthAt, nameAt = 26, 30
	if len(start) < nameAt {
		return true // too little to tell: a workbook is the likelier mistake
	}
	end := min(nameAt+int(binary.LittleEndian.Uint16(start[lengthAt:])), len(start))
	name := string(start[nameAt:end])
	for _, part := range []string{"[Content_Types].xml", "_rels/", "docProps/", "xl/", "mimetype"} {
		if strings.HasPrefix(name, part) {
			return true
		}
	}
	return false
}

// signatures are the first bytes of files that are given by mistake and whose
// first line need not show that they are not text.
var signatures = []string{"\x89PNG", "\xFF\xD8\xFF", "GIF8", "%PDF-", "PK\x03\x04", "PK\x05\x06", "\x1F\x8B"}

// isBinary reports whether the data are no text at all: they begin with a known
// signature, or have a control byte in the first filled line or in more than
// one of twenty bytes of the first kilobyte. A rarer one is the fault of its
// cell, which the rows report with its place.
func isBinary(data []byte) bool {
	for _, s := range signatures {
		if bytes.HasPrefix(data, []byte(s)) {
			return true
		}
	}
	start := data[:min(len(data), 1024)]
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
	if len(start) < 8 || len(start)%2 != 0 {
		return false
	}
	halves := 0
	for i := 0; i < len(start); i += 2 {
		if (start[i] == 0) != (start[i+1] == 0) {
			halves++
		}
	}
	return halves*10 >= len(start)/2*8
}
