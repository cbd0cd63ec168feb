package atlas

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"vialwise/bioassay"
)

// The attack. Somebody has every artefact of several editions and subtracts: areas
// from areas that contain them, parts from totals, one edition from another. They
// know, which nobody should, where every apiary stands and who is in each published
// mean, and lack the results alone. All that they can compute this way of one
// acaricide and season is the row space of a matrix with one row for each published
// mean and one column for each result: 1 where the result is in it. A combination
// that holds results of fewer than k apiaries tells of them. A map that is published
// with less care must fall to the same attack, or the attack shows nothing.

// mean is a published mean over results of one acaricide and season: their columns.
type mean []int

// versions is the number of columns that one apiary has: its result as first
// entered, and as amended later.
const versions = 2

func apiaryOf(column int) int { return column / versions }

// leaks returns a set of fewer than k apiaries of which a combination of the means
// tells, nil where none does. Means that share no apiary with others add whole sets
// to a combination, so each group that hangs together is searched by itself.
func leaks(means []mean, k int) []int {
	for _, group := range together(means) {
		if found := leaksIn(group, k); found != nil {
			return found
		}
	}
	return nil
}

// together divides means into groups that share apiaries.
func together(means []mean) (groups [][]mean) {
	for _, m := range means {
		joined := []mean{m}
		groups = slices.DeleteFunc(groups, func(g []mean) bool {
			touch := slices.ContainsFunc(g, func(other mean) bool {
				return slices.ContainsFunc(other, func(c int) bool {
					return slices.ContainsFunc(m, func(d int) bool { return apiaryOf(c) == apiaryOf(d) })
				})
			})
			if touch {
				joined = append(joined, g...)
			}
			return touch
		})
		groups = append(groups, joined)
	}
	return groups
}

// leaksIn tries every set of fewer than k apiaries: a combination lies within the
// set exactly where the rows have a lower rank without its columns.
func leaksIn(means []mean, k int) []int {
	var apiaries []int
	for _, m := range means {
		for _, c := range m {
			apiaries = append(apiaries, apiaryOf(c))
		}
	}
	slices.Sort(apiaries)
	apiaries = slices.Compact(apiaries)
	full := rank(means, nil)
	var search func(set []int, from, size int) []int
	search = func(set []int, from, size int) []int {
		if size == 0 {
			if rank(means, set) < full {
				return set
			}
			return nil
		}
		for i := from; i < len(apiaries); i++ {
			if found := search(append(slices.Clone(set), apiaries[i]), i+1, size-1); found != nil {
				return found
			}
		}
		return nil
	}
	for size := 1; size < k; size++ {
		if found := search(nil, 0, size); found != nil {
			return found
		}
	}
	return nil
}

// prime is the modulus of the exact arithmetic in which ranks are computed. A
// rank modulo a prime can only be too low, by a chance of one in a billion.
const prime = 1<<31 - 1

// rank returns the rank of the rows without the columns of some apiaries.
func rank(means []mean, without []int) (r int) {
	columns := 0
	for _, m := range means {
		columns = max(columns, slices.Max(m)+1)
	}
	rows := make([][]int, len(means))
	for i, m := range means {
		rows[i] = make([]int, columns)
		for _, c := range m {
			if !slices.Contains(without, apiaryOf(c)) {
				rows[i][c] = 1
			}
		}
	}
	for c := range columns {
		pivot := slices.IndexFunc(rows[r:], func(row []int) bool { return row[c] != 0 })
		if pivot < 0 {
			continue
		}
		rows[r], rows[r+pivot] = rows[r+pivot], rows[r]
		inverse := power(rows[r][c], prime-2)
		for _, row := range rows[r+1:] {
			f := row[c] * inverse % prime
			for i := c; f != 0 && i < columns; i++ {
				row[i] = ((row[i]-f*rows[r][i])%prime + prime) % prime
			}
		}
		if r++; r == len(rows) {
			break
		}
	}
	return r
}

func power(x, n int) int {
	y := 1
	for ; n > 0; n >>= 1 {
		if n&1 == 1 {
			y = y * x % prime
		}
		x = x * x % prime
	}
	return y
}

// TestLeaksFindsDifferences pins the attack to cases that are counted by hand.
func TestLeaksFindsDifferences(t *testing.T) {
	of := func(apiaries ...int) (m mean) {
		for _, a := range apiaries {
			m = append(m, a*versions)
		}
		return m
	}
	for _, c := range []struct {
		means []mean
		want  []int
	}{
		{[]mean{of(1, 2, 3), of(4, 5, 6)}, nil},
		{[]mean{of(1, 2), of(4, 5, 6)}, []int{1, 2}},
		{[]mean{of(1, 2, 3), of(1, 2, 3, 4)}, []int{4}},
		{[]mean{of(1, 2, 3), of(1, 2, 3, 4, 5, 6)}, nil},
		{[]mean{of(1, 2, 3), of(4, 5, 6), of(1, 2, 3, 4, 5, 6, 7)}, []int{7}},         // a total and its parts
		{[]mean{of(1, 2, 3), {1 * versions, 2 * versions, 3*versions + 1}}, []int{3}}, // an amended result
		{[]mean{of(1, 2, 3, 4), of(3, 4, 5, 6), of(1, 2, 5, 6, 7)}, nil},              // the nearest are 1, 2 and 7
		{[]mean{of(1, 2, 3, 4), of(3, 4, 5, 6), of(1, 2, 5, 6)}, []int{1, 2}},         // half of the sum of all, without the second
	} {
		if got := leaks(c.means, 3); !slices.Equal(got, c.want) {
			t.Errorf("%v: %v, want %v", c.means, got, c.want)
		}
	}
}

// attack returns how many of the drawn programmes leak.
func attack(t *testing.T, publish scheme, n int) (leaked int, example string) {
	t.Helper()
	for seed := range n {
		w := draw(rand.New(rand.NewPCG(uint64(seed), 31)))
		for q, means := range publish(t, w) {
			if found := leaks(means, LeastK); found != nil {
				leaked++
				example = fmt.Sprintf("programme %d, %+v: apiaries %v from %v", seed, q, found, means)
				break
			}
		}
	}
	return leaked, example
}

// TestAttackFindsNothing attacks three editions of thousands of programmes.
func TestAttackFindsNothing(t *testing.T) {
	n := 2000
	if testing.Short() {
		n = 200
	}
	if leaked, example := attack(t, published, n); leaked > 0 {
		t.Errorf("%d of %d programmes leak; %s", leaked, n, example)
	}
}

// TestAttackHasTeeth: maps that are published with less care fall to it.
func TestAttackHasTeeth(t *testing.T) {
	const n = 200
	for name, c := range map[string]struct {
		publish scheme
		fewest  int // that leak, of n
	}{
		"totals over everybody":              {totals, n / 4},
		"areas of each season's apiaries":    {redrawn, n / 5},
		"editions that know of no other":     {forgetful, n / 5},
		"again after k more in the area":     {growing, n / 50},
		"ratios of those with an estimate":   {estimated, n / 20},
		"squares of every size side by side": {nested, n / 10},
	} {
		leaked, example := attack(t, c.publish, n)
		t.Logf("%s: %d of %d programmes leak, such as %s", name, leaked, n, example)
		if leaked < c.fewest {
			t.Errorf("%s: only %d of %d programmes leak", name, leaked, n)
		}
	}
}

// probability is what an apiary has in the highest band: a number of its own, by
// which a mean tells who is in it.
func probability(column int) float64 { return 0.01 + 0.9*math.Abs(math.Sin(float64(column+1))) }

// quantity is what a mean is of.
type quantity struct {
	season bioassay.Season
	ratio  bool // of the ratio, else of the bands
}

// scheme is a way of publishing: the means of all editions.
type scheme func(t *testing.T, w *world) map[quantity][]mean
