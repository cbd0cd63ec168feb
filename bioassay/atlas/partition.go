package atlas

import (
	"cmp"
	"slices"

	"vialwise/bioassay/geo"
)

// Site is a registered apiary with the smallest square that it stands in.
type Site struct {
	Apiary string
	Cell   geo.Cell // of level 0
}

// leastShare is the share of a square's apiaries that its parts must show for it
// to be divided.
const leastShare = 0.75

// Partition returns disjoint squares that hold k apiaries or more each, of which no
// square is larger than the level top. Squares of an earlier partition stay as
// they are, and no new one overlaps them. It panics for k below LeastK.
func Partition(sites []Site, k, top int, earlier []geo.Cell) []geo.Cell {
	if k < LeastK {
		panic("atlas: too small a k")
	}
	p := &partition{k: k, counts: map[geo.Cell]int{}, above: map[geo.Cell]bool{}}
	for _, c := range earlier {
		for up := c; up.Level < top; {
			up = up.Parent()
			p.above[up] = true
		}
	}
	taken := indexOf(earlier)
	tops := map[geo.Cell]bool{}
	for _, s := range sites {
		if areaOf(s.Cell, taken, top) >= 0 {
			continue
		}
		c := s.Cell
		p.counts[c]++
		for c.Level < top {
			c = c.Parent()
			p.counts[c]++
		}
		tops[c] = true
	}
	out := slices.Clone(earlier)
	for c := range tops {
		out = append(out, p.divide(c)...)
	}
	slices.SortFunc(out, compareCells)
	return out
}

// LeastK is the smallest number of apiaries that an area may show.
const LeastK = 3

type partition struct {
	k      int
	counts map[geo.Cell]int  // apiaries outside earlier squares
	above  map[geo.Cell]bool // squares that hold an earlier one
}

// divide returns the new areas in a square. An earlier one holds nobody who is
// counted, so it gets none.
func (p *partition) divide(c geo.Cell) []geo.Cell {
	if p.counts[c] < p.k {
		return nil
	}
	if c.Level == 0 {
		return []geo.Cell{c}
	}
	shown := 0
	for _, child := range c.Children() {
		if n := p.counts[child]; n >= p.k {
			shown += n
		}
	}
	if !p.above[c] && float64(shown) < leastShare*float64(p.counts[c]) {
		return []geo.Cell{c}
	}
	var out []geo.Cell
	for _, child := range c.Children() {
		out = append(out, p.divide(child)...)
	}
	return out
}

// compareCells orders squares from north to south, then from west to east, the
// larger before the smaller.
func compareCells(a, b geo.Cell) int {
	return cmp.Or(-cmp.Compare(a.Row<<a.Level, b.Row<<b.Level), cmp.Compare(a.Column<<a.Level, b.Column<<b.Level), -cmp.Compare(a.Level, b.Level))
}

// indexOf returns the position of each area.
func indexOf(areas []geo.Cell) map[geo.Cell]int {
	index := make(map[geo.Cell]int, len(areas))
	for i, c := range areas {
		index[c] = i
	}
	return index
}

// areaOf finds the area that a site lies in, -1 for none.
func areaOf(c geo.Cell, areas map[geo.Cell]int, top int) int {
	for {
		if i, ok := areas[c]; ok {
			return i
		}
		if c.Level >= top {
			return -1
		}
		c = c.Parent()
	}
}
