package plots

import (
	"bytes"
	"fmt"
	"html"
	"io"
	"strings"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/vgsvg"
)

// fontList names the fonts that may set the text: those of one set of widths,
// then whatever the reader has.
const fontList = "'Liberation Sans',Arial,Helvetica,sans-serif"

// WriteSVG writes the figure as one SVG element without an XML declaration, so
// that it can stand alone or inside an HTML page. The same value gives the same
// bytes. It fails, before writing anything, on a value that cannot be drawn and
// on a size too small for the text.
func (c Curve) WriteSVG(w io.Writer) error {
	if err := c.check(); err != nil {
		return err
	}
	l, err := c.arrange()
	if err != nil {
		return err
	}
	canvas := &svgCanvas{Canvas: vgsvg.New(l.w, l.h)}
	c.draw(canvas, l)
	var raw bytes.Buffer
	if _, err := canvas.WriteTo(&raw); err != nil {
		return fmt.Errorf("plots: writing SVG: %w", err)
	}
	out, err := canvas.finish(raw.String(), c.name(), c.describe())
	if err != nil {
		return err
	}
	if _, err := io.WriteString(w, out); err != nil {
		return fmt.Errorf("plots: writing SVG: %w", err)
	}
	return nil
}

// svgCanvas remembers the attributes that its texts still need.
type svgCanvas struct {
	*vgsvg.Canvas
	attributes []string // of each text in order of drawing
}

// fillAnchored draws the text at its anchor and notes how it is aligned, and its
// width, unless the font lacks some of its glyphs and another font decides.
func (c *svgCanvas) fillAnchored(f font.Face, at vg.Point, anchor float64, s string) {
	attributes := ""
	switch anchor {
	case atMiddle:
		attributes = `text-anchor="middle" `
	case atEnd:
		attributes = `text-anchor="end" `
	}
	if covered(f, s) {
		attributes += fmt.Sprintf(`textLength="%.5g" lengthAdjust="spacingAndGlyphs" `, width(f, s))
	}
	c.attributes = append(c.attributes, attributes)
	c.Canvas.FillString(f, at, s)
}

// finish turns the canvas's document into ours: a header with role, title and
// description, a list of fonts instead of one, and for each text its
// alignment and the width it was laid out with.
//
// A user's text cannot be mistaken for markup here: the canvas has escaped its
// angle brackets and quotes.
func (c *svgCanvas) finish(doc, title, description string) (string, error) {
	const open, end = "<svg ", ">"
	start := strings.Index(doc, open)
	stop := strings.Index(doc[max(start, 0):], end)
	if start < 0 || stop < 0 {
		return "", fmt.Errorf("plots: the SVG canvas wrote no %q element", open)
	}
	body := doc[start+stop+len(end):]
	body = strings.ReplaceAll(body, `style="font-family:Liberation Sans;font-variant:normal;`, `style="font-family:`+fontList+`;`)
	var b strings.Builder
	w, h := c.Size()
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" role="img" width="%.5gpt" height="%.5gpt" viewBox="0 0 %.5g %.5g">`,
		w, h, w, h)
	fmt.Fprintf(&b, "\n<title>%s</title>\n<desc>%s</desc>", html.EscapeString(title), html.EscapeString(description))
	for i, piece := range strings.Split(body, "<text ") {
		if i > 0 {
			b.WriteString("<text " + c.attributes[i-1])
		}
		b.WriteString(piece)
	}
	return b.String(), nil
}
