package corpus

import (
	"bytes"
	"encoding/binary"
	"strings"
	"unicode/utf16"
)

// wide is a text in UTF-16.
func wide(order binary.AppendByteOrder, s string) []byte {
	var b []byte
	for _, unit := range utf16.Encode([]rune(s)) {
		b = order.AppendUint16(b, unit)
	}
	return b
}

const accents = "assay,apiary,concentration,exposed,dead\nA,Peñón,1,9,2\n"

// latin is a text of accents in one byte for each character.
func latin(s string) []byte {
	var b []byte
	for _, r := range s {
		b = append(b, byte(r))
	}
	return b
}

// encodings are texts in other encodings, damaged ones, and files of other
// kinds.
func encodings() []File {
	little, big := binary.LittleEndian, binary.BigEndian
	smile := "assay,concentration,exposed,dead\n🐝,1,9,2\n"
	wideLeast := wide(little, least+"A,1,9,2\n")
	return []File{
		text("mark.csv", "\ufeff"+accents),
		text("mark-alone.csv", "\ufeff"),
		text("mark-twice.csv", "\ufeff\ufeff"+accents),
		text("mark-in-the-middle.csv", least+"\ufeffA,1,9,2\n"),
		{"utf16-little.csv", append([]byte("\xff\xfe"), wide(little, accents)...)},
		{"utf16-big.csv", append([]byte("\xfe\xff"), wide(big, accents)...)},
		{"utf16-little-unmarked.csv", wideLeast},
		{"utf16-big-unmarked.csv", wide(big, least+"A,1,9,2\n")},
		{"utf16-pair.csv", append([]byte("\xff\xfe"), wide(little, smile)...)},
		{"utf16-odd-length.csv", append(append([]byte("\xff\xfe"), wideLeast...), 'x')},
		{"utf16-half-pair.csv", append(append(append([]byte("\xff\xfe"), wide(little, least+"A")...), 0x3d, 0xd8), wide(little, ",1,9,2\n")...)},
		{"utf16-second-half.csv", append(append(append([]byte("\xff\xfe"), wide(little, least+"A")...), 0x1d, 0xdc), wide(little, ",1,9,2\n")...)},
		{"utf16-ends-in-pair.csv", append(append([]byte("\xff\xfe"), wide(little, least+"A,1,9,2")...), 0x3d, 0xd8)},
		{"utf16-wrong-mark.csv", append([]byte("\xfe\xff"), wideLeast...)},
		{"utf16-mark-alone.csv", []byte("\xff\xfe")},
		{"utf16-nul.csv", append([]byte("\xff\xfe"), wide(little, least+"A\x00,1,9,2\n")...)},
		{"utf16-semicolons.csv", append([]byte("\xff\xfe"), wide(little, "assay;concentration;exposed;dead\r\nA;0,5;9;2\r\n")...)},
		{"utf16-tabs.csv", append([]byte("\xff\xfe"), wide(little, "assay\tconcentration\texposed\tdead\r\nA\t0,5\t9\t2\r\n")...)},
		text("utf32-little.csv", "\xff\xfe\x00\x00a\x00\x00\x00s\x00\x00\x00"),
		text("utf32-big.csv", "\x00\x00\xfe\xff\x00\x00\x00a\x00\x00\x00s"),
		{"windows.csv", latin(accents)},
		{"windows-euro.csv", []byte("assay,concentration,exposed,dead,note\nA,1,9,2,5 \x80 \x96 each\n")},
		{"windows-undefined.csv", []byte("assay,concentration,exposed,dead,note\nA,1,9,2,\xf1\nA,1,9,2,\x8d\n")},
		{"windows-and-control.csv", []byte("assay,concentration,exposed,dead,note\nA,1,9,2,\xf1\nA,1,9,2,\x02\n")},
		{"windows-beside-utf8.csv", append([]byte(accents), latin("A,Peñón,2,9,5\n")...)},
		{"windows-header.csv", latin("ensayo,concentración,expuestos,muertos,población\nA,1,9,2,este\n")},
		text("utf8-cut.csv", accents+"A,Pe\xc3"),
		text("utf8-overlong.csv", least+"A\xc0\xaf,1,9,2\nA,1,9,2,\u00f1\n"),
		text("utf8-surrogate.csv", least+"\u00f1\xed\xa0\x80,1,9,2\n"),
		text("utf8-long-before-fault.csv", least+strings.Repeat("ñ,1,9,2\n", 9000)+"\xff,1,9,2\n"),
		text("nul-in-cell.csv", least+"A\x00B,1,9,2\n"),
		text("nul-in-header.csv", "assay,concentra\x00tion,exposed,dead\nA,1,9,2\n"),
		text("nuls-at-end.csv", least+strings.Repeat("A,1,9,2\n", 200)+strings.Repeat("\x00", 4096)),
		{"nuls-alone.csv", bytes.Repeat([]byte{0}, 4096)},
		text("escape.csv", least+"A\x1b[2J,1,9,2\n"),
		text("bell-far-below.csv", least+strings.Repeat("A,1,9,2\n", 20_000)+"A\a,1,9,2\n"),
		text("delete-sign.csv", least+"A\x7f,1,9,2\n"),
		text("bidi.csv", least+"A\u202eB,1,9,x\n"),
		text("zero-width.csv", "assay\u200b,concentration,exposed,dead\nA,\u200b1,9,2\n"),
		text("no-break-spaces.csv", least+"A,\u00a01\u00a0,9,2\n"),
		text("picture.csv", "\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR"),
		text("photo.csv", "\xff\xd8\xff\xe0\x00\x10JFIF\x00"),
		text("page.csv", "%PDF-1.7\n%\xe2\xe3\n"),
		text("letter.rtf", "{\\rtf1\\ansi assay,concentration,exposed,dead}"),
		text("packed.csv", "\x1f\x8b\x08\x00\x00\x00\x00\x00"),
		text("program.csv", "\x7fELF\x02\x01\x01\x00"),
	}
}
