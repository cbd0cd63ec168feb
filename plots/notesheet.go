package plots

import (
	"cmp"
	"fmt"
	"strings"

	"gonum.org/v1/plot/vg"
)

// Sheet is one printed page of large text, such as a beekeeper's note: a title,
// blocks of short lines beside their headings, a picture and small print. It is
// written as PDF, and as PNG or SVG to look at; what does not fit on the page at
// 11 points is an error. All texts are the caller's, in the language of the page.
type Sheet struct {
	Paper           Paper
	Language        string // of the text, such as "es": BCP 47
	Title, Subtitle string
	Blocks          []SheetBlock
	Picture         Survivors // its title is its heading; without rows there is none
	PictureAfter    int       // the number of blocks above the picture
	SmallPrint      []string  // at the foot of the page, a paragraph each
	Mark            string    // at the very end, such as "invented data"
}

// SheetBlock is a heading with the lines that stand beside it.
type SheetBlock struct {
	Heading string
	Lines   []string // a paragraph each
	Strong  bool     // set bold on a tint: what must be seen first
}

// Paper is a size of paper.
type Paper uint8

// The sizes of paper: ISO 216 A4, and 8.5 by 11 inches.
const (
	A4 Paper = iota
	Letter
)

// size is the size of the paper, upright.
func (p Paper) size() (w, h vg.Length) {
	switch p {
	case A4:
		return 210 * vg.Millimeter, 297 * vg.Millimeter
	case Letter:
		return 8.5 * vg.Inch, 11 * vg.Inch
	}
	panic(fmt.Sprintf("plots: unknown Paper(%d)", p))
}

func (s Sheet) withTexts(do func(string) string) Figure {
	s.Title, s.Subtitle, s.Mark = do(s.Title), do(s.Subtitle), do(s.Mark)
	s.Picture = s.Picture.withTexts(do).(Survivors)
	s.SmallPrint = throughAll(s.SmallPrint, do)
	s.Blocks = append([]SheetBlock(nil), s.Blocks...)
	for i := range s.Blocks {
		s.Blocks[i].Heading = do(s.Blocks[i].Heading)
		s.Blocks[i].Lines = throughAll(s.Blocks[i].Lines, do)
	}
	return s
}

func throughAll(list []string, do func(string) string) []string {
	out := make([]string, len(list))
	for i, s := range list {
		out[i] = do(s)
	}
	return out
}

// words returns the title, and the subtitle as the description: the rest of the
// page is text itself.
func (s Sheet) words() (name, description string) {
	name = cmp.Or(clean(s.Title), "Sheet")
	return name, cmp.Or(clean(s.Subtitle), name)
}

func (s Sheet) language() string { return s.Language }

func (s Sheet) check() error {
	for _, r := range s.Language {
		if !(r == '-' || 'a' <= r && r <= 'z' || 'A' <= r && r <= 'Z' || '0' <= r && r <= '9') {
			return fmt.Errorf("plots: a page in the language %q: give a tag such as \"es\"", s.Language)
		}
	}
	if s.PictureAfter < 0 || s.PictureAfter > len(s.Blocks) {
		return fmt.Errorf("plots: a picture after %d of %d blocks", s.PictureAfter, len(s.Blocks))
	}
	if len(s.Picture.Rows) > 0 {
		return s.Picture.check()
	}
	return nil
}

// page sets the page at the largest size at which it fits, and where none does,
// tightly at the smallest.
func (s Sheet) page() (page, error) {
	if err := s.check(); err != nil {
		return page{}, err
	}
	w, h := s.Paper.size()
	var over vg.Length
	size := largestText
	for _, sp := range []spacing{loose, tight} {
		for ; size >= smallestText; size -= sizeStep {
			l := s.layOut(size, sp)
			if over = l.height - (h - 2*sp.edge); over <= 0 {
				return page{w, h, func(p pen) { l.draw(p, h) }}, nil
			}
		}
		size = smallestText
	}
	return page{}, fmt.Errorf("plots: the page %q does not fit on one page: at %g points it is %.0f mm too long: shorten its text",
		strings.TrimSpace(clean(s.Title)), float64(smallestText), float64(over/vg.Millimeter)+1)
}
