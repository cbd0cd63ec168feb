package atlas

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"

	"vialwise/bioassay"
	"vialwise/bioassay/geo"
	"vialwise/bioassay/track"
)

// Options choose the areas of an atlas.
type Options struct {
	Side float64 // of the smallest square in km; 0 for DefaultSide
	Top  int     // level of the largest square, each twice as wide as the one below; below 0 for none but the smallest, 0 for DefaultTop
	K    int     // apiaries that an area must show; 0 for LeastK
	// Previous is the edition before this one, nil for the first. Its grid, areas
	// and numbers are taken over.
	Previous *Edition
}

// Defaults of Options.
const (
	DefaultSide = 10.0
	DefaultTop  = 3
)

// Atlas is what a map may hold. It has no place for anything about one apiary.
type Atlas struct {
	Grid    geo.Grid
	Top, K  int
	Level   float64 // of limits
	Bands   []string
	From    []float64 // lower bound of each band
	Layers  []Layer
	Seasons []bioassay.Season
	Areas   []geo.Cell
	// Redrawn says that the areas are no earlier edition's.
	Redrawn bool
	// Kept is the number of values that stand as the earlier edition had them, since
	// too few further apiaries have a result.
	Kept int
}

// Layer is one acaricide over the seasons.
type Layer struct {
	Name     string // of the acaricide, with its baseline where there are several
	Baseline string
	Values   [][]Value // by season, of the areas that are shown, rising
}

// Value is one area in one season, in round numbers: what is published.
type Value struct {
	Area      int               // position among Areas
	Apiaries  int               // with a result, k or more
	Mites     int               // tested there
	Ratio     bioassay.Interval // mean ratio; NaN of fewer than k estimates, no limits below four
	Shares    []float64         // expected share of the apiaries in each band
	Band      int               // the one with the largest share
	Certainty Certainty
}

// Certainty says how far the band of an area can be relied upon.
type Certainty uint8

// The degrees. Clear takes an expected share of 80 % in one band and limits of
// the mean ratio, which takes four apiaries; Likely one of 60 %, or 80 % without
// limits.
const (
	Unsure Certainty = iota
	Likely
	Clear
)

const (
	clearShare  = 0.8
	likelyShare = 0.6
)

var certaintyNames = [...]string{Unsure: "unsure", Likely: "likely", Clear: "clear"}

// String returns the name of the degree.
func (c Certainty) String() string { return certaintyNames[c] }

// New makes the atlas of a tracking, whose series must be against the comparers.
// It fails without bands, without a place, or where the options make no grid. The
// warnings are about the extent of the region and apiaries without a place.
func New(t *track.Tracking, comparers []*bioassay.Comparer, apiaries []bioassay.Apiary, o Options) (*Atlas, []bioassay.Warning, error) {
	if t.Bands == nil {
		return nil, nil, fmt.Errorf("a map shows bands of the ratio, and there are none; name a rule set with --bands")
	}
	a, warnings, err := frame(apiaries, o)
	if err != nil {
		return nil, nil, err
	}
	a.Level = t.Level
	for _, b := range t.Bands.Bands {
		a.Bands, a.From = append(a.Bands, b.Name), append(a.From, b.From)
	}
	sites, unplaced := a.sites(apiaries)
	if unplaced > 0 {
		warnings = append(warnings, bioassay.Warning{
			Code:    Unplaced,
			Message: bioassay.Plural(unplaced, "apiary") + " have no place and are on no map",
			Cure:    "enter latitude and longitude in the table of apiaries",
		})
	}
	var earlier []geo.Cell
	if o.Previous != nil {
		earlier = o.Previous.Areas
	}
	a.Areas = Partition(sites, a.K, a.Top, earlier)
	a.fill(t, comparers, sites, o.Previous)
	return a, warnings, nil
}

// Unplaced is the warning about apiaries without a place.
const Unplaced bioassay.WarningCode = "apiaries-without-place"

// frame chooses the grid: that of the earlier edition, or one about the apiaries.
func frame(apiaries []bioassay.Apiary, o Options) (*Atlas, []bioassay.Warning, error) {
	a := &Atlas{Top: o.Top, K: o.K, Redrawn: o.Previous == nil}
	if a.K == 0 {
		a.K = LeastK
	}
	if a.K < LeastK {
		return nil, nil, fmt.Errorf("an area of %d apiaries would tell of single ones; show at least %d", a.K, LeastK)
	}
	var places []geo.Point
	for _, p := range apiaries {
		if p.Located() {
			places = append(places, geo.Point{Lon: p.Longitude.Value, Lat: p.Latitude.Value})
		}
	}
	if p := o.Previous; p != nil {
		a.Top = p.Top
		grid, err := geo.NewGrid(geo.NewProjection(p.Centre), p.Side)
		a.Grid = grid
		return a, nil, err
	}
	switch {
	case a.Top == 0:
		a.Top = DefaultTop
	case a.Top < 0:
		a.Top = 0
	}
	projection, warnings, err := geo.Regional(places)
	if err != nil {
		return nil, nil, err
	}
	side := o.Side
	if side == 0 {
		side = DefaultSide
	}
	a.Grid, err = geo.NewGrid(projection, side)
	return a, warnings, err
}

func (a *Atlas) sites(apiaries []bioassay.Apiary) (sites []Site, unplaced int) {
	for _, p := range apiaries {
		if !p.Located() {
			unplaced++
			continue
		}
		sites = append(sites, Site{p.Code, a.Grid.Of(geo.Point{Lon: p.Longitude.Value, Lat: p.Latitude.Value})})
	}
	return sites, unplaced
}

// result is one apiary in one season.
type result struct {
	area   int
	season track.Season
}

// fill computes the values of every layer and season.
func (a *Atlas) fill(t *track.Tracking, comparers []*bioassay.Comparer, sites []Site, previous *Edition) {
	areas := map[geo.Cell]int{}
	for i, c := range a.Areas {
		areas[c] = i
	}
	where := map[string]int{}
	for _, s := range sites {
		where[s.Apiary] = areaOf(s.Cell, areas, a.Top)
	}
	a.Seasons = seasonsOf(t, previous)
	at := map[bioassay.Season]int{}
	for i, s := range a.Seasons {
		at[s] = i
	}
	for _, layer := range layersOf(t) {
		results := make([][]result, len(a.Seasons))
		for _, s := range t.Series {
			area, placed := where[s.Apiary]
			if s.Acaricide != layer.acaricide || s.Baseline != layer.baseline || !placed || area < 0 {
				continue
			}
			for _, season := range s.Seasons {
				if season.Bands != nil {
					i := at[season.Season]
					results[i] = append(results[i], result{area, season})
				}
			}
		}
		out := Layer{Name: layer.name, Baseline: layer.words}
		for i, list := range results {
			out.Values = append(out.Values, a.values(list, comparers[layer.baseline], previous.of(layer.name, a.Seasons[i])))
		}
		a.Layers = append(a.Layers, out)
	}
	a.takeOver(previous)
}

// takeOver adds the layers of the earlier edition that the tracking has not, for a
// later edition must know of them too.
func (a *Atlas) takeOver(previous *Edition) {
	for _, name := range previous.layers() {
		if slices.ContainsFunc(a.Layers, func(l Layer) bool { return l.Name == name }) {
			continue
		}
		l := Layer{Name: name, Baseline: "as published before"}
		for _, s := range a.Seasons {
			l.Values = append(l.Values, a.values(nil, nil, previous.of(name, s)))
		}
		a.Layers = append(a.Layers, l)
	}
}

// seasonsOf lists the seasons of a tracking and of the earlier edition.
func seasonsOf(t *track.Tracking, previous *Edition) (out []bioassay.Season) {
	seen := map[bioassay.Season]bool{}
	add := func(s bioassay.Season) {
		if !seen[s] {
			seen[s] = true
			out = append(out, s)
		}
	}
	for _, s := range t.Series {
		for _, season := range s.Seasons {
			add(season.Season)
		}
	}
	for _, s := range previous.seasons() {
		add(s)
	}
	slices.SortFunc(out, t.Calendar.Compare)
	return out
}

// layer is an acaricide with a baseline.
type layer struct {
	acaricide, name, words string
	baseline               int
}

// layersOf lists the acaricides, each once for every baseline that it has.
func layersOf(t *track.Tracking) (out []layer) {
	number := map[string]int{}
	for _, s := range t.Series {
		if !slices.ContainsFunc(out, func(l layer) bool { return l.acaricide == s.Acaricide && l.baseline == s.Baseline }) {
			b := t.Baselines[s.Baseline]
			words := b.Name
			if b.Version > 0 {
				words += ", version " + strconv.Itoa(b.Version)
			}
			out = append(out, layer{s.Acaricide, s.Acaricide, words, s.Baseline})
			number[s.Acaricide]++
		}
	}
	slices.SortFunc(out, func(x, y layer) int {
		return cmp.Or(cmp.Compare(x.acaricide, y.acaricide), cmp.Compare(x.baseline, y.baseline))
	})
	for i, l := range out {
		if number[l.acaricide] > 1 {
			out[i].name += " (" + l.words + ")"
		}
	}
	return out
}

// values sums up the areas with k results or more. Where the earlier edition has
// an area and fewer than k further apiaries have a result now, its numbers stand.
func (a *Atlas) values(list []result, c *bioassay.Comparer, earlier map[geo.Cell]Value) []Value {
	by := make([][]track.Season, len(a.Areas))
	for _, r := range list {
		by[r.area] = append(by[r.area], r.season)
	}
	var out []Value
	for area, seasons := range by {
		before, published := earlier[a.Areas[area]]
		switch {
		case published && len(seasons)-before.Apiaries < a.K:
			before.Area = area
			out = append(out, before)
			a.Kept++
		case len(seasons) >= a.K:
			out = append(out, a.value(area, seasons, c))
		}
	}
	return out
}

func (a *Atlas) value(area int, seasons []track.Season, c *bioassay.Comparer) Value {
	v := Value{Area: area, Apiaries: len(seasons), Ratio: bioassay.NoInterval()}
	var y, variances []float64
	var chances [][]float64
	for _, s := range seasons {
		v.Mites += s.Mites
		chances = append(chances, s.Bands)
		if !math.IsNaN(s.Log) && s.LogSE > 0 && !math.IsInf(s.LogSE, 1) {
			y, variances = append(y, s.Log), append(variances, s.LogSE*s.LogSE)
		}
	}
	if len(y) >= a.K {
		v.Ratio = rounded(track.Pool(y, variances, c, a.Level).Ratio)
	}
	v.Shares = track.MeanShares(chances)
	for i, share := range v.Shares {
		v.Shares[i] = math.Round(100*share) / 100
		if share > v.Shares[v.Band] {
			v.Band = i
		}
	}
	v.Certainty = v.certainty()
	return v
}

func (v *Value) certainty() Certainty {
	limits := v.Ratio.Lower > 0 && !math.IsInf(v.Ratio.Upper, 1)
	switch share := v.Shares[v.Band]; {
	case share >= clearShare && limits:
		return Clear
	case share >= likelyShare:
		return Likely
	}
	return Unsure
}

// rounded is a ratio as it is published, with three digits.
func rounded(i bioassay.Interval) bioassay.Interval {
	round := func(x float64) float64 {
		if math.IsNaN(x) || math.IsInf(x, 0) || x == 0 {
			return x
		}
		r, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'e', 2, 64), 64)
		return r
	}
	out := bioassay.Interval{Estimate: round(i.Estimate), Lower: round(i.Lower), Upper: round(i.Upper)}
	if !(out.Lower > 0) || math.IsInf(out.Upper, 1) {
		out.Lower, out.Upper = math.NaN(), math.NaN()
	}
	return out
}

// Total is what all shown areas of a season have in common.
type Total struct {
	Areas, Apiaries, Mites int
	Shares                 []float64 // of the apiaries in each band
}

// Total sums up the areas that a layer shows in a season, and nothing else.
func (a *Atlas) Total(layer, season int) Total {
	t := Total{Shares: make([]float64, len(a.Bands))}
	for _, v := range a.Layers[layer].Values[season] {
		t.Areas++
		t.Apiaries += v.Apiaries
		t.Mites += v.Mites
		for i, share := range v.Shares {
			t.Shares[i] += share * float64(v.Apiaries)
		}
	}
	for i := range t.Shares {
		t.Shares[i] /= max(1, float64(t.Apiaries))
	}
	return t
}
