package atlas

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"vialwise/bioassay"
	"vialwise/bioassay/geo"
	"vialwise/bioassay/track"
	"vialwise/doseresp"
)

// editions is the number that a world publishes.
const editions = 3

var worldSeasons = []bioassay.Season{{Year: 2031, Name: "spring"}, {Year: 2031, Name: "autumn"}, {Year: 2032, Name: "spring"}}

// state is what a programme knows of an apiary when it publishes an edition.
type state struct {
	registered bool
	cell       geo.Cell
	tested     [3]bool // by season
	bound      [3]bool // the result has no estimate
	amended    [3]bool
	other      bool // compared with the other baseline
}

// world is an invented programme: every apiary in every edition.
type world [editions][]state

// draw invents a programme: clusters and lone apiaries, or all close together. Between the editions some
// come, some go, results are added late or amended, single apiaries and whole
// clusters turn out to stand elsewhere, and some are compared with a new baseline.
func draw(r *rand.Rand) *world {
	w := new(world)
	n, early, extent := 6+r.IntN(16), 1+r.IntN(6), []int{1, 2, 16, 16}[r.IntN(4)]
	for i := range n {
		s := state{registered: r.IntN(5) > 0, cell: geo.Cell{Column: r.IntN(extent), Row: r.IntN(extent)}}
		if i > 0 && extent > 2 && r.IntN(4) > 0 {
			near := w[0][r.IntN(i)].cell
			s.cell = geo.Cell{Column: near.Column + r.IntN(2), Row: near.Row + r.IntN(2)}
		}
		for season := range worldSeasons {
			s.bound[season] = r.IntN(4) == 0
		}
		s.tested[0] = r.IntN(6) < early
		w[0] = append(w[0], s)
	}
	for edition := 1; edition < editions; edition++ {
		w[edition] = slices.Clone(w[edition-1])
		w.happen(r, edition)
	}
	return w
}

// happen changes the world between two editions.
func (w *world) happen(r *rand.Rand, edition int) {
	late, by := r.IntN(10), geo.Cell{Column: r.IntN(5) - 2, Row: r.IntN(5) - 2}
	whole := r.IntN(2) == 0
	from := w[edition][r.IntN(len(w[edition]))].cell.Up(1)
	for i := range w[edition] {
		s := &w[edition][i]
		if r.IntN(6) == 0 {
			s.registered = !s.registered
		}
		s.tested[edition] = r.IntN(3) > 0
		for season := range edition {
			s.tested[season] = s.tested[season] || r.IntN(10) < late
			s.amended[season] = s.amended[season] || r.IntN(12) == 0
		}
		if whole && s.cell.Up(1) == from || r.IntN(15) == 0 {
			s.cell.Column, s.cell.Row = s.cell.Column+2*by.Column, s.cell.Row+2*by.Row
		}
		s.other = s.other || r.IntN(20) == 0
	}
}

// column is that of the result of an apiary in a season, as it is in an edition.
func (w *world) column(edition, i, season int) int {
	if w[edition][i].amended[season] {
		return i*versions + 1
	}
	return i * versions
}

// members are the results in an area and season of an edition that a layer holds.
func (w *world) members(edition, season int, ratio bool, in func(state) bool) (m mean) {
	for i, s := range w[edition] {
		if s.registered && s.tested[season] && !(ratio && s.bound[season]) && in(s) {
			m = append(m, w.column(edition, i, season))
		}
	}
	return m
}

const noise = 0.1 // standard error of log10 LC50, the same for all, so that means have equal weights

// logOf is a number of an apiary's own too.
func logOf(column int) float64 { return probability(column) }

// tracking is what the programme knows in an edition.
func (w *world) tracking(edition int) *track.Tracking {
	base := track.Reference{Baseline: worldBase}
	t := &track.Tracking{Level: 0.95, Bands: worldBands, Baselines: []track.Reference{base, {Baseline: worldBase, Version: 2}}}
	for i, s := range w[edition] {
		series := track.Series{Apiary: fmt.Sprint("A", i), Acaricide: "amitraz"}
		if s.other {
			series.Baseline = 1
		}
		for season := range edition + 1 {
			if !s.tested[season] {
				continue
			}
			column := w.column(edition, i, season)
			p := probability(column)
			one := track.Season{Season: worldSeasons[season], Log: logOf(column), LogSE: noise, Bands: []float64{p, 1 - p}, Mites: 100}
			if s.bound[season] {
				one.Log, one.LogSE = math.NaN(), math.NaN()
			}
			series.Seasons = append(series.Seasons, one)
		}
		if series.Seasons != nil {
			t.Series = append(t.Series, series)
		}
	}
	return t
}

var (
	worldBands = &bioassay.RatioBands{Percent: 50, Bands: bioassay.RuleBands{{Name: "high", From: 5}, {Name: "low"}}}
	worldGrid  = func() geo.Grid {
		g, err := geo.NewGrid(geo.NewProjection(geo.Point{Lon: -45, Lat: 41}), 10)
		if err != nil {
			panic(err)
		}
		return g
	}()
	// worldBase is an invented baseline of one assay.
	worldBase, worldComparer = func() (*bioassay.Baseline, *bioassay.Comparer) {
		a := bioassay.Assay{Name: "reference", Acaricide: "amitraz", Role: bioassay.RoleBaseline}
		for i, dead := range []int{0, 1, 4, 11, 17, 20} {
			a.Containers = append(a.Containers, bioassay.Container{Concentration: math.Pow(2, float64(i-1)) * math.Min(1, float64(i)), Exposed: 20, Dead: dead})
		}
		o := bioassay.CompareOptions{Bands: worldBands, Analysis: bioassay.AnalysisOptions{Fit: doseresp.Options{Percents: []float64{50}}}}
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
	worldComparers = []*bioassay.Comparer{worldComparer, worldComparer}
)

// apiaries are those of an edition, at the middle of their squares.
func (w *world) apiaries(edition int) (out []bioassay.Apiary) {
	for i, s := range w[edition] {
		if s.registered {
			at := middle(s.cell)
			out = append(out, bioassay.Apiary{Code: fmt.Sprint("A", i), Latitude: bioassay.Known(at.Lat), Longitude: bioassay.Known(at.Lon)})
		}
	}
	return out
}

func middle(c geo.Cell) geo.Point {
	f := worldGrid.Square(c)
	return worldGrid.Projection.Inverse(geo.XY{(f.West + f.East) / 2, (f.South + f.North) / 2})
}

func (w *world) sites(edition int, in func(state) bool) (out []Site) {
	for i, s := range w[edition] {
		if s.registered && in(s) {
			out = append(out, Site{fmt.Sprint("A", i), s.cell})
		}
	}
	return out
}

func everybody(state) bool { return true }

// blank is an edition that has published nothing, so that all use one grid.
func blank() *Edition {
	return &Edition{Centre: worldGrid.Projection.Centre(), Side: worldGrid.Side, Top: DefaultTop, K: LeastK}
}

// throughText writes an atlas and reads the text, as the next edition does.
func throughText(t *testing.T, a *Atlas) *Edition {
	t.Helper()
	var text bytes.Buffer
	if err := a.FeatureCollection("").Write(&text); err != nil {
		t.Fatal(err)
	}
	c, warnings, err := geo.Read("edition.geojson", &text)
	if err != nil || len(warnings) > 0 {
		t.Fatal(err, warnings)
	}
	e, err := ReadEdition(c, worldBands)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

// published attacks what this package publishes: the GeoJSON of all editions, each
// taking over the one before it.
func published(t *testing.T, w *world) map[quantity][]mean {
	return w.publish(t, func(last *Edition) *Edition { return last })
}

// forgetful publishes each edition as if it were the first.
func forgetful(t *testing.T, w *world) map[quantity][]mean {
	return w.publish(t, func(*Edition) *Edition { return blank() })
}

func (w *world) publish(t *testing.T, previous func(last *Edition) *Edition) map[quantity][]mean {
	t.Helper()
	out := map[quantity][]mean{}
	last := blank()
	for edition := range editions {
		before := previous(last)
		a, _, err := New(w.tracking(edition), worldComparers, w.apiaries(edition), Options{Previous: before})
		if err != nil {
			t.Fatal(err)
		}
		e := throughText(t, a)
		for key, values := range e.values {
			for cell, v := range values {
				if was, ok := before.of(key.against, key.season)[cell]; ok && same(was, v) {
					continue // nothing new is told
				}
				w.explain(t, out, edition, key, cell, v)
			}
		}
		last = e
	}
	return out
}

// same compares two published values; a NaN is itself.
func same(a, b Value) bool {
	a.Area, b.Area = 0, 0
	return fmt.Sprint(a) == fmt.Sprint(b) && reflect.DeepEqual(a.Shares, b.Shares)
}

// explain adds the means of a published value, after its numbers have shown that
// they are those of the results now in the area.
func (w *world) explain(t *testing.T, out map[quantity][]mean, edition int, key released, cell geo.Cell, v Value) {
	t.Helper()
	season := slices.Index(worldSeasons, key.season)
	in := func(s state) bool {
		return cell.Holds(s.cell) && s.other == (key.Baseline != baselineWords(track.Reference{Baseline: worldBase}))
	}
	m := w.members(edition, season, false, in)
	sum := 0.0
	for _, c := range m {
		sum += probability(c)
	}
	if len(m) != v.Apiaries || math.Abs(sum/float64(len(m))-v.Shares[0]) > 0.005+1e-9 {
		t.Fatalf("the numbers of %v in %v, %+v, are not those of %v", cell, key, v, m)
	}
	add(out, quantity{season: key.season}, m)
	if math.IsNaN(v.Ratio.Estimate) {
		return
	}
	m = w.members(edition, season, true, in)
	var y, variances []float64
	for _, c := range m {
		y, variances = append(y, logOf(c)), append(variances, noise*noise)
	}
	if want := rounded(track.Pool(y, variances, worldComparer, 0.95).Ratio).Estimate; v.Ratio.Estimate != want {
		t.Fatalf("the ratio of %v in %v, %v, is not that of %v, %v", cell, key, v.Ratio.Estimate, m, want)
	}
	add(out, quantity{key.season, true}, m)
}

func add(out map[quantity][]mean, q quantity, m mean) {
	if len(m) > 0 {
		out[q] = append(out[q], m)
	}
}
