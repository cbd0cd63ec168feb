package plots

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"gonum.org/v1/plot/vg"
)

// Figure is a value that can be drawn: one of the kinds of this package.
type Figure interface {
	// words returns the short text alternative and the description, which states
	// the finding.
	words() (name, description string)
	// page lays the figure out, or says what cannot be drawn.
	page() (page, error)
	// withTexts returns the figure with its texts passed through a function.
	withTexts(func(string) string) Figure
}

// page is a figure ready to be drawn.
type page struct {
	w, h vg.Length
	draw func(pen)
}

// record draws the page once.
func (g page) record() *recording {
	r := &recording{}
	p := pen{r}
	p.box(white, 0, 0, g.w, g.h)
	g.draw(p)
	return r
}

// Format names a kind of file.
type Format uint8

// The formats. InlineSVG is an element for a page of HTML: it names its font and
// leaves it to the page to embed it, once for all figures (see FontFaces). SVG
// stands alone with its font embedded.
const (
	SVG Format = iota
	InlineSVG
	PDF
	PNG // 300 dots per inch
)

var formatNames = [...]string{SVG: "svg", InlineSVG: "inline-svg", PDF: "pdf", PNG: "png"}

// String returns the format's name, which is the extension of a file's name but
// for InlineSVG.
func (f Format) String() string {
	if int(f) < len(formatNames) {
		return formatNames[f]
	}
	return fmt.Sprintf("Format(%d)", f)
}

// ParseFormat returns the format of that name.
func ParseFormat(name string) (Format, error) {
	for i, s := range formatNames {
		if s == name {
			return Format(i), nil
		}
	}
	return 0, fmt.Errorf("plots: format %q is not known: use one of %s", name, strings.Join(formatNames[:], ", "))
}

// Write writes the figure. The same value gives the same bytes. It fails, before
// writing anything, on a value that cannot be drawn and on a size too small for
// the text.
//
// Liberation Sans has Latin, Greek, Cyrillic and Hebrew letters. In SVG the
// reader's own fonts show what it lacks; PDF and PNG, which must carry every
// glyph, print such a character by its Unicode number in brackets.
func Write(w io.Writer, f Figure, format Format) error {
	encode, ok := map[Format]func(*recording, sheetInfo) ([]byte, error){
		SVG: encodeSVG, InlineSVG: encodeInlineSVG, PDF: encodePDF, PNG: encodePNG,
	}[format]
	if !ok {
		panic("plots: unknown " + format.String())
	}
	var info sheetInfo
	info.name, info.description = f.words()
	if s, ok := f.(interface{ language() string }); ok {
		info.language = s.language()
	}
	if format == PDF || format == PNG {
		f = f.withTexts(printable)
	}
	g, err := f.page()
	if err != nil {
		return err
	}
	info.w, info.h = g.w, g.h
	data, err := encode(g.record(), info)
	if err != nil {
		return err
	}
	if _, err := io.Copy(w, bytes.NewReader(data)); err != nil {
		return fmt.Errorf("plots: writing %v: %w", format, err)
	}
	return nil
}

// sheetInfo is what a file says about its figure.
type sheetInfo struct {
	name, description string
	language          string // of the texts; "" where none is stated
	w, h              vg.Length
}

// Texts returns the texts of the figure as InlineSVG sets them, in the regular
// and in the bold weight, for FontFaces.
func Texts(f Figure) (regular, bold string, err error) {
	g, err := f.page()
	if err != nil {
		return "", "", err
	}
	r := g.record()
	return string(r.runes(false)), string(r.runes(true)), nil
}
