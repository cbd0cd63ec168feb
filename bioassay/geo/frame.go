package geo

import "math"

// Frame is a rectangle of the plane, in km.
type Frame struct{ West, South, East, North float64 }

// FrameOf returns the smallest rectangle that holds the points, the zero Frame
// without one.
func FrameOf(points ...XY) Frame {
	if len(points) == 0 {
		return Frame{}
	}
	f := Frame{points[0][0], points[0][1], points[0][0], points[0][1]}
	for _, q := range points {
		f = f.And(Frame{q[0], q[1], q[0], q[1]})
	}
	return f
}

// And returns the smallest rectangle that holds two.
func (f Frame) And(g Frame) Frame {
	return Frame{min(f.West, g.West), min(f.South, g.South), max(f.East, g.East), max(f.North, g.North)}
}

// Wider returns a rectangle that reaches further on every side.
func (f Frame) Wider(km float64) Frame {
	return Frame{f.West - km, f.South - km, f.East + km, f.North + km}
}

// Width returns the extent from west to east.
func (f Frame) Width() float64 { return f.East - f.West }

// Height returns the extent from south to north.
func (f Frame) Height() float64 { return f.North - f.South }

// Reach returns the distance from the centre of the projection to the farthest
// corner, for [Projection.Stretch].
func (f Frame) Reach() float64 {
	return math.Hypot(max(-f.West, f.East), max(-f.South, f.North))
}

// ScaleBar returns the length of a scale bar for a map of a width, both in km:
// the longest of 1, 2 or 5 times a power of ten that takes at most a quarter
// of the width. It panics when the width is not positive and finite.
func ScaleBar(width float64) float64 {
	if !(width > 0) || math.IsInf(width, 1) {
		panic("geo: a scale bar for no width")
	}
	most := width / 4
	power := math.Pow(10, math.Floor(math.Log10(most)))
	for _, step := range [...]float64{10, 5, 2} {
		if step*power <= most*(1+1e-12) {
			return step * power
		}
	}
	return power
}
