package plots

import (
	"encoding/base64"
	"encoding/binary"
	"fmt"
	"slices"
	"strings"
	"sync"
	"unicode/utf16"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
)

// FontFamily is the name under which figures embed their font: a part of
// Liberation Sans 2.1.4, whose licence (SIL OFL 1.1) reserves the original name
// for the unchanged font.
const FontFamily = "Vialwise Sans"

// FontList names the fonts that may set the text of a figure, as in CSS: the
// embedded one, those of the same widths, then whatever the reader has.
const FontList = "'" + FontFamily + "','Liberation Sans',Arial,Helvetica,sans-serif"

// sources are the fonts to take subsets of: regular and bold.
var sources = sync.OnceValue(func() [2]*trueType {
	var out [2]*trueType
	for i, data := range [][]byte{liberationsansregular.TTF, liberationsansbold.TTF} {
		t, err := openTrueType(data)
		if err != nil {
			panic(err) // the font is part of the program
		}
		out[i] = t
	}
	return out
})

// subsetOf returns the part of the regular or the bold font that shows the runes.
func subsetOf(runes []rune, bold bool) []byte {
	if bold {
		return sources()[1].subset(runes, subsetNames("Bold"))
	}
	return sources()[0].subset(runes, subsetNames("Regular"))
}

// FontFaces returns the CSS rules that embed the font for the given texts,
// regular and bold. A page with several figures of the format InlineSVG needs
// them once, for the texts of all its figures.
func FontFaces(regular, bold string) string {
	return fontFace([]rune(regular), false) + fontFace([]rune(bold), true)
}

// fontFace returns the rule for one weight, or nothing where no text needs it.
func fontFace(runes []rune, bold bool) string {
	if len(runes) == 0 {
		return ""
	}
	weight := 400
	if bold {
		weight = 700
	}
	return fmt.Sprintf("@font-face{font-family:'%s';font-weight:%d;src:url(data:font/ttf;base64,%s) format('truetype')}\n",
		FontFamily, weight, base64.StdEncoding.EncodeToString(subsetOf(runes, bold)))
}

// nameRecord is an entry of a font's table of names.
type nameRecord struct {
	id   uint16
	text string
}

// subsetNames returns the names of a subset: its own family name, and the
// copyright and licence of its source as the OFL asks.
func subsetNames(style string) []nameRecord {
	return []nameRecord{
		{0, "Digitized data copyright (c) 2010 Google Corporation. Copyright (c) 2012 Red Hat, Inc. " +
			"A part of Liberation Sans, cut for a figure."},
		{1, FontFamily},
		{2, style},
		{4, FontFamily + " " + style},
		{6, strings.ReplaceAll(FontFamily, " ", "") + "-" + style},
		{13, "Licensed under the SIL Open Font License, Version 1.1"},
	}
}

// nameTable returns the table name with the records for Windows, in UTF-16.
func nameTable(records []nameRecord) []byte {
	const windows, unicodeBMP, english = 3, 1, 0x409
	out := binary.BigEndian.AppendUint16(nil, 0)
	out = binary.BigEndian.AppendUint16(out, uint16(len(records)))
	out = binary.BigEndian.AppendUint16(out, uint16(6+12*len(records)))
	var text []byte
	for _, r := range records {
		from := len(text)
		for _, u := range utf16.Encode([]rune(r.text)) {
			text = binary.BigEndian.AppendUint16(text, u)
		}
		for _, v := range []int{windows, unicodeBMP, english, int(r.id), len(text) - from, from} {
			out = binary.BigEndian.AppendUint16(out, uint16(v))
		}
	}
	return slices.Concat(out, text)
}
