package plots

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
