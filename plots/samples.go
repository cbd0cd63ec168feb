package plots

import (
	"image/color"

	"gonum.org/v1/plot/vg"
)

// The samples of the key draw keySwatch wide from x, centred on y.

func samplePoint(p pen, x, y vg.Length) {
	p.upright(blue, barLine, nil, x+keySwatch/2, y-4, y+4)
	p.disc(blue, vg.Point{X: x + keySwatch/2, Y: y}, maxRadius*0.7)
}

func sampleCurve(p pen, x, y vg.Length) {
	p.across(ink, curveLine, nil, x, x+keySwatch, y)
}

func sampleNatural(p pen, x, y vg.Length) {
	p.across(grey, barLine, natural, x, x+keySwatch, y)
}

// sampleTint is a patch of colour.
func sampleTint(c color.NRGBA) func(p pen, x, y vg.Length) {
	return func(p pen, x, y vg.Length) { p.box(c, x, y-3.5, x+keySwatch, y+3.5) }
}

// sampleStroke is a piece of a line.
func sampleStroke(s stroke) func(p pen, x, y vg.Length) {
	return func(p pen, x, y vg.Length) { p.across(s.colour, s.width, s.dash, x, x+keySwatch, y) }
}

func sampleBracket(p pen, x, y vg.Length) {
	p.box(orangeTint, x, y-3.5, x+keySwatch, y+3.5)
	for _, at := range []vg.Length{x, x + keySwatch} {
		p.upright(vermilion, barLine, bandEdge, at, y-3.5, y+3.5)
	}
}

func (c Population) sampleLC50(p pen, x, y vg.Length) {
	if c.hasLimits() {
		p.across(vermilion, limitLine, nil, x, x+keySwatch, y)
	}
	corners := diamond(vg.Point{X: x + keySwatch/2, Y: y}, diamondRad*0.8)
	p.shape(white, corners...)
	p.outline(vermilion, diamondLine, corners...)
}

// sampleLook is a piece of a population's line with its point.
func sampleLook(l look) func(p pen, x, y vg.Length) {
	return func(p pen, x, y vg.Length) {
		p.across(l.colour, curveLine, l.dash, x-1, x+keySwatch+1, y)
		p.mark(l, vg.Point{X: x + keySwatch/2, Y: y}, 2.2)
	}
}
