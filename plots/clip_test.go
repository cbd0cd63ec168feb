package plots

import (
	"math"
	"testing"

	"gonum.org/v1/plot/vg"
)

func shoelace(ring []vg.Point) float64 {
	twice := 0.0
	for i, to := range ring {
		from := ring[(i+len(ring)-1)%len(ring)]
		twice += float64(from.X*to.Y - to.X*from.Y)
	}
	return twice / 2
}

// A triangle over the corner of a square keeps the part inside.
func TestClipRing(t *testing.T) {
	const tolerance = 1e-9
	unit := area{0, 10, 0, 10}
	for _, c := range []struct {
		what string
		ring []vg.Point
		want float64
	}{
		{"inside", []vg.Point{{X: 1, Y: 1}, {X: 3, Y: 1}, {X: 3, Y: 4}}, 3},
		{"around", []vg.Point{{X: -50, Y: -50}, {X: 100, Y: -50}, {X: 100, Y: 100}, {X: -50, Y: 100}}, 100},
		{"over a corner", []vg.Point{{X: 8, Y: 8}, {X: 12, Y: 8}, {X: 12, Y: 12}, {X: 8, Y: 12}}, 4},
		{"over a side", []vg.Point{{X: -5, Y: 2}, {X: 5, Y: 2}, {X: -5, Y: 8}}, 7.5}, // a triangle of 5 by 3
		{"beside", []vg.Point{{X: 20, Y: 2}, {X: 30, Y: 2}, {X: 25, Y: 8}}, 0},
	} {
		if got := shoelace(clipRing(c.ring, unit)); math.Abs(got-c.want) > tolerance {
			t.Errorf("%s: area %g, want %g", c.what, got, c.want)
		}
	}
}

func TestClipLine(t *testing.T) {
	unit := area{0, 10, 0, 10}
	for _, c := range []struct {
		what string
		line []vg.Point
		want [][]vg.Point
	}{
		{"inside", []vg.Point{{X: 1, Y: 1}, {X: 2, Y: 2}, {X: 3, Y: 1}}, [][]vg.Point{{{X: 1, Y: 1}, {X: 2, Y: 2}, {X: 3, Y: 1}}}},
		{"through", []vg.Point{{X: -5, Y: 5}, {X: 15, Y: 5}}, [][]vg.Point{{{X: 0, Y: 5}, {X: 10, Y: 5}}}},
		{"out and in", []vg.Point{{X: 5, Y: 5}, {X: 15, Y: 5}, {X: 15, Y: 6}, {X: 5, Y: 6}},
			[][]vg.Point{{{X: 5, Y: 5}, {X: 10, Y: 5}}, {{X: 10, Y: 6}, {X: 5, Y: 6}}}},
		{"past a corner", []vg.Point{{X: -1, Y: 10}, {X: 1, Y: 12}}, nil},
		{"outside", []vg.Point{{X: 12, Y: 0}, {X: 12, Y: 9}}, nil},
	} {
		got := clipLine(c.line, unit)
		if len(got) != len(c.want) {
			t.Errorf("%s: pieces %v, want %v", c.what, got, c.want)
			continue
		}
		for i := range got {
			if !samePoints(got[i], c.want[i]) {
				t.Errorf("%s: piece %v, want %v", c.what, got[i], c.want[i])
			}
		}
	}
}

func samePoints(a, b []vg.Point) bool {
	const tolerance = 1e-9
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if math.Hypot(float64(a[i].X-b[i].X), float64(a[i].Y-b[i].Y)) > tolerance {
			return false
		}
	}
	return true
}

// The lines stand as far apart as asked for, end at the sides of the polygon, and
// go on in its neighbour.
func TestHatching(t *testing.T) {
	const apart, tolerance = 2.0, 1e-9
	left := corners(area{0, 10, 0, 10})
	lines := hatching(left, apart)
	if n := len(lines) / 2; n != 7 { // the diagonal of 14.14 holds 2 to 14 from -6 to 6
		t.Errorf("%d lines, want 7", n)
	}
	for i := 0; i < len(lines); i += 2 {
		a, b := lines[i].Pos, lines[i+1].Pos
		if math.Abs(math.Abs(float64(a.X-b.X))-math.Abs(float64(a.Y-b.Y))) > tolerance || (a.X-b.X)*(a.Y-b.Y) < 0 {
			t.Errorf("line from %v to %v does not rise at 45 degrees", a, b)
		}
		off := float64(a.X-a.Y) / math.Sqrt2 / apart
		if math.Abs(off-math.Round(off)) > tolerance {
			t.Errorf("line from %v is off the common grid", a)
		}
	}
	if n := len(hatching(corners(area{10, 20, 0, 10}), apart)) / 2; n != 7 {
		t.Errorf("%d lines in the neighbour, want 7", n)
	}
}
