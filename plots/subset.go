package plots

import (
	"encoding/binary"
	"slices"

	"golang.org/x/image/font/sfnt"
)

// subset returns a TrueType font that holds the glyphs of the given runes and
// no other, unhinted, under the given names. Runes that the font lacks and runes
// beyond U+FFFF are left out.
func (t *trueType) subset(runes []rune, names []nameRecord) []byte {
	chosen, index := t.choose(runes)
	glyphs := t.closure(chosen)
	renumber := map[int]int{}
	for i, g := range glyphs {
		renumber[g] = i
	}
	var glyf, loca, hmtx []byte
	for _, g := range glyphs {
		loca = binary.BigEndian.AppendUint32(loca, uint32(len(glyf)))
		glyf = append(glyf, unhinted(t.outline(g), renumber)...)
		glyf = append(glyf, make([]byte, -len(glyf)&3)...)
		hmtx = append(hmtx, t.metric(g)...)
	}
	loca = binary.BigEndian.AppendUint32(loca, uint32(len(glyf)))

	head := slices.Clone(t.tables["head"])
	binary.BigEndian.PutUint32(head[8:], 0)  // the checksum, filled in by assemble
	binary.BigEndian.PutUint16(head[50:], 1) // long offsets
	hhea := slices.Clone(t.tables["hhea"])
	binary.BigEndian.PutUint16(hhea[34:], uint16(len(glyphs)))
	maxp := slices.Clone(t.tables["maxp"])
	binary.BigEndian.PutUint16(maxp[4:], uint16(len(glyphs)))
	post := make([]byte, 32)
	binary.BigEndian.PutUint32(post, 0x00030000) // no glyph names

	return assemble([]table{ // in the order of their tags, as the directory asks
		{"OS/2", t.tables["OS/2"]},
		{"cmap", characterMap(index, renumber)},
		{"glyf", glyf},
		{"head", head},
		{"hhea", hhea},
		{"hmtx", hmtx},
		{"loca", loca},
		{"maxp", maxp},
		{"name", nameTable(names)},
		{"post", post},
	})
}

// mapped is a rune and the glyph that shows it.
type mapped struct {
	r     rune
	glyph int
}

// choose returns the glyphs of the runes, the missing-glyph mark first, and which
// rune shows which, by ascending rune.
func (t *trueType) choose(runes []rune) ([]int, []mapped) {
	runes = slices.Clone(runes)
	slices.Sort(runes)
	glyphs := []int{0}
	var index []mapped
	var b sfnt.Buffer
	for _, r := range slices.Compact(runes) {
		g, err := t.glyphs.GlyphIndex(&b, r)
		if err != nil || g == 0 || r >= 0xFFFF {
			continue
		}
		index = append(index, mapped{r, int(g)})
		if !slices.Contains(glyphs, int(g)) {
			glyphs = append(glyphs, int(g))
		}
	}
	return glyphs, index
}

// closure adds the parts of composite glyphs.
func (t *trueType) closure(glyphs []int) []int {
	for i := 0; i < len(glyphs); i++ { // the list grows
		outline := t.outline(glyphs[i])
		eachPart(outline, func(at int) {
			part := int(binary.BigEndian.Uint16(outline[at+2:]))
			if !slices.Contains(glyphs, part) {
				glyphs = append(glyphs, part)
			}
		})
	}
	return glyphs
}

// characterMap returns a table cmap of one subtable in format 4, with a segment
// for each rune.
func characterMap(index []mapped, renumber map[int]int) []byte {
	segments := len(index) + 1 // the last, from 0xFFFF, is part of the format
	var ends, starts, deltas, ranges []byte
	for _, m := range index {
		ends = binary.BigEndian.AppendUint16(ends, uint16(m.r))
		starts = binary.BigEndian.AppendUint16(starts, uint16(m.r))
		deltas = binary.BigEndian.AppendUint16(deltas, uint16(renumber[m.glyph]-int(m.r)))
	}
	ends = binary.BigEndian.AppendUint16(ends, 0xFFFF)
	starts = binary.BigEndian.AppendUint16(starts, 0xFFFF)
	deltas = binary.BigEndian.AppendUint16(deltas, 1)
	ranges = make([]byte, 2*segments)

	out := []byte{0, 0, 0, 1, 0, 3, 0, 1, 0, 0, 0, 12} // version, one subtable: Windows, Unicode
	search, shift := powerBelow(segments)
	for _, v := range []int{4, 16 + 8*segments, 0, 2 * segments, 2 * search, shift, 2 * (segments - search)} {
		out = binary.BigEndian.AppendUint16(out, uint16(v))
	}
	return slices.Concat(out, ends, []byte{0, 0}, starts, deltas, ranges)
}

// powerBelow returns the largest power of two that is not above n, and its
// exponent.
func powerBelow(n int) (power, exponent int) {
	power = 1
	for power*2 <= n {
		power, exponent = power*2, exponent+1
	}
	return power, exponent
}

// table is a table of a font under its tag.
type table struct {
	tag  string
	data []byte
}

// assemble joins the tables to a font file.
func assemble(tables []table) []byte {
	search, shift := powerBelow(len(tables))
	out := []byte{0, 1, 0, 0}
	for _, v := range []int{len(tables), 16 * search, shift, 16 * (len(tables) - search)} {
		out = binary.BigEndian.AppendUint16(out, uint16(v))
	}
	at, head := len(out)+16*len(tables), 0
	for _, t := range tables {
		if t.tag == "head" {
			head = at
		}
		out = append(out, t.tag...)
		for _, v := range []uint32{checksum(t.data), uint32(at), uint32(len(t.data))} {
			out = binary.BigEndian.AppendUint32(out, v)
		}
		at += (len(t.data) + 3) &^ 3
	}
	for _, t := range tables {
		out = append(out, t.data...)
		out = append(out, make([]byte, -len(t.data)&3)...)
	}
	const whole = 0xB1B0AFBA // the checksum of a whole font, by definition
	binary.BigEndian.PutUint32(out[head+8:], whole-checksum(out))
	return out
}

// checksum adds the data up in words of four bytes.
func checksum(data []byte) uint32 {
	var sum uint32
	for len(data) >= 4 {
		sum += binary.BigEndian.Uint32(data)
		data = data[4:]
	}
	var rest [4]byte
	copy(rest[:], data)
	return sum + binary.BigEndian.Uint32(rest[:])
}
