package plots

import (
	"strings"
	"testing"

	"gonum.org/v1/plot/vg"
)

func TestWrapKeepsTheTextAndTheWidth(t *testing.T) {
	f := face(8, true)
	for _, s := range []string{greek60, longest, strings.Repeat("Ω", 90), "a  b", "瓦螨对双甲脒的抗药性第十四蜂场"} {
		for _, limit := range []vg.Length{30, 80, 200} {
			lines := wrap(f, s, limit)
			for _, l := range lines {
				if w := room(f, l); w > limit && len([]rune(l)) > 1 {
					t.Errorf("wrap to %g: line %q needs %g", limit, l, w)
				}
			}
			strip := strings.NewReplacer(" ", "").Replace
			if got := strip(strings.Join(lines, "")); got != strip(s) {
				t.Errorf("wrap to %g lost text: %q from %q", limit, got, s)
			}
		}
	}
}

func TestNoBreakSpaceDoesNotBreak(t *testing.T) {
	f := face(8, false)
	lines := wrap(f, "exact 95\u00a0% limits", room(f, "exact 95")+1)
	if want := "exact|95\u00a0%|limits"; strings.Join(lines, "|") != want {
		t.Errorf("lines %q, want %q", lines, want)
	}
}

func TestFitBlockShrinksBeforeItCuts(t *testing.T) {
	big := fitBlock("Apiary 14", 200, titleSize, titleSmall, true, 2)
	if big.face.Font.Size != titleSize || len(big.lines) != 1 {
		t.Errorf("a short title is set at %g on %d lines", big.face.Font.Size, len(big.lines))
	}
	f := face(titleSmall, true)
	shrunk := fitBlock(greek60, room(f, greek60)*0.56, titleSize, titleSmall, true, 2)
	if shrunk.face.Font.Size >= titleSize || len(shrunk.lines) > 2 || strings.Contains(strings.Join(shrunk.lines, ""), "…") {
		t.Errorf("60 Greek characters: size %g, lines %q", shrunk.face.Font.Size, shrunk.lines)
	}
	for limit := vg.Length(150); limit < 220; limit += 3 {
		cut := fitBlock(longest, limit, titleSize, titleSmall, true, 2)
		if len(cut.lines) != 2 || !strings.HasSuffix(cut.lines[1], "…") || room(cut.face, cut.lines[1]) > limit {
			t.Errorf("a title too long for two lines of %g: %q", limit, cut.lines)
		}
	}
}

func TestCleanLeavesWhatXMLCarries(t *testing.T) {
	if got, want := clean(" a\x00b\tc\nd\xffe\uffff "), "a\ufffdb c d\ufffde\ufffd"; got != want {
		t.Errorf("clean: %q, want %q", got, want)
	}
}

// The room for a text holds it in DejaVu Sans, wider than the measured font. The
// factors are those of the digits, measured with both fonts.
func TestRoomHoldsAWiderFont(t *testing.T) {
	const digits, digitsBold = 1.144, 1.251
	for _, bold := range []bool{false, true} {
		want := digits
		if bold {
			want = digitsBold
		}
		f := face(8, bold)
		if got := float64(room(f, "0123456789") / width(f, "0123456789")); got < want {
			t.Errorf("bold %v: room for %.3f of the width, want at least %.3f", bold, got, want)
		}
	}
}

// A rune without a glyph is counted as an em, so that it cannot run out.
func TestWidthOfMissingGlyphs(t *testing.T) {
	f := face(10, false)
	if w := width(f, "瓦螨"); w < 20 {
		t.Errorf("two ideographs at 10 points are taken to be %g wide", w)
	}
	if covered(f, "瓦") || !covered(f, "µ Ώ −×…–") {
		t.Error("covered is wrong about the glyphs of the font")
	}
}

// setWidth is width but for kerning, which moves a pair of letters by less than a
// tenth of an em and a text by less.
func TestSetWidth(t *testing.T) {
	for _, bold := range []bool{false, true} {
		f := face(13, bold)
		for _, s := range []string{"", "a", "ñ", "Ж", "Ω", "Of 100 mites, how many would likely live?", "AVAVAV", longest} {
			got, want := float64(setWidth(f, s)), float64(width(f, s))
			if n := float64(len([]rune(s))); got < want-0.01*n || got > want+0.1*13*n {
				t.Errorf("bold %v: %q is %g wide, with kerning %g", bold, s, got, want)
			}
			if n := len([]rune(s)); n == 1 && (got < want-0.02 || got > want+0.02) { // font units are rounded
				t.Errorf("bold %v: %q is %g wide, want %g", bold, s, got, want)
			}
		}
	}
}
