package plots

import "gonum.org/v1/plot/vg"

// Sizes of a Sheet in points. The text is large since it is read at a workbench
// and by older eyes; 12 points and more are commonly advised for them (common
// practice).
const (
	largestText  vg.Length = 13
	smallestText vg.Length = 11
	sizeStep     vg.Length = 0.5
	sheetAcross  vg.Length = 42 // margin at either side
	smallPrint   vg.Length = 8.5
)

// Proportions of a Sheet, in parts of the size of its text.
const (
	sheetTitle    vg.Length = 1.75
	sheetHeading  vg.Length = 0.92
	headingColumn vg.Length = 8.6 // width of the headings
	columnGap     vg.Length = 1.1
	bulletIndent  vg.Length = 0.95
)

// spacing is the room between the lines of a Sheet, in parts of the size of its
// text.
type spacing struct {
	lineGap  vg.Length // between paragraphs
	blockPad vg.Length // above and below a block
	mites    vg.Length // size of the mites, in parts of that beside loose text
	edge     vg.Length // margin above and below, in points
}

// A page is set loosely where it fits so, and else tightly.
var (
	loose = spacing{0.22, 0.5, 1, 42}
	tight = spacing{0.08, 0.3, 0.8, 32}
)

// sheetLayout is a Sheet in its place on the page.
type sheetLayout struct {
	size, w         vg.Length
	spacing         spacing
	title, subtitle block
	parts           []sheetPart
	small           []block
	height          vg.Length // of everything, without the margins
}

// sheetPart is a block, or the picture, with its heading.
type sheetPart struct {
	heading block
	lines   []block
	picture *survivorsLayout
	strong  bool
	height  vg.Length
}

// layOut sets the page at a size of text. The font goes into the file, so that
// texts are as wide as measured.
func (s Sheet) layOut(size vg.Length, sp spacing) sheetLayout {
	w, _ := s.Paper.size()
	l := sheetLayout{size: size, w: w - 2*sheetAcross, spacing: sp}
	set := func(t string, size vg.Length, bold bool, limit vg.Length) block {
		return setBlock(clean(t), limit, size, bold, setWidth)
	}
	l.title, l.subtitle = set(s.Title, size*sheetTitle, true, l.w), set(s.Subtitle, size, false, l.w)
	l.height = l.title.height() + l.subtitle.height() + size*sp.blockPad
	column := l.w - size*(headingColumn+columnGap)
	for i := range len(s.Blocks) + 1 {
		if i == s.PictureAfter && len(s.Picture.Rows) > 0 {
			picture := s.Picture.layOut(column, size, sp.mites, setWidth)
			part := sheetPart{heading: set(s.Picture.Title, size*sheetHeading, true, size*headingColumn), picture: &picture}
			l.add(part, picture.height)
		}
		if i == len(s.Blocks) {
			break
		}
		part := sheetPart{heading: set(s.Blocks[i].Heading, size*sheetHeading, true, size*headingColumn), strong: s.Blocks[i].Strong}
		high := -size * sp.lineGap
		for _, t := range s.Blocks[i].Lines {
			b := set(t, size, part.strong, column-size*bulletIndent)
			part.lines = append(part.lines, b)
			high += b.height() + size*sp.lineGap
		}
		l.add(part, high)
	}
	for _, t := range append(s.SmallPrint[:len(s.SmallPrint):len(s.SmallPrint)], s.Mark) {
		if b := set(t, smallPrint, false, l.w); len(b.lines) > 0 {
			l.small = append(l.small, b)
			l.height += b.height()
		}
	}
	l.height += size * sp.blockPad
	return l
}

// add appends a part whose right column has the given height.
func (l *sheetLayout) add(p sheetPart, high vg.Length) {
	p.height = max(high, p.heading.height()) + 2*l.size*l.spacing.blockPad
	l.parts = append(l.parts, p)
	l.height += p.height
}

// draw draws the page: the parts down from the top, what room is left spread
// between them, the small print at the foot.
func (l sheetLayout) draw(p pen, h vg.Length) {
	left, top := sheetAcross, h-l.spacing.edge
	top = p.writeBlock(l.title, ink, left, top, atStart)
	top = p.writeBlock(l.subtitle, text, left, top, atStart) - l.size*l.spacing.blockPad
	spare := min((h-2*l.spacing.edge-l.height)/vg.Length(len(l.parts)+1), l.size*0.8)
	for i, part := range l.parts {
		part.height += spare
		if part.strong {
			p.box(sheetTint, left-l.size*0.6, top-part.height, left+l.w+l.size*0.6, top)
		} else if i > 0 && !l.parts[i-1].strong || i == 0 {
			p.across(sheetRule, axisLine, nil, left, left+l.w, top)
		}
		l.drawPart(p, part, left, top-l.size*l.spacing.blockPad-spare/2)
		top -= part.height
	}
	p.across(sheetRule, axisLine, nil, left, left+l.w, top)
	foot := l.spacing.edge
	for i := len(l.small) - 1; i >= 0; i-- {
		foot += l.small[i].height()
		p.writeBlock(l.small[i], text, left, foot, atStart)
	}
}

// Colours of a Sheet: the tint under what must be seen first, and the rules.
var (
	sheetTint = sea
	sheetRule = coast
)

// drawPart sets the heading at the left and the lines, or the picture, beside it.
func (l sheetLayout) drawPart(p pen, part sheetPart, left, top vg.Length) {
	raised := (l.size - part.heading.face.Font.Size) * 0.8 // both on one baseline
	p.writeBlock(part.heading, ink, left, top-raised, atStart)
	x := left + l.size*(headingColumn+columnGap)
	if part.picture != nil {
		part.picture.draw(p, x, top)
		return
	}
	c := text
	if part.strong {
		c = ink
	}
	for _, b := range part.lines {
		if len(part.lines) > 1 {
			p.disc(c, vg.Point{X: x + l.size*0.25, Y: top - l.size*0.72}, l.size*0.14)
			p.writeBlock(b, c, x+l.size*bulletIndent, top, atStart)
		} else {
			p.writeBlock(b, c, x, top, atStart)
		}
		top -= b.height() + l.size*l.spacing.lineGap
	}
}
