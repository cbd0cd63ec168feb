package plots

import (
	"image/color"
	"math"

	"gonum.org/v1/plot/vg"
)

// miteState is what becomes of a mite.
type miteState uint8

// The states, from life to death: the two between are in doubt.
const (
	alive miteState = iota
	likelyAlive
	likelyDead
	dead
	miteStates
)

// Colours of mites: the body of a live one, and the outline of a dead one.
var (
	miteBody  = color.NRGBA{R: 0x6E, G: 0x1F, B: 0x0E, A: 0xFF}
	miteFaint = color.NRGBA{R: 0xF4, G: 0xE3, B: 0xDB, A: 0xFF}
	miteDead  = color.NRGBA{R: 0x80, G: 0x80, B: 0x80, A: 0xFF}
)

// Shape of a mite in parts of the distance from mite to mite: an oval broader than
// long, as seen from above.
const (
	miteHalfWide vg.Length = 0.36
	miteHalfHigh vg.Length = 0.25
	legLength    vg.Length = 0.1
)

// drawMites draws mites of one state at the places: live ones dark with legs,
// those in doubt striped, dead ones pale, crossed and without legs. What is of one
// kind is one path, which keeps files small.
func drawMites(p pen, state miteState, at []vg.Point, pitch vg.Length) {
	if len(at) == 0 {
		return
	}
	bodies := miteBodies(at, pitch)
	line := pitch * 0.05
	switch state {
	case alive:
		p.canvas.stroke(miteLegs(at, pitch), stroke{colour: miteBody, width: pitch * 0.06})
		p.canvas.fill(bodies, miteBody)
	case likelyAlive:
		p.canvas.stroke(miteLegs(at, pitch), stroke{colour: miteBody, width: pitch * 0.06})
		p.canvas.fill(bodies, miteBody)
		p.canvas.stroke(miteStripes(at, pitch), stroke{colour: white, width: pitch * 0.075})
		p.canvas.stroke(bodies, stroke{colour: miteBody, width: line})
	case likelyDead:
		p.canvas.fill(bodies, miteFaint)
		p.canvas.stroke(miteStripes(at, pitch), stroke{colour: miteBody, width: line})
		p.canvas.stroke(bodies, stroke{colour: miteBody, width: line})
	default:
		p.canvas.stroke(bodies, stroke{colour: miteDead, width: line})
		p.canvas.stroke(miteCrosses(at, pitch), stroke{colour: miteDead, width: line})
	}
}

func miteBodies(at []vg.Point, pitch vg.Length) (out vg.Path) {
	for _, c := range at {
		for _, k := range circle(vg.Point{}, 1) {
			k.Pos = onOval(c, k.Pos, pitch)
			for i := range k.Control {
				k.Control[i] = onOval(c, k.Control[i], pitch)
			}
			out = append(out, k)
		}
	}
	return out
}

// onOval takes a place on the unit circle to the body of a mite.
func onOval(c, unit vg.Point, pitch vg.Length) vg.Point {
	return vg.Point{X: c.X + unit.X*pitch*miteHalfWide, Y: c.Y + unit.Y*pitch*miteHalfHigh}
}

// miteLegs are three short legs at either side of the front.
func miteLegs(at []vg.Point, pitch vg.Length) (out vg.Path) {
	for _, c := range at {
		for _, degrees := range []float64{15, 38, 61, 119, 142, 165} {
			sin, cos := math.Sincos(degrees * math.Pi / 180)
			foot := onOval(c, vg.Point{X: vg.Length(cos), Y: vg.Length(sin)}, pitch)
			out.Move(foot)
			out.Line(vg.Point{X: foot.X + vg.Length(cos)*legLength*pitch, Y: foot.Y + vg.Length(sin)*legLength*pitch})
		}
	}
	return out
}

// miteStripes are three upright lines across each body.
func miteStripes(at []vg.Point, pitch vg.Length) (out vg.Path) {
	for _, c := range at {
		for _, x := range []float64{-0.5, 0, 0.5} {
			y := math.Sqrt(1 - x*x)
			out.Move(onOval(c, vg.Point{X: vg.Length(x), Y: vg.Length(-y)}, pitch))
			out.Line(onOval(c, vg.Point{X: vg.Length(x), Y: vg.Length(y)}, pitch))
		}
	}
	return out
}

func miteCrosses(at []vg.Point, pitch vg.Length) (out vg.Path) {
	arm := pitch * 0.15
	for _, c := range at {
		for _, up := range []vg.Length{arm, -arm} {
			out.Move(vg.Point{X: c.X - arm, Y: c.Y - up})
			out.Line(vg.Point{X: c.X + arm, Y: c.Y + up})
		}
	}
	return out
}
