package plots

import (
	"fmt"
	"image/color"
	"math"
)

// ramp goes from no resistance to the most: pale and cool to dark and warm. Its
// lightness falls all the way, so that the order is seen in grey and with any
// colour vision.
var ramp = []color.NRGBA{
	{R: 0xD6, G: 0xEE, B: 0xE6, A: 0xFF},
	{R: 0xE2, G: 0xAC, B: 0x48, A: 0xFF},
	{R: 0xB8, G: 0x4E, B: 0x24, A: 0xFF},
	{R: 0x55, G: 0x11, B: 0x35, A: 0xFF},
}

// Colours of the map beside those of the classes.
var (
	sea     = color.NRGBA{R: 0xE3, G: 0xEB, B: 0xF0, A: 0xFF}
	land    = color.NRGBA{R: 0xF7, G: 0xF5, B: 0xEE, A: 0xFF}
	coast   = color.NRGBA{R: 0x8A, G: 0x92, B: 0x96, A: 0xFF}
	black   = color.NRGBA{A: 0xFF}
	warning = color.NRGBA{R: 0x9B, G: 0x1C, B: 0x0B, A: 0xFF} // not for sharing
)

// ClassColours returns the colours of n classes of a Map, from no resistance to
// the most, as in CSS.
func ClassColours(n int) []string {
	out := make([]string, n)
	for i := range out {
		c := classColour(i, n)
		out[i] = fmt.Sprintf("#%02X%02X%02X", c.R, c.G, c.B)
	}
	return out
}

// classColour returns the colour of class i of n, evenly along the ramp.
func classColour(i, n int) color.NRGBA {
	if n < 2 {
		return ramp[0]
	}
	at := float64(i) / float64(n-1) * float64(len(ramp)-1)
	k := min(int(at), len(ramp)-2)
	return mix(ramp[k], ramp[k+1], at-float64(k))
}

// mix returns the colour the given part of the way from a to b.
func mix(a, b color.NRGBA, part float64) color.NRGBA {
	between := func(x, y uint8) uint8 { return uint8(math.Round(float64(x) + part*(float64(y)-float64(x)))) }
	return color.NRGBA{R: between(a.R, b.R), G: between(a.G, b.G), B: between(a.B, b.B), A: 0xFF}
}

// brightness is the relative luminance of WCAG 2.1.
func brightness(c color.NRGBA) float64 {
	channel := func(v uint8) float64 {
		s := float64(v) / 0xFF
		if s <= 0.03928 {
			return s / 12.92
		}
		return math.Pow((s+0.055)/1.055, 2.4)
	}
	return 0.2126*channel(c.R) + 0.7152*channel(c.G) + 0.0722*channel(c.B)
}

// middling is the brightness at which black and white stand out alike: the root of
// (1 + 0.05)(0 + 0.05), less 0.05, by the contrast of WCAG 2.1.
const middling = 0.1791

// on returns the colour of text on a fill: black or white, at a contrast of 4.5 or
// more whatever the fill.
func on(fill color.NRGBA) color.NRGBA {
	if brightness(fill) > middling {
		return black
	}
	return white
}
