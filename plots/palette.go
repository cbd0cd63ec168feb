package plots

import (
	"image/color"

	"gonum.org/v1/plot/vg"
)

// Colours of the marks: Okabe M, Ito K (2008), Color Universal Design, the
// palette distinguishable under the common forms of colour blindness. Shape,
// dash or position always repeats what the colour says.
var (
	blue       = color.NRGBA{R: 0x00, G: 0x72, B: 0xB2, A: 0xFF} // observed counts
	vermilion  = color.NRGBA{R: 0xD5, G: 0x5E, B: 0x00, A: 0xFF} // LC50
	green      = color.NRGBA{R: 0x00, G: 0x9E, B: 0x73, A: 0xFF}
	purple     = color.NRGBA{R: 0xCC, G: 0x79, B: 0xA7, A: 0xFF}
	orangeTint = color.NRGBA{R: 0xE6, G: 0x9F, B: 0x00, A: 0x55} // where the LC50 must lie
)

// Neutral colours.
var (
	white         = color.NRGBA{R: 0xFF, G: 0xFF, B: 0xFF, A: 0xFF}
	ink           = color.NRGBA{R: 0x11, G: 0x11, B: 0x11, A: 0xFF} // title, fitted curve
	text          = color.NRGBA{R: 0x33, G: 0x33, B: 0x33, A: 0xFF} // all other text, axes
	grey          = color.NRGBA{R: 0x6B, G: 0x6B, B: 0x6B, A: 0xFF} // natural mortality
	blueTint      = color.NRGBA{R: 0x00, G: 0x72, B: 0xB2, A: 0x2E}
	vermilionTint = color.NRGBA{R: 0xD5, G: 0x5E, B: 0x00, A: 0x2A}
	stripe        = color.NRGBA{R: 0xF5, G: 0xF5, B: 0xF5, A: 0xFF} // every second row
	bandGrey      = color.NRGBA{R: 0x11, G: 0x11, B: 0x11, A: 0x1E} // confidence band, range of the susceptible
	faint         = color.NRGBA{R: 0xE4, G: 0xE4, B: 0xE4, A: 0xFF} // grid
)

// Type sizes in points; journals commonly ask for at least 6 points in print
// (common practice).
const (
	titleSize  vg.Length = 8.5
	titleSmall vg.Length = 7
	bodySize   vg.Length = 7
	axisSize   vg.Length = 7.5
	keySize    vg.Length = 6.5
	footSize   vg.Length = 6
)

// Line widths and mark sizes in points.
const (
	hairline    vg.Length = 0.4
	axisLine    vg.Length = 0.6
	barLine     vg.Length = 0.8
	curveLine   vg.Length = 1.1
	limitLine   vg.Length = 1.5
	maxRadius   vg.Length = 3.6 // of the point with most mites
	minRadius   vg.Length = 0.9 // smaller would vanish in print
	diamondRad  vg.Length = 4.2
	diamondLine vg.Length = 0.9
	arrowLen    vg.Length = 5
)

var (
	extrapolated = []vg.Length{3, 2}
	natural      = []vg.Length{1, 1.6}
	plateauDash  = []vg.Length{4, 1.5, 1, 1.5}
	bandEdge     = []vg.Length{2, 1.5}
)
