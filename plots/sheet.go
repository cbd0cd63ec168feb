package plots

import "gonum.org/v1/plot/vg"

const (
	margin     vg.Length = 6
	gap        vg.Length = 3
	tickLength vg.Length = 2.5
	offset     vg.Length = 4  // axes stand off the data, so 0 and 100 % stay visible
	minData    vg.Length = 36 // a lower or narrower data area cannot be read
)

// sheet is a page with everything but the data in its place.
type sheet struct {
	w, h   vg.Length
	header []block // from the top down
	key    keyBox
	footer block
	body   area // what is left for the data, their axes and labels
}

// area is a rectangle on the page.
type area struct{ left, right, bottom, top vg.Length }

// sheet lays out the words around the data. The data, with their axes and labels,
// ask for the given height; a page of unstated height grows to hold it.
func (c Caption) sheet(key keyBox, footer [][]string, data vg.Length) (sheet, error) {
	w := c.width()
	inner := w - 2*margin
	if !(inner >= 2*minData) || c.Height < 0 {
		return sheet{}, errNoRoom(w, c.height(0, data), "has no room for its text", "use the default size")
	}
	s := sheet{w: w, header: c.header(inner), footer: c.footer(footer, inner)}
	s.key = key.fit(inner)
	above := margin + s.headerHeight() + gap
	below := margin + s.footer.height() + s.key.height()
	s.h = c.height(above+below, data)
	s.body = area{margin, w - margin, below, s.h - above}
	return s, nil
}

// headerHeight is the height of the paragraphs above the data.
func (s sheet) headerHeight() vg.Length {
	var sum vg.Length
	for _, b := range s.header {
		sum += b.height()
	}
	return sum
}

// draw sets the words.
func (s sheet) draw(p pen) {
	top := s.h - margin
	for i, b := range s.header {
		c := text
		if i == 0 {
			c = ink
		}
		top = p.writeBlock(b, c, margin, top, atStart)
	}
	s.key.draw(p, margin, s.body.bottom)
	p.writeBlock(s.footer, text, margin, margin+s.footer.height(), atStart)
}
