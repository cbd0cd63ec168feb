package plots

import (
	"encoding/base64"
	"regexp"
	"slices"
	"strings"
	"testing"

	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// sample has simple letters, letters made of parts (é, Ά, Й) and a sign.
const sample = "Vial µé ΆΩ Йж 0–9 −∞"

// The subset draws each of its runes as the whole font does, and has its widths.
func TestSubsetKeepsOutlinesAndWidths(t *testing.T) {
	for i, bold := range []bool{false, true} {
		whole := sources()[i].glyphs
		part, err := sfnt.Parse(subsetOf([]rune(sample), bold))
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range sample {
			want, wide := outlineAndWidth(t, whole, r)
			got, has := outlineAndWidth(t, part, r)
			if !slices.Equal(got, want) || has != wide {
				t.Errorf("bold %v: %q is drawn otherwise in the subset", bold, r)
			}
		}
	}
}

func outlineAndWidth(t *testing.T, f *sfnt.Font, r rune) (sfnt.Segments, fixed.Int26_6) {
	t.Helper()
	var b sfnt.Buffer
	g, err := f.GlyphIndex(&b, r)
	if err != nil || g == 0 {
		t.Fatalf("%q has no glyph: %v", r, err)
	}
	segments, err := f.LoadGlyph(&b, g, fixed.I(2048), nil)
	if err != nil {
		t.Fatalf("%q: %v", r, err)
	}
	segments = slices.Clone(segments)
	wide, err := f.GlyphAdvance(&b, g, fixed.I(2048), font.HintingNone)
	if err != nil {
		t.Fatal(err)
	}
	return segments, wide
}

// The subset has the glyphs asked for, their parts, and no other.
func TestSubsetIsSmall(t *testing.T) {
	part, err := sfnt.Parse(subsetOf([]rune("ab瓦😀"), false))
	if err != nil {
		t.Fatal(err)
	}
	if n := part.NumGlyphs(); n != 3 { // with the missing-glyph mark
		t.Errorf("%d glyphs, want 3", n)
	}
	if n := len(subsetOf([]rune(sample), false)); n > 6000 {
		t.Errorf("%d bytes for %d letters", n, len([]rune(sample)))
	}
	var b sfnt.Buffer
	if g, _ := part.GlyphIndex(&b, 'c'); g != 0 {
		t.Error("a letter that was not asked for has a glyph")
	}
}

// Its licence reserves the name of the whole font, and asks for the copyright.
func TestSubsetIsRenamed(t *testing.T) {
	part, err := sfnt.Parse(subsetOf([]rune("a"), true))
	if err != nil {
		t.Fatal(err)
	}
	var b sfnt.Buffer
	for id, want := range map[sfnt.NameID]string{
		sfnt.NameIDFamily: "Vialwise Sans", sfnt.NameIDFull: "Vialwise Sans Bold", sfnt.NameIDPostScript: "VialwiseSans-Bold",
	} {
		if got, err := part.Name(&b, id); err != nil || got != want {
			t.Errorf("name %d is %q (%v), want %q", id, got, err, want)
		}
	}
	if s, _ := part.Name(&b, sfnt.NameIDCopyright); !strings.Contains(s, "Google Corporation") {
		t.Errorf("copyright %q", s)
	}
	if s, _ := part.Name(&b, sfnt.NameIDLicense); !strings.Contains(s, "SIL Open Font License, Version 1.1") {
		t.Errorf("licence %q", s)
	}
}

// The sum of a whole font is fixed by the format (ISO/IEC 14496-22, head).
func TestSubsetChecksum(t *testing.T) {
	if got := checksum(subsetOf([]rune(sample), false)); got != 0xB1B0AFBA {
		t.Errorf("checksum %#X", got)
	}
}

// A file that stands alone has a glyph for each of its letters, in both weights.
func TestSVGEmbedsItsLetters(t *testing.T) {
	c := with(ordinary(), func(c *Curve) { c.Title = greek60 })
	doc := string(file(t, c, SVG))
	embedded := regexp.MustCompile(`font-weight:(\d+);src:url\(data:font/ttf;base64,([^)]*)\)`).FindAllStringSubmatch(doc, -1)
	if len(embedded) != 2 {
		t.Fatalf("%d fonts, want the regular and the bold", len(embedded))
	}
	for _, m := range embedded {
		data, err := base64.StdEncoding.DecodeString(m[2])
		if err != nil {
			t.Fatal(err)
		}
		f, err := sfnt.Parse(data)
		if err != nil {
			t.Fatal(err)
		}
		texts := "observed 0.25 Mortality (%)"
		if m[1] == "700" {
			texts = greek60
		}
		for _, r := range texts {
			outlineAndWidth(t, f, r)
		}
	}
	if strings.Contains(svg(t, c), "base64") {
		t.Error("the element for a page embeds a font of its own")
	}
}

// A page embeds the letters of its figures once.
func TestFontFaces(t *testing.T) {
	regular, bold, err := Texts(ordinary())
	if err != nil || !strings.Contains(regular, "Mortality (%)") || bold != "Apiary 14, spring 2031" {
		t.Errorf("texts %q and %q, %v", regular, bold, err)
	}
	if n := strings.Count(FontFaces(regular, bold), "@font-face"); n != 2 {
		t.Errorf("%d rules, want 2", n)
	}
	if css := FontFaces(regular, ""); strings.Count(css, "@font-face") != 1 || !strings.Contains(css, "font-weight:400") {
		t.Errorf("rules without bold text: %.80q", css)
	}
}
