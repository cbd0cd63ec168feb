package plots

import (
	"sort"
	"strings"
	"sync"
	"unicode"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	stdfont "golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
)

// fonts holds the regular and the bold face, taken apart when the first figure is
// drawn.
var fonts = sync.OnceValue(func() [2]font.Face {
	var out [2]font.Face
	for i, data := range [][]byte{liberationsansregular.TTF, liberationsansbold.TTF} {
		f, err := opentype.Parse(data)
		if err != nil {
			panic(err) // the font is part of the program
		}
		out[i] = font.Face{Font: font.Font{Typeface: "Liberation", Variant: "Sans"}, Face: f}
	}
	out[1].Font.Weight = stdfont.WeightBold
	return out
})

// face returns the sans-serif face of the given size.
func face(size vg.Length, bold bool) font.Face {
	f := fonts()[0]
	if bold {
		f = fonts()[1]
	}
	f.Font.Size = size
	return f
}

// covered reports whether the face has a glyph for every rune of s.
func covered(f font.Face, s string) bool {
	return missing(f, s) == 0
}

// missing counts the runes of s for which the face has no glyph.
func missing(f font.Face, s string) int {
	n := 0
	for _, r := range s {
		if g, err := f.Face.GlyphIndex(nil, r); err != nil || g == 0 {
			n++
		}
	}
	return n
}

// width returns the set width of s. A rune that the face lacks is drawn by some
// other font of the reader's, so it is counted as one em, the width of an
// ideograph, to keep room for it.
func width(f font.Face, s string) vg.Length {
	w := f.Width(s)
	if n := missing(f, s); n > 0 {
		w += vg.Length(n) * f.Font.Size
	}
	return w
}

// setWidth returns the width of s as PDF sets it, without kerning, at a fraction of
// the time of width. A rune that the font lacks counts one em.
func setWidth(f font.Face, s string) vg.Length {
	ems := &advances()[0]
	if isBold(f) {
		ems = &advances()[1]
	}
	sum := 0.0
	for _, r := range s {
		if int(r) < len(ems) {
			sum += ems[r]
		} else {
			sum++
		}
	}
	return vg.Length(sum) * f.Font.Size
}

// advances are the widths in ems of the runes of European scripts and of common
// signs, of the regular and the bold face.
var advances = sync.OnceValue(func() *[2][0x2300]float64 {
	var out [2][0x2300]float64
	for i, f := range fonts() {
		f.Font.Size = 1000
		for r := range out[i] {
			out[i][r] = float64(width(f, string(rune(r)))) / 1000
		}
	}
	return &out
})

// Other fonts are wider than the ones measured here. DejaVu Sans, to which many
// systems fall back, sets the sentences of these figures 10 to 18 % wider and a
// short word of narrow letters 23 %, its bold 17 to 28 % (measured with both
// fonts). A reader that heeds textLength squeezes it; for the others every place
// for text is this much larger than the text, and the gaps take up the rest.
const (
	slack     = 1.2
	boldSlack = 1.3
)

// measure returns how much room a text takes in a face: room, or setWidth where
// the font is sure to be this one.
type measure func(font.Face, string) vg.Length

// room returns the width to keep free for s, whatever font sets it.
func room(f font.Face, s string) vg.Length {
	if isBold(f) {
		return boldSlack * width(f, s)
	}
	return slack * width(f, s)
}

// clean makes s a single line that XML can carry: white space that would break
// the line becomes a space, and code points that XML 1.0 forbids become U+FFFD.
func clean(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case r == '\n', r == '\r', r == '\t', r == '\u2028', r == '\u2029':
			return ' '
		case unicode.IsControl(r), r == '\uFFFE', r == '\uFFFF':
			return unicode.ReplacementChar
		}
		return r
	}, strings.ToValidUTF8(s, string(unicode.ReplacementChar)))
	return strings.Trim(s, " ")
}

// wrap breaks s at spaces into lines that need no more room than limit, and inside a word
// only where the word alone needs more. A no-break space does not break.
func wrap(f font.Face, s string, limit vg.Length) []string {
	return wrapIn(f, s, limit, room)
}

// wrapIn is wrap with the room that a text takes measured otherwise.
func wrapIn(f font.Face, s string, limit vg.Length, room measure) []string {
	var lines []string
	line := ""
	for word := range strings.SplitSeq(s, " ") {
		if word == "" {
			continue
		}
		if line != "" && room(f, line+" "+word) <= limit {
			line += " " + word
			continue
		}
		if line != "" {
			lines = append(lines, line)
		}
		for word != "" && room(f, word) > limit {
			head := fittingIn(f, word, limit, room)
			lines = append(lines, head)
			word = word[len(head):]
		}
		line = word
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// fitting returns the longest beginning of s, of at least one rune, that
// needs no more room than limit.
func fitting(f font.Face, s string, limit vg.Length) string {
	return fittingIn(f, s, limit, room)
}

func fittingIn(f font.Face, s string, limit vg.Length, room measure) string {
	end := 0
	for i, r := range s {
		next := i + len(string(r))
		if end > 0 && room(f, s[:next]) > limit {
			break
		}
		end = next
	}
	return s[:end]
}

// block is a paragraph ready to be set: its lines and their face.
type block struct {
	lines []string
	face  font.Face
}

// height is the room the block takes, including the space between lines.
func (b block) height() vg.Length {
	return vg.Length(len(b.lines)) * b.leading()
}

// leading is the distance between two baselines.
func (b block) leading() vg.Length {
	return b.face.Font.Size * 1.2
}

// setBlock sets s within limit at one size, on as many lines as it takes.
func setBlock(s string, limit, size vg.Length, bold bool, room measure) block {
	f := face(size, bold)
	return block{wrapIn(f, s, limit, room), f}
}

// fitBlock sets s within limit: at the largest size from big down to small at
// which it takes at most most lines, and failing that at the small size cut
// short with an ellipsis. (The description of a figure repeats it in full.)
func fitBlock(s string, limit, big, small vg.Length, bold bool, most int) block {
	return fitCut(s, limit, big, small, bold, most, func(r []rune, keep int) string {
		return strings.TrimRight(string(r[:keep]), " ") + "…"
	})
}

// fitName is fitBlock for a name among others, which is cut in its middle:
// names differ at either end.
func fitName(s string, limit, big, small vg.Length, most int) block {
	return fitCut(s, limit, big, small, false, most, func(r []rune, keep int) string {
		head := strings.TrimRight(string(r[:(keep+1)/2]), " ")
		tail := strings.TrimLeft(string(r[len(r)-keep/2:]), " ")
		return head + "…" + tail
	})
}

// fitCut sets s within limit; cut shortens it to the given number of runes.
func fitCut(s string, limit, big, small vg.Length, bold bool, most int, cut func(r []rune, keep int) string) block {
	var b block
	for size := big; size >= small; size -= 0.5 {
		f := face(size, bold)
		b = block{lines: wrap(f, s, limit), face: f}
		if len(b.lines) <= most {
			return b
		}
	}
	runes := []rune(s)
	keep := sort.Search(len(runes), func(k int) bool { return len(wrap(b.face, cut(runes, k), limit)) > most }) - 1
	b.lines = wrap(b.face, cut(runes, max(keep, 0)), limit)
	return b
}

// shortened sets s within limit on one line of the face, cut with an ellipsis
// where it is longer.
func shortened(f font.Face, s string, limit vg.Length) string {
	if room(f, s) <= limit {
		return s
	}
	return strings.TrimRight(fitting(f, s, limit-room(f, "…")), " ") + "…"
}
