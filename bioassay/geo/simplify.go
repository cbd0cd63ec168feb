package geo

import "math"

// Simplify returns a line with fewer points, from which no point of the line
// is farther than the tolerance in km. First and last point stay. A tolerance
// of 0 returns the line as it is.
//
// Points nearer than half the tolerance to the last one kept are dropped
// first, which bounds the work on a dense line, then the rest is thinned by
// the rule of Douglas and Peucker (1973, Algorithms for the reduction of the
// number of points required to represent a digitized line or its caricature,
// The Canadian Cartographer 10:112-122; from memory) with the other half.
func Simplify(line []XY, tolerance float64) []XY {
	if tolerance <= 0 || len(line) < 3 {
		return line
	}
	sparse := spaced(line, tolerance/2)
	keep := make([]bool, len(sparse))
	keep[0], keep[len(sparse)-1] = true, true
	todo := [][2]int{{0, len(sparse) - 1}}
	for len(todo) > 0 {
		s := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		at, off := farthestFrom(sparse, s[0], s[1])
		if off > tolerance/2 {
			keep[at] = true
			todo = append(todo, [2]int{s[0], at}, [2]int{at, s[1]})
		}
	}
	var kept []XY
	for i, q := range sparse {
		if keep[i] {
			kept = append(kept, q)
		}
	}
	return kept
}

// spaced drops points nearer than a distance to the last one kept.
func spaced(line []XY, least float64) []XY {
	kept := []XY{line[0]}
	for _, q := range line[1 : len(line)-1] {
		last := kept[len(kept)-1]
		if math.Hypot(q[0]-last[0], q[1]-last[1]) >= least {
			kept = append(kept, q)
		}
	}
	return append(kept, line[len(line)-1])
}

// farthestFrom returns which of the points between two is farthest from the
// side that joins them, and how far it is.
func farthestFrom(line []XY, from, to int) (at int, off float64) {
	a, b := line[from], line[to]
	for i := from + 1; i < to; i++ {
		if d := distanceTo(line[i], a, b); d > off {
			at, off = i, d
		}
	}
	return at, off
}

// distanceTo returns the distance of a point from a side.
func distanceTo(q, a, b XY) float64 {
	dx, dy := b[0]-a[0], b[1]-a[1]
	t := 0.0
	if square := dx*dx + dy*dy; square > 0 {
		t = max(0, min(1, ((q[0]-a[0])*dx+(q[1]-a[1])*dy)/square))
	}
	return math.Hypot(q[0]-a[0]-t*dx, q[1]-a[1]-t*dy)
}

// simplifyRing simplifies a ring that is not closed and closes it; nil when it
// is smaller than the tolerance or has no area. Its two ends for Simplify are
// the first point and the one farthest from it.
func simplifyRing(ring []XY, tolerance float64) []XY {
	if len(ring) < 3 {
		return nil
	}
	box := FrameOf(ring...)
	if max(box.Width(), box.Height()) <= tolerance {
		return nil
	}
	far, most := 0, 0.0
	for i, q := range ring {
		if d := math.Hypot(q[0]-ring[0][0], q[1]-ring[0][1]); d > most {
			far, most = i, d
		}
	}
	closed := append(ring[:len(ring):len(ring)], ring[0])
	out := Simplify(closed[:far+1], tolerance)
	out = append(out[:len(out):len(out)], Simplify(closed[far:], tolerance)[1:]...)
	if len(out) < 4 {
		return nil
	}
	return out
}
