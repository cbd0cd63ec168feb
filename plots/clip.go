package plots

import (
	"math"

	"gonum.org/v1/plot/vg"
)

// clipRing returns the part of a polygon inside the area, by Sutherland and
// Hodgman's method (Communications of the ACM 17, 1974, 32-42; from memory): one
// side of the area after the other cuts it. Parts that the cut leaves apart stay
// joined along the side, which a fill does not show.
func clipRing(ring []vg.Point, a area) []vg.Point {
	for _, side := range a.sides() {
		var kept []vg.Point
		for i, to := range ring {
			from := ring[(i+len(ring)-1)%len(ring)]
			in, out := side(from), side(to)
			if in*out < 0 {
				kept = append(kept, between(from, to, in/(in-out)))
			}
			if out >= 0 {
				kept = append(kept, to)
			}
		}
		ring = kept
	}
	return ring
}

// sides returns for each side of the area how far a point lies within it.
func (a area) sides() [4]func(vg.Point) float64 {
	return [4]func(vg.Point) float64{
		func(p vg.Point) float64 { return float64(p.X - a.left) },
		func(p vg.Point) float64 { return float64(a.right - p.X) },
		func(p vg.Point) float64 { return float64(p.Y - a.bottom) },
		func(p vg.Point) float64 { return float64(a.top - p.Y) },
	}
}

func between(a, b vg.Point, part float64) vg.Point {
	t := vg.Length(part)
	return vg.Point{X: a.X + t*(b.X-a.X), Y: a.Y + t*(b.Y-a.Y)}
}

// clipLine returns the pieces of a line inside the area.
func clipLine(line []vg.Point, a area) (pieces [][]vg.Point) {
	open := false // the last piece goes on
	for i := 1; i < len(line); i++ {
		from, to, whole, ok := clipSegment(line[i-1], line[i], a)
		if !ok {
			open = false
			continue
		}
		if !open {
			pieces = append(pieces, []vg.Point{from})
		}
		last := len(pieces) - 1
		pieces[last] = append(pieces[last], to)
		open = whole
	}
	return pieces
}

// clipSegment cuts a segment at the sides of the area, by Liang and Barsky's
// method (ACM Transactions on Graphics 3, 1984, 1-22; from memory); whole says
// that its end stays.
func clipSegment(from, to vg.Point, a area) (_, _ vg.Point, whole, ok bool) {
	start, end := 0.0, 1.0
	for _, side := range a.sides() {
		in, out := side(from), side(to)
		switch {
		case in < 0 && out < 0:
			return from, to, false, false
		case in < 0:
			start = max(start, in/(in-out))
		case out < 0:
			end = min(end, in/(in-out))
		}
	}
	if start > end {
		return from, to, false, false
	}
	return between(from, to, start), between(from, to, end), end == 1, true
}

// hatching returns the lines that rise to the right at 45 degrees through a convex
// polygon, the given distance apart. Those of neighbouring polygons meet.
func hatching(corners []vg.Point, apart vg.Length) vg.Path {
	step := float64(apart) * math.Sqrt2
	level := func(p vg.Point) float64 { return float64(p.X-p.Y) / step }
	low, high := math.Inf(1), math.Inf(-1)
	for _, c := range corners {
		low, high = min(low, level(c)), max(high, level(c))
	}
	var out vg.Path
	for k := math.Floor(low) + 1; k < high; k++ {
		var ends []vg.Point
		for i, to := range corners {
			from := corners[(i+len(corners)-1)%len(corners)]
			if a, b := level(from)-k, level(to)-k; (a < 0) != (b < 0) {
				ends = append(ends, between(from, to, a/(a-b)))
			}
		}
		if len(ends) == 2 {
			out.Move(ends[0])
			out.Line(ends[1])
		}
	}
	return out
}

// dotting returns small squares on an even grid inside the area.
func dotting(a area, apart, size vg.Length) vg.Path {
	var out vg.Path
	half := size / 2
	for x := vg.Length(math.Ceil(float64((a.left+size)/apart))) * apart; x <= a.right-size; x += apart {
		for y := vg.Length(math.Ceil(float64((a.bottom+size)/apart))) * apart; y <= a.top-size; y += apart {
			out.Move(vg.Point{X: x - half, Y: y - half})
			out.Line(vg.Point{X: x + half, Y: y - half})
			out.Line(vg.Point{X: x + half, Y: y + half})
			out.Line(vg.Point{X: x - half, Y: y + half})
			out.Close()
		}
	}
	return out
}
