package plots

import (
	"encoding/binary"
	"fmt"

	"golang.org/x/image/font/sfnt"
)

// trueType is a TrueType font taken apart. The layout of its tables is that of
// ISO/IEC 14496-22 (Open Font Format); only what a subset needs is read.
type trueType struct {
	tables  map[string][]byte
	offsets []int // of each glyph in the table glyf, one more than there are glyphs
	widths  int   // glyphs with an advance width of their own
	glyphs  *sfnt.Font
}

// openTrueType reads a font with TrueType outlines.
func openTrueType(data []byte) (*trueType, error) {
	glyphs, err := sfnt.Parse(data)
	if err != nil {
		return nil, fmt.Errorf("plots: font: %w", err)
	}
	t := &trueType{tables: map[string][]byte{}, glyphs: glyphs}
	for i := range int(binary.BigEndian.Uint16(data[4:])) {
		entry := data[12+16*i:]
		from, length := binary.BigEndian.Uint32(entry[8:]), binary.BigEndian.Uint32(entry[12:])
		t.tables[string(entry[:4])] = data[from : from+length]
	}
	for _, name := range []string{"OS/2", "glyf", "head", "hhea", "hmtx", "loca", "maxp"} {
		if len(t.tables[name]) == 0 {
			return nil, fmt.Errorf("plots: font: the table %s is missing", name)
		}
	}
	t.widths = int(binary.BigEndian.Uint16(t.tables["hhea"][34:]))
	t.readOffsets()
	return t, nil
}

// readOffsets reads where each glyph begins, from short or long offsets.
func (t *trueType) readOffsets() {
	loca := t.tables["loca"]
	long := binary.BigEndian.Uint16(t.tables["head"][50:]) == 1
	for i := range t.glyphs.NumGlyphs() + 1 {
		if long {
			t.offsets = append(t.offsets, int(binary.BigEndian.Uint32(loca[4*i:])))
			continue
		}
		t.offsets = append(t.offsets, 2*int(binary.BigEndian.Uint16(loca[2*i:])))
	}
}

// outline returns the description of a glyph; it is empty for a space.
func (t *trueType) outline(glyph int) []byte {
	return t.tables["glyf"][t.offsets[glyph]:t.offsets[glyph+1]]
}

// metric returns the advance width and the left side bearing of a glyph.
func (t *trueType) metric(glyph int) []byte {
	hmtx := t.tables["hmtx"]
	if glyph < t.widths {
		return hmtx[4*glyph : 4*glyph+4]
	}
	last := hmtx[4*(t.widths-1):]
	bearing := hmtx[4*t.widths+2*(glyph-t.widths):]
	return []byte{last[0], last[1], bearing[0], bearing[1]}
}

// Flags of a part of a composite glyph.
const (
	wordArguments   = 0x0001
	oneScale        = 0x0008
	moreParts       = 0x0020
	twoScales       = 0x0040
	fourScales      = 0x0080
	hasInstructions = 0x0100
)

// eachPart calls do with the places of the flags of each part of a composite
// glyph; the number of the part follows them. It returns where the parts end,
// or 0 for a glyph that is not composite.
func eachPart(outline []byte, do func(at int)) int {
	if len(outline) == 0 || int16(binary.BigEndian.Uint16(outline)) >= 0 {
		return 0
	}
	at := 10
	for {
		flags := binary.BigEndian.Uint16(outline[at:])
		do(at)
		at += 4 + partLength(flags)
		if flags&moreParts == 0 {
			return at
		}
	}
}

// partLength is the length of the arguments and scales of a part.
func partLength(flags uint16) int {
	n := 2
	if flags&wordArguments != 0 {
		n = 4
	}
	switch {
	case flags&oneScale != 0:
		n += 2
	case flags&twoScales != 0:
		n += 4
	case flags&fourScales != 0:
		n += 8
	}
	return n
}

// unhinted returns a copy of the outline without its instructions, which a
// subset has no use for, and with the parts of a composite renumbered.
func unhinted(outline []byte, renumber map[int]int) []byte {
	out := append([]byte(nil), outline...)
	if end := eachPart(out, func(at int) {
		flags := binary.BigEndian.Uint16(out[at:])
		binary.BigEndian.PutUint16(out[at:], flags&^hasInstructions)
		part := int(binary.BigEndian.Uint16(out[at+2:]))
		binary.BigEndian.PutUint16(out[at+2:], uint16(renumber[part]))
	}); end > 0 || len(out) == 0 {
		return out[:end]
	}
	contours := int(binary.BigEndian.Uint16(out))
	at := 10 + 2*contours
	length := int(binary.BigEndian.Uint16(out[at:]))
	binary.BigEndian.PutUint16(out[at:], 0)
	return append(out[:at+2], out[at+2+length:]...)
}
