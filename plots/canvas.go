package plots

import (
	"image/color"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
)

// canvas is what a figure is drawn on. Lengths are points, measured from the
// bottom left corner of the page.
type canvas interface {
	stroke(p vg.Path, s stroke)
	fill(p vg.Path, c color.NRGBA)
	write(l lettering)
}

// stroke is how a path is drawn.
type stroke struct {
	colour color.NRGBA
	width  vg.Length
	dash   []vg.Length
}

// lettering is one line of text at a place.
type lettering struct {
	face   font.Face
	colour color.NRGBA
	at     vg.Point
	anchor float64 // the part of the width that lies before the place
	up     bool    // reads upwards
	s      string
}

// recording is a drawing that can be repeated on any canvas. What a file needs
// to know beforehand, such as the glyphs in use, is taken from it.
type recording struct {
	marks []func(canvas)
	texts []lettering
}

func (r *recording) stroke(p vg.Path, s stroke) {
	r.marks = append(r.marks, func(c canvas) { c.stroke(p, s) })
}

func (r *recording) fill(p vg.Path, k color.NRGBA) {
	r.marks = append(r.marks, func(c canvas) { c.fill(p, k) })
}

func (r *recording) write(l lettering) {
	r.texts = append(r.texts, l)
	r.marks = append(r.marks, func(c canvas) { c.write(l) })
}

// replay draws the recording.
func (r *recording) replay(c canvas) {
	for _, mark := range r.marks {
		mark(c)
	}
}

// runes returns the runes set in one weight.
func (r *recording) runes(bold bool) []rune {
	var out []rune
	for _, l := range r.texts {
		if isBold(l.face) == bold {
			out = append(out, []rune(l.s)...)
		}
	}
	return out
}
