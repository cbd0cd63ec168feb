package notepage

import (
	"math"
	"unicode/utf8"

	"vialwise/bioassay/advice"
)

// The printed page as the style sheet lays it out, in mm and points, on the paper
// that is narrower or shorter of the two. The widths of letters are those of a wide
// typeface, so that a narrower one leaves room.
const (
	largest, smallest, step = 12.0, 7.0, 0.25 // size of the text in points

	sheetMM     = 257.0 // height of Letter without its margins
	textMM      = 142.0 // width of the lines: A4 without its margins and the headings
	headingMM   = 34.0  // width of the headings
	headMM      = 19.0  // title and subtitle
	strongMM    = 4.0   // around the block that is set off
	sectionMM   = 2.8   // around a block
	lineMM      = 0.5   // between statements
	pictureMM   = 13.0  // key of the picture
	rowMM       = 23.0  // a row of it
	smallMM     = 3.5   // a line of the small print
	smallLine   = 120   // letters in it
	millimetres = 25.4 / 72
	letterWidth = 0.56 // of the size
	boldWidth   = 0.64
	leading     = 1.3
)

// points is the size of the printed text: as large as one sheet allows.
func points(p advice.Page) float64 {
	for size := largest; size > smallest; size -= step {
		if height(p, size) <= sheetMM {
			return size
		}
	}
	return smallest
}

// height is that of the printed page with text of a size.
func height(p advice.Page, size float64) float64 {
	mm := size * millimetres
	total := headMM + strongMM
	for i, b := range p.Blocks {
		width := letterWidth
		if i == 0 {
			width = boldWidth
		}
		lines := 0
		for _, line := range b.Lines {
			lines += broken(line, textMM/(mm*width))
		}
		lines = max(lines, broken(b.Heading, headingMM/(mm*boldWidth)))
		total += sectionMM + lineMM*float64(len(b.Lines)) + leading*mm*float64(lines)
	}
	if n := len(p.Picture.Rows); n > 0 {
		total += sectionMM + pictureMM + rowMM*float64(n)
	}
	small := broken(p.Mark, smallLine)
	for _, line := range p.SmallPrint {
		small += broken(line, smallLine)
	}
	return total + sectionMM + smallMM*float64(small)
}

// broken is the number of lines that a text takes, a blank one none.
func broken(text string, letters float64) int {
	return int(math.Ceil(float64(utf8.RuneCountInString(text)) / letters))
}
