package atlas

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"vialwise/bioassay/geo"
)

// standing returns apiaries in squares of level 0 by their number.
func standing(counts map[geo.Cell]int) (sites []Site) {
	for c, n := range counts {
		for i := range n {
			sites = append(sites, Site{fmt.Sprint(c, i), c})
		}
	}
	return sites
}

// block returns the counts of the squares of the top square at the centre, from a
// number that has them as digits.
func block(top, base, number int) map[geo.Cell]int {
	out := map[geo.Cell]int{}
	side := 1 << top
	for i := range side * side {
		if n := number % base; n > 0 {
			out[geo.Cell{Column: i % side, Row: i / side}] = n
		}
		number /= base
	}
	return out
}

// inhabited records, for one thing that is published, which numbers of apiaries
// each square may hold.
type inhabited map[geo.Cell]map[int]bool

func (h inhabited) add(counts map[geo.Cell]int, top int) {
	for level := 0; level <= top; level++ {
		side := 1 << (top - level)
		for i := range side * side {
			c, n := geo.Cell{Level: level, Column: i % side, Row: i / side}, 0
			for cell, m := range counts {
				if c.Holds(cell) {
					n += m
				}
			}
			if h[c] == nil {
				h[c] = map[int]bool{}
			}
			h[c][n] = true
		}
	}
}

// betrayed returns a square of which it is certain that it holds apiaries, and
// fewer than k.
func (h inhabited) betrayed(k int) (geo.Cell, bool) {
	for c, numbers := range h {
		few := true
		for n := range numbers {
			few = few && n > 0 && n < k
		}
		if few {
			return c, true
		}
	}
	return geo.Cell{}, false
}

// areaScheme makes areas from where apiaries stand and the areas before.
type areaScheme func(sites []Site, earlier []geo.Cell) []geo.Cell

func ours(sites []Site, earlier []geo.Cell) []geo.Cell { return Partition(sites, LeastK, 1, earlier) }

// marked shows where somebody is, without a number.
func marked(sites []Site, _ []geo.Cell) (out []geo.Cell) {
	for _, s := range sites {
		if !slices.Contains(out, s.Cell) {
			out = append(out, s.Cell)
		}
	}
	slices.SortFunc(out, compareCells)
	return out
}

// betrayals goes through every way in which up to most apiaries can stand in each
// of four squares, in two editions, and returns how many publications betray a square.
func betrayals(areas areaScheme, most int) (n int, example string) {
	base := most + 1
	worlds := base * base * base * base
	type both struct{ first, second string }
	first, second := map[both]inhabited{}, map[both]inhabited{}
	for x := range worlds {
		before := block(1, base, x)
		one := areas(standing(before), nil)
		for y := range worlds {
			after := block(1, base, y)
			key := both{fmt.Sprint(one), fmt.Sprint(areas(standing(after), one))}
			if first[key] == nil {
				first[key], second[key] = inhabited{}, inhabited{}
			}
			first[key].add(before, 1)
			second[key].add(after, 1)
		}
	}
	for key := range first {
		for _, h := range []inhabited{first[key], second[key]} {
			if c, found := h.betrayed(LeastK); found {
				n++
				example = fmt.Sprintf("%v in %+v", c, key)
			}
		}
	}
	return n, example
}

// TestAreasBetrayNoSquare: whatever areas two editions have, there are programmes
// with these areas in which any given square holds none or k and more.
func TestAreasBetrayNoSquare(t *testing.T) {
	if n, example := betrayals(ours, 3); n > 0 {
		t.Errorf("%d publications betray a square, such as %s", n, example)
	}
	if n, _ := betrayals(marked, 2); n == 0 {
		t.Error("areas that mark whoever is there betray no square, so the test shows nothing")
	}
}

// TestPartitionHolds: areas are disjoint, hold k or more when they are drawn, and
// stay as they are from then on.
func TestPartitionHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 7))
		k, top := 3+r.IntN(3), r.IntN(5)
		var areas []geo.Cell
		for edition := range 3 {
			sites := standing(scattered(r))
			next := Partition(sites, k, top, areas)
			for _, c := range areas {
				if !slices.Contains(next, c) {
					t.Fatalf("edition %d lost area %v", edition, c)
				}
			}
			for i, c := range next {
				for _, other := range next[i+1:] {
					if c.Holds(other) || other.Holds(c) {
						t.Fatalf("areas %v and %v overlap", c, other)
					}
				}
				if n := inside(sites, c); c.Level > top || n < k && !slices.Contains(areas, c) {
					t.Fatalf("area %v of level up to %d is new, with %d apiaries", c, top, n)
				}
			}
			shuffled := slices.Clone(sites)
			r.Shuffle(len(sites), func(i, j int) { shuffled[i], shuffled[j] = shuffled[j], shuffled[i] })
			if again := Partition(shuffled, k, top, areas); !slices.Equal(next, again) {
				t.Fatalf("the order of apiaries matters: %v and %v", next, again)
			}
			areas = next
		}
	})
}

func scattered(r *rand.Rand) map[geo.Cell]int {
	out := map[geo.Cell]int{}
	for range r.IntN(60) {
		c := geo.Cell{Column: r.IntN(40) - 20, Row: r.IntN(40) - 20}
		if r.IntN(2) == 0 {
			c.Column, c.Row = c.Column/5, c.Row/5
		}
		out[c]++
	}
	return out
}

func inside(sites []Site, c geo.Cell) (n int) {
	for _, s := range sites {
		if c.Holds(s.Cell) {
			n++
		}
	}
	return n
}

// TestPartitionShowsMost: a square is divided only where its parts show three
// quarters of its apiaries, and one with k or more is never left out whole.
func TestPartitionShowsMost(t *testing.T) {
	for _, c := range []struct {
		counts [4]int // southwest, southeast, northwest, northeast
		want   string
	}{
		{[4]int{1, 1, 0, 0}, "[]"},
		{[4]int{1, 1, 1, 0}, "[L1C0R0]"},
		{[4]int{3, 0, 0, 0}, "[L0C0R0]"},
		{[4]int{3, 1, 0, 0}, "[L0C0R0]"}, // three of four
		{[4]int{3, 2, 0, 0}, "[L1C0R0]"},
		{[4]int{3, 3, 2, 0}, "[L0C0R0 L0C1R0]"}, // six of eight
		{[4]int{3, 2, 2, 2}, "[L1C0R0]"},
	} {
		counts := map[geo.Cell]int{{}: c.counts[0], {Column: 1}: c.counts[1], {Row: 1}: c.counts[2], {Column: 1, Row: 1}: c.counts[3]}
		if got := fmt.Sprint(Partition(standing(counts), LeastK, 1, nil)); got != c.want {
			t.Errorf("%v: areas %s, want %s", c.counts, got, c.want)
		}
	}
}
