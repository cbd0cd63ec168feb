package plots

import (
	"cmp"
	"fmt"
	"strings"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
)

// Widths of figures for print: one and two columns (common practice).
const (
	OneColumn  = 85 * vg.Millimeter
	TwoColumns = 174 * vg.Millimeter
)

// Default size of a figure. Where its texts need more, an unstated height grows.
const (
	DefaultWidth  = OneColumn
	DefaultHeight = 70 * vg.Millimeter
)

// goodData is the height of the data area for which an unstated height grows.
const goodData vg.Length = 84

// Caption holds the words around a figure and its size.
type Caption struct {
	Title, Subtitle string

	// Note says what the reader must know first, such as "no fit: separated; LC50
	// between 1 and 2".
	Note string

	// Mark is a short remark on the figure itself, such as "invented data"; it is
	// set at the end of the footer.
	Mark string

	Width, Height vg.Length // zero for the default
}

// withTexts returns the caption with its texts passed through a function.
func (c Caption) withTexts(do func(string) string) Caption {
	c.Title, c.Subtitle, c.Note, c.Mark = do(c.Title), do(c.Subtitle), do(c.Note), do(c.Mark)
	return c
}

// width returns the width with the default filled in.
func (c Caption) width() vg.Length {
	if c.Width == 0 {
		return DefaultWidth
	}
	return c.Width
}

// height returns the height: as stated, or the least usual one that leaves the
// data what they need beside the given furniture.
func (c Caption) height(furniture, data vg.Length) vg.Length {
	if c.Height != 0 {
		return c.Height
	}
	usual := min(max(DefaultHeight, 0.6*c.width()), 1.5*DefaultHeight)
	return max(usual, furniture+data)
}

// header returns the paragraphs above the data.
func (c Caption) header(limit vg.Length) []block {
	var out []block
	if s := clean(c.Title); s != "" {
		out = append(out, fitBlock(s, limit, titleSize, titleSmall, true, 2))
	}
	for _, s := range []string{clean(c.Subtitle), clean(c.Note)} {
		if s != "" {
			out = append(out, fitBlock(s, limit, bodySize, footSize, false, 2))
		}
	}
	return out
}

// footer says how the marks are to be read, in groups of clauses that start a
// line each, and ends with the mark of the figure.
func (c Caption) footer(groups [][]string, limit vg.Length) block {
	b := block{face: face(footSize, false)}
	for _, clauses := range groups {
		b.lines = append(b.lines, pack(b.face, clauses, limit)...)
	}
	if s := clean(c.Mark); s != "" {
		b.lines = append(b.lines, fitBlock(s, limit, footSize, footSize, false, maxMark).lines...)
	}
	return b
}

// maxMark is the number of lines that the mark may take.
const maxMark = 2

// pack sets clauses on as few lines as it can without breaking a clause; one that
// no line holds is wrapped.
func pack(f font.Face, clauses []string, limit vg.Length) []string {
	var lines []string
	line := ""
	for _, s := range clauses {
		if line != "" && room(f, line+" "+s) <= limit {
			line += " " + s
			continue
		}
		lines = append(lines, wrap(f, line, limit)...)
		line = s
	}
	return append(lines, wrap(f, line, limit)...)
}

// name returns the short text alternative: the title, or what is drawn.
func (c Caption) name(otherwise string) string {
	return cmp.Or(clean(c.Title), otherwise)
}

// tell joins what a figure shows to a description, with the caption in its place:
// the subject first, then what was written above the figure, the finding, and the
// mark last.
func (c Caption) tell(subject string, finding ...string) string {
	say := append([]string{subject, clean(c.Subtitle), clean(c.Note)}, finding...)
	var out []string
	for _, s := range append(say, clean(c.Mark)) {
		if s != "" {
			out = append(out, strings.TrimRight(s, ". ")+".")
		}
	}
	return strings.Join(out, " ")
}

// errNoRoom says that the size does not hold the figure.
func errNoRoom(w, h vg.Length, what, cure string) error {
	return fmt.Errorf("plots: a figure %.0f mm wide and %.0f mm high %s: %s", w/vg.Millimeter, h/vg.Millimeter, what, cure)
}
