package atlas

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"vialwise/bioassay"
	"vialwise/bioassay/geo"
	"vialwise/bioassay/track"
	"vialwise/doseresp"
)

// The attack. Somebody has every artefact of two editions and subtracts: areas
// from areas that contain them, parts from totals, one edition from the other. All
// that they can compute this way of one acaricide and season is the row space of a
// matrix with one row for each published number and one column for each apiary: 1
// where the apiary is in it. A sum over fewer than k apiaries in that space tells
// of them; where they are hidden apiaries, the map has leaked. A map that is
// published with totals over everybody, or with areas that change, must fall to
// the same attack, or the attack shows nothing.

// mean is a published mean over a set of apiaries of one acaricide and season.
type mean struct{ members []int }

// leaks returns a set of fewer than k apiaries whose sum follows from the means,
// nil where none does.
func leaks(means []mean, apiaries, k int) []int {
	rows := rowSpace(means, apiaries)
	set := make([]int, 0, k)
	var search func(from int) []int
	search = func(from int) []int {
		if len(set) > 0 && inSpace(rows, set, apiaries) {
			return slices.Clone(set)
		}
		if len(set) == k-1 {
			return nil
		}
		for i := from; i < apiaries; i++ {
			set = append(set, i)
			if found := search(i + 1); found != nil {
				return found
			}
			set = set[:len(set)-1]
		}
		return nil
	}
	return search(0)
}

const rankTolerance = 1e-9

// rowSpace returns the rows in echelon form, each led by its first column.
func rowSpace(means []mean, n int) (rows [][]float64) {
	for _, m := range means {
		row := make([]float64, n)
		for _, i := range m.members {
			row[i] = 1
		}
		if row = reduce(rows, row); row != nil {
			rows = append(rows, row)
		}
	}
	return rows
}

// reduce subtracts the rows from a vector, and returns what is left with its first
// entry 1, nil for nothing.
func reduce(rows [][]float64, v []float64) []float64 {
	for _, r := range rows {
		lead := slices.IndexFunc(r, func(x float64) bool { return math.Abs(x) > rankTolerance })
		if f := v[lead]; math.Abs(f) > rankTolerance {
			for i := range v {
				v[i] -= f * r[i]
			}
		}
	}
	lead := slices.IndexFunc(v, func(x float64) bool { return math.Abs(x) > rankTolerance })
	if lead < 0 {
		return nil
	}
	f := v[lead]
	for i := range v {
		v[i] /= f
	}
	return v
}

func inSpace(rows [][]float64, set []int, n int) bool {
	v := make([]float64, n)
	for _, i := range set {
		v[i] = 1
	}
	return reduce(rows, v) == nil
}

// world is an invented programme: where apiaries stand and in which seasons they
// have a result, in the first and in the second edition.
type world struct {
	sites   []Site
	tested  [2]map[bioassay.Season][]bool // by edition
	members [2][]bool                     // registered in the edition
}

var twoSeasons = []bioassay.Season{{Year: 2031, Name: "spring"}, {Year: 2031, Name: "autumn"}}

// draw invents a programme: clusters and lone apiaries; between the editions some
// come, some go, and results of the first season are added late.
func draw(r *rand.Rand) *world {
	w := &world{}
	n := 6 + r.IntN(16)
	for i := range n {
		c := geo.Cell{Column: r.IntN(16), Row: r.IntN(16)}
		if i > 0 && r.IntN(3) > 0 {
			near := w.sites[r.IntN(i)].Cell
			c = geo.Cell{Column: near.Column + r.IntN(2), Row: near.Row + r.IntN(2)}
		}
		w.sites = append(w.sites, Site{fmt.Sprint("A", i), c})
	}
	first := make([]bool, n)
	for i := range n {
		a, b := r.IntN(5) > 0, r.IntN(8) > 0
		w.members[0], w.members[1] = append(w.members[0], a), append(w.members[1], b || !a)
		first[i] = r.IntN(3) > 0
	}
	for edition := range 2 {
		w.tested[edition] = map[bioassay.Season][]bool{}
		for s, season := range twoSeasons[:edition+1] {
			in := make([]bool, n)
			for i := range n {
				in[i] = first[i]
				if s == 1 {
					in[i] = r.IntN(3) > 0
				} else if edition == 1 && r.IntN(6) == 0 {
					in[i] = true // late import
				}
				in[i] = in[i] && w.members[edition][i]
			}
			w.tested[edition][season] = in
		}
	}
	return w
}

// probability is what an apiary has in the highest band: a number of its own, by
// which a mean tells who is in it.
func probability(i int) float64 { return 0.01 + 0.9*math.Abs(math.Sin(float64(i+1))) }

// tracking is what the programme knows in an edition.
func (w *world) tracking(edition int) *track.Tracking {
	t := &track.Tracking{Level: 0.95, Bands: attackBands, Baselines: []track.Reference{{Baseline: attackBase}}}
	for i, s := range w.sites {
		series := track.Series{Apiary: s.Apiary, Acaricide: "amitraz"}
		for _, season := range twoSeasons {
			if in := w.tested[edition][season]; in != nil && in[i] {
				p := probability(i)
				series.Seasons = append(series.Seasons, track.Season{Season: season, Log: math.NaN(), LogSE: math.NaN(), Bands: []float64{p, 1 - p}, Mites: 100})
			}
		}
		if series.Seasons != nil {
			t.Series = append(t.Series, series)
		}
	}
	return t
}

var (
	attackBands = &bioassay.RatioBands{Percent: 50, Bands: bioassay.RuleBands{{Name: "high", From: 5}, {Name: "low"}}}
	attackGrid  = func() geo.Grid {
		g, err := geo.NewGrid(geo.NewProjection(geo.Point{Lon: -45, Lat: 41}), 10)
		if err != nil {
			panic(err)
		}
		return g
	}()
	attackBase, attackComparer = func() (*bioassay.Baseline, *bioassay.Comparer) {
		a := bioassay.Assay{Name: "reference", Acaricide: "amitraz", Role: bioassay.RoleBaseline}
		for i, dead := range []int{0, 1, 4, 11, 17, 20} {
			a.Containers = append(a.Containers, bioassay.Container{Concentration: math.Pow(2, float64(i-1)) * math.Min(1, float64(i)), Exposed: 20, Dead: dead})
		}
		o := bioassay.CompareOptions{Bands: attackBands, Analysis: bioassay.AnalysisOptions{Fit: doseresp.Options{Percents: []float64{50}}}}
		b, err := bioassay.BuildBaseline("reference", []bioassay.Assay{a}, bioassay.BaselineOptions{Analysis: o.Analysis})
		if err != nil {
			panic(err)
		}
		c, err := bioassay.NewComparer(b, o)
		if err != nil {
			panic(err)
		}
		return b, c
	}()
)

// registered are the apiaries of an edition, at the middle of their squares.
func (w *world) registered(edition int) (out []bioassay.Apiary) {
	for i, s := range w.sites {
		if !w.members[edition][i] {
			continue
		}
		f := attackGrid.Square(s.Cell)
		at := attackGrid.Projection.Inverse(geo.XY{(f.West + f.East) / 2, (f.South + f.North) / 2})
		out = append(out, bioassay.Apiary{Code: s.Apiary, Latitude: bioassay.Known(at.Lat), Longitude: bioassay.Known(at.Lon)})
	}
	return out
}

// scheme is a way of publishing: the means of each edition by season.
type scheme func(t *testing.T, w *world, k int) map[bioassay.Season][]mean

// published attacks what this package publishes: the GeoJSON of two editions, the
// second after the first. Which apiaries are in a mean is told by its numbers.
func published(t *testing.T, w *world, k int) map[bioassay.Season][]mean {
	out := map[bioassay.Season][]mean{}
	var previous *Edition
	for edition := range 2 {
		o := Options{K: k, Previous: previous}
		if previous == nil {
			centre := attackGrid.Projection.Centre()
			o.Previous = &Edition{Centre: centre, Side: 10, Top: DefaultTop, K: k} // an empty one, so that both use the same grid
		}
		a, _, err := New(w.tracking(edition), []*bioassay.Comparer{attackComparer}, w.registered(edition), o)
		if err != nil {
			t.Fatal(err)
		}
		e, err := ReadEdition(a.FeatureCollection(""), attackBands)
		if err != nil {
			t.Fatal(err)
		}
		for key, values := range e.values {
			for cell, v := range values {
				out[key.season] = append(out[key.season], w.meanOf(t, cell, key.season, v))
			}
		}
		previous = e
	}
	return out
}

// meanOf finds who is in a published mean: those of an edition whose mean it is.
func (w *world) meanOf(t *testing.T, cell geo.Cell, season bioassay.Season, v Value) mean {
	for edition := range 2 {
		var m mean
		sum := 0.0
		for i, s := range w.sites {
			if in := w.tested[edition][season]; in != nil && in[i] && w.members[edition][i] && cell.Holds(s.Cell) {
				m.members = append(m.members, i)
				sum += probability(i)
			}
		}
		if len(m.members) == v.Apiaries && math.Abs(math.Round(100*sum/float64(v.Apiaries))/100-v.Shares[0]) < 1e-9 {
			return m
		}
	}
	t.Fatalf("the numbers of %v in %v, %+v, are those of nobody", cell, season, v)
	return mean{}
}

// naive publishes every square with k results or more in each season, and a total
// over all apiaries.
func naive(_ *testing.T, w *world, k int) map[bioassay.Season][]mean {
	out := map[bioassay.Season][]mean{}
	for edition := range 2 {
		for season, in := range w.tested[edition] {
			by := map[geo.Cell][]int{}
			var all []int
			for i, s := range w.sites {
				if in[i] {
					by[s.Cell.Up(1)] = append(by[s.Cell.Up(1)], i)
					all = append(all, i)
				}
			}
			for _, members := range by {
				if len(members) >= k {
					out[season] = append(out[season], mean{members})
				}
			}
			out[season] = append(out[season], mean{all})
		}
	}
	return out
}

// redrawn publishes good areas, but those of each season's apiaries, and anew in
// each edition.
func redrawn(_ *testing.T, w *world, k int) map[bioassay.Season][]mean {
	out := map[bioassay.Season][]mean{}
	for edition := range 2 {
		for season, in := range w.tested[edition] {
			var sites []Site
			for i, s := range w.sites {
				if in[i] {
					sites = append(sites, s)
				}
			}
			for _, c := range Partition(sites, k, DefaultTop, nil) {
				var m mean
				for i, s := range w.sites {
					if in[i] && c.Holds(s.Cell) {
						m.members = append(m.members, i)
					}
				}
				out[season] = append(out[season], m)
			}
		}
	}
	return out
}

// attack returns how many of the drawn programmes leak.
func attack(t *testing.T, publish scheme, n int) (leaked int, example string) {
	const k = LeastK
	for seed := range n {
		w := draw(rand.New(rand.NewPCG(uint64(seed), 31)))
		for season, means := range publish(t, w, k) {
			if found := leaks(means, len(w.sites), k); found != nil {
				leaked++
				example = fmt.Sprintf("programme %d, %v: apiaries %v from %v", seed, season, found, means)
				break
			}
		}
	}
	return leaked, example
}

// TestAttackFindsNothing attacks two editions of a thousand programmes.
func TestAttackFindsNothing(t *testing.T) {
	n := 1000
	if testing.Short() {
		n = 100
	}
	if leaked, example := attack(t, published, n); leaked > 0 {
		t.Errorf("%d of %d programmes leak; %s", leaked, n, example)
	}
}

// TestAttackHasTeeth: maps that are published without care fall to it.
func TestAttackHasTeeth(t *testing.T) {
	const n = 200
	for name, publish := range map[string]scheme{"totals over everybody": naive, "areas of each season": redrawn} {
		leaked, example := attack(t, publish, n)
		t.Logf("%s: %d of %d programmes leak, such as %s", name, leaked, n, example)
		if leaked < n/20 {
			t.Errorf("%s: only %d of %d programmes leak", name, leaked, n)
		}
	}
}
