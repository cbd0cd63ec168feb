package geo

import (
	"cmp"
	"slices"
)

// knife is a line that divides the plane, of which one side is kept.
type knife struct {
	inside func(XY) float64 // positive on the side that is kept
	onto   func(XY) XY      // brings what is near the line onto it
	along  func(XY) float64 // rises along the line, the kept side being to the left
	closed bool             // the line is a circle, along begins anew after its end
	bridge func(from, to XY) []XY
}

// chain is a part of a ring on the kept side, from the line to the line.
type chain struct {
	points []XY
	next   *chain
	done   bool
}

// keep returns what of a polygon lies on the kept side.
//
// Each ring falls into chains that begin and end on the line. By the
// right-hand rule the polygon lies to the left of its rings, and the kept side
// to the left of the line; so where a chain leaves, the boundary follows the
// line to the next place at which a chain enters. Going along the line, places
// to leave and to enter alternate.
func (p flat) keep(k knife) []flat {
	var chains []*chain
	var whole, holes [][]XY
	for i, ring := range p {
		found, all := k.chains(ring)
		chains = append(chains, found...)
		if all && i == 0 {
			whole = append(whole, ring)
		} else if all {
			holes = append(holes, ring)
		}
	}
	whole = append(whole, k.join(chains)...)
	return dealt(whole, holes)
}

// chains returns the parts of a ring on the kept side, and whether all of it
// lies there.
func (k knife) chains(ring []XY) (list []*chain, all bool) {
	start := slices.IndexFunc(ring, func(q XY) bool { return k.inside(q) <= 0 })
	if start < 0 {
		return nil, true
	}
	var open *chain
	for i := range ring {
		a, b := ring[(start+i)%len(ring)], ring[(start+i+1)%len(ring)]
		wasIn, isIn := k.inside(a) > 0, k.inside(b) > 0
		if wasIn != isIn {
			at := k.crossing(a, b)
			if isIn {
				open = &chain{}
				list = append(list, open)
			}
			open.points = append(open.points, at)
		}
		if isIn {
			open.points = append(open.points, b)
		}
	}
	return list, false
}

// crossing returns where a side crosses the line.
func (k knife) crossing(a, b XY) XY {
	in, out := k.inside(a), k.inside(b)
	t := in / (in - out)
	return k.onto(XY{a[0] + t*(b[0]-a[0]), a[1] + t*(b[1]-a[1])})
}

// join links the chains along the line and returns the rings they make.
func (k knife) join(chains []*chain) (rings [][]XY) {
	if len(chains) == 0 {
		return nil
	}
	entry := func(c *chain) float64 { return k.along(c.points[0]) }
	exit := func(c *chain) float64 { return k.along(c.points[len(c.points)-1]) }
	by := func(key func(*chain) float64) []*chain {
		return slices.SortedStableFunc(slices.Values(chains), func(a, b *chain) int { return cmp.Compare(key(a), key(b)) })
	}
	entries, exits, first := by(entry), by(exit), 0
	if k.closed {
		first = max(0, slices.IndexFunc(entries, func(c *chain) bool { return entry(c) >= exit(exits[0]) }))
	}
	for i, c := range exits {
		c.next = entries[(i+first)%len(entries)]
	}
	for _, c := range chains {
		if !c.done {
			rings = append(rings, k.follow(c))
		}
	}
	return rings
}

// follow returns the ring that begins with a chain.
func (k knife) follow(c *chain) (ring []XY) {
	for ; !c.done; c = c.next {
		c.done = true
		ring = append(ring, c.points...)
		if k.bridge != nil {
			ring = append(ring, k.bridge(c.points[len(c.points)-1], c.next.points[0])...)
		}
	}
	return ring
}

// dealt makes polygons of exteriors and gives each the holes that lie in it.
func dealt(exteriors, holes [][]XY) []flat {
	list := make([]flat, len(exteriors))
	for i, ring := range exteriors {
		list[i] = flat{ring}
	}
	for _, hole := range holes {
		i := slices.IndexFunc(list, func(p flat) bool { return len(list) == 1 || holds(p[0], hole[0]) })
		if i >= 0 {
			list[i] = append(list[i], hole)
		}
	}
	return list
}

// holds reports whether a point lies in a ring, by the even-odd rule.
func holds(ring []XY, q XY) (in bool) {
	for i, b := range ring {
		a := ring[(i+len(ring)-1)%len(ring)]
		if (a[1] > q[1]) != (b[1] > q[1]) && q[0] < a[0]+(b[0]-a[0])*(q[1]-a[1])/(b[1]-a[1]) {
			in = !in
		}
	}
	return in
}
