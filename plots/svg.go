package plots

import (
	"fmt"
	"html"
	"image/color"
	"math"
	"strconv"
	"strings"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
)

// encodeSVG writes a document that stands alone.
func encodeSVG(r *recording, info sheetInfo) ([]byte, error) {
	return svgDocument(r, info, fontFace(r.runes(false), false)+fontFace(r.runes(true), true)), nil
}

// encodeInlineSVG writes an element for a page that embeds the font itself.
func encodeInlineSVG(r *recording, info sheetInfo) ([]byte, error) {
	return svgDocument(r, info, ""), nil
}

// svgDocument writes one SVG element without an XML declaration.
func svgDocument(r *recording, info sheetInfo, style string) []byte {
	c := &svgCanvas{h: info.h}
	w, h := number(info.w), number(info.h)
	fmt.Fprintf(&c.b, `<svg xmlns="http://www.w3.org/2000/svg" role="img" width="%spt" height="%spt" viewBox="0 0 %s %s" font-family="%s">`,
		w, h, w, h, FontList)
	fmt.Fprintf(&c.b, "\n<title>%s</title>\n<desc>%s</desc>\n", html.EscapeString(info.name), html.EscapeString(info.description))
	if style != "" {
		c.b.WriteString("<style>\n" + style + "</style>\n")
	}
	r.replay(c)
	c.b.WriteString("</svg>\n")
	return []byte(c.b.String())
}

// svgCanvas writes marks as SVG elements. SVG counts from the top, the figure
// from the bottom.
type svgCanvas struct {
	b strings.Builder
	h vg.Length
}

func (c *svgCanvas) stroke(p vg.Path, s stroke) {
	fmt.Fprintf(&c.b, `<path d="%s" fill="none" %s stroke-width="%s"`, c.data(p), paint("stroke", s.colour), number(s.width))
	if len(s.dash) > 0 {
		parts := make([]string, len(s.dash))
		for i, d := range s.dash {
			parts[i] = number(d)
		}
		fmt.Fprintf(&c.b, ` stroke-dasharray="%s"`, strings.Join(parts, " "))
	}
	c.b.WriteString("/>\n")
}

func (c *svgCanvas) fill(p vg.Path, k color.NRGBA) {
	fmt.Fprintf(&c.b, "<path d=\"%s\" %s/>\n", c.data(p), paint("fill", k))
}

// write sets a text. It leaves it to the reader to align it, and tells the width
// it was laid out with, unless the font lacks some of its glyphs and another font
// decides.
func (c *svgCanvas) write(l lettering) {
	x, y := number(l.at.X), number(c.h-l.at.Y)
	fmt.Fprintf(&c.b, `<text x="%s" y="%s" font-size="%s" %s`, x, y, number(l.face.Font.Size), paint("fill", l.colour))
	if isBold(l.face) {
		c.b.WriteString(` font-weight="700"`)
	}
	if l.up {
		fmt.Fprintf(&c.b, ` transform="rotate(-90 %s %s)"`, x, y)
	}
	switch l.anchor {
	case atMiddle:
		c.b.WriteString(` text-anchor="middle"`)
	case atEnd:
		c.b.WriteString(` text-anchor="end"`)
	}
	if covered(l.face, l.s) {
		fmt.Fprintf(&c.b, ` textLength="%s" lengthAdjust="spacingAndGlyphs"`, number(width(l.face, l.s)))
	}
	fmt.Fprintf(&c.b, ">%s</text>\n", html.EscapeString(l.s))
}

// data writes a path.
func (c *svgCanvas) data(p vg.Path) string {
	var b strings.Builder
	at := func(letter string, pts ...vg.Point) {
		for i, pt := range pts {
			if i > 0 {
				letter = " "
			}
			b.WriteString(letter + number(pt.X) + "," + number(c.h-pt.Y))
		}
	}
	for _, k := range p {
		switch k.Type {
		case vg.MoveComp:
			at("M", k.Pos)
		case vg.LineComp:
			at("L", k.Pos)
		case vg.CurveComp:
			at("C", append(k.Control[:2:2], k.Pos)...)
		case vg.CloseComp:
			b.WriteByte('Z')
		default:
			panic("plots: a path with an arc")
		}
	}
	return b.String()
}

// paint names a colour, and its opacity unless it is opaque.
func paint(what string, c color.NRGBA) string {
	s := fmt.Sprintf(`%s="#%02X%02X%02X"`, what, c.R, c.G, c.B)
	if c.A < 0xFF {
		s += fmt.Sprintf(` %s-opacity="%.3g"`, what, float64(c.A)/0xFF)
	}
	return s
}

// number writes a length to a hundredth of a point, finer than any printer.
func number(v vg.Length) string {
	r := math.Round(float64(v)*100) / 100
	if r == 0 {
		r = 0 // no minus sign
	}
	return strconv.FormatFloat(r, 'f', -1, 64)
}

// isBold reports whether the face is bolder than normal.
func isBold(f font.Face) bool { return f.Font.Weight > 0 }
