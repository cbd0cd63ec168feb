package geo

// edge is one side of a frame: how far inside a point lies.
type edge struct {
	axis  int
	sign  float64
	bound float64
}

func (f Frame) edges() [4]edge {
	return [4]edge{{0, 1, f.West}, {1, 1, f.South}, {0, -1, f.East}, {1, -1, f.North}}
}

func (e edge) depth(q XY) float64 { return e.sign * (q[e.axis] - e.bound) }

// cross returns where a side crosses the edge, exactly on it.
func (e edge) cross(a, b XY) XY {
	in, out := e.depth(a), e.depth(b)
	t := in / (in - out)
	other := 1 - e.axis
	var q XY
	q[e.axis], q[other] = e.bound, a[other]+t*(b[other]-a[other])
	return q
}

func (f Frame) holds(q XY) bool {
	return q[0] >= f.West && q[0] <= f.East && q[1] >= f.South && q[1] <= f.North
}

// clipRing returns what a frame holds of a ring that is not closed by a
// repeated point (Sutherland and Hodgman 1974, Reentrant polygon clipping,
// Communications of the ACM 17:32-42; from memory). What falls into several
// parts stays one ring, joined along the frame, which filling does not show.
func clipRing(ring []XY, f Frame) []XY {
	for _, e := range f.edges() {
		if len(ring) == 0 {
			return nil
		}
		var kept []XY
		last := ring[len(ring)-1]
		for _, q := range ring {
			if (e.depth(last) >= 0) != (e.depth(q) >= 0) {
				kept = append(kept, e.cross(last, q))
			}
			if e.depth(q) >= 0 {
				kept = append(kept, q)
			}
			last = q
		}
		ring = kept
	}
	return ring
}

// clipLine returns what a frame holds of a line, in pieces.
func clipLine(line []XY, f Frame) (pieces [][]XY) {
	var piece []XY
	for i := 1; i < len(line); i++ {
		a, b, ok := clipSide(line[i-1], line[i], f)
		if !ok || a != line[i-1] {
			pieces, piece = finished(pieces, piece), nil
		}
		if !ok {
			continue
		}
		if piece == nil {
			piece = append(piece, a)
		}
		piece = append(piece, b)
	}
	return finished(pieces, piece)
}

func finished(pieces [][]XY, piece []XY) [][]XY {
	if len(piece) > 1 {
		return append(pieces, piece)
	}
	return pieces
}

// clipSide returns what a frame holds of one side.
func clipSide(a, b XY, f Frame) (XY, XY, bool) {
	for _, e := range f.edges() {
		in, out := e.depth(a) >= 0, e.depth(b) >= 0
		switch {
		case !in && !out:
			return a, b, false
		case !in:
			a = e.cross(a, b)
		case !out:
			b = e.cross(a, b)
		}
	}
	return a, b, a != b
}
