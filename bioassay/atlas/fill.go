package atlas

import (
	"cmp"
	"slices"
	"strconv"

	"vialwise/bioassay"
	"vialwise/bioassay/track"
)

// fill computes the values of every layer and season, and returns how many results
// are held back for the sake of the earlier edition.
func (a *Atlas) fill(t *track.Tracking, comparers []*bioassay.Comparer, sites []Site, previous *Edition) (held int) {
	a.Seasons = seasonsOf(t, previous)
	where, spent := a.areaBy(sites), map[use]int{}
	for _, layer := range layersOf(t, previous) {
		var c *bioassay.Comparer
		if layer.baseline >= 0 {
			c = comparers[layer.baseline]
		}
		out := Layer{Name: layer.name, Acaricide: layer.Acaricide, Baseline: layer.Baseline}
		results := a.results(t, layer, where)
		for i, s := range a.Seasons {
			key := use{layer.Acaricide, s}
			v := values{atlas: a, comparer: c, earlier: previous.of(layer.against, s), before: previous.spent(key)}
			out.Values = append(out.Values, v.all(results[i]))
			spent[key] += v.fresh
			held += v.held
			a.Kept += v.kept
		}
		a.Layers = append(a.Layers, out)
	}
	for i := range a.Layers {
		for _, s := range a.Seasons {
			key := use{a.Layers[i].Acaricide, s}
			a.Layers[i].Spent = append(a.Layers[i].Spent, previous.spent(key)+spent[key])
		}
	}
	return held
}

// areaBy returns the area of every apiary that lies in one.
func (a *Atlas) areaBy(sites []Site) map[string]int {
	areas, out := indexOf(a.Areas), map[string]int{}
	for _, s := range sites {
		if area := areaOf(s.Cell, areas, a.Top); area >= 0 {
			out[s.Apiary] = area
		}
	}
	return out
}

// results sorts the results of a layer by season and area. One without bands tells
// nothing that an area shows.
func (a *Atlas) results(t *track.Tracking, l layer, where map[string]int) [][][]track.Season {
	out := make([][][]track.Season, len(a.Seasons))
	at := map[bioassay.Season]int{}
	for i, s := range a.Seasons {
		at[s], out[i] = i, make([][]track.Season, len(a.Areas))
	}
	for _, s := range t.Series {
		area, placed := where[s.Apiary]
		if !placed || s.Acaricide != l.Acaricide || s.Baseline != l.baseline {
			continue
		}
		for _, season := range s.Seasons {
			if season.Bands != nil {
				i := at[season.Season]
				out[i][area] = append(out[i][area], season)
			}
		}
	}
	return out
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
	against
	name     string
	baseline int // of the tracking; below 0 where the earlier edition alone has it
}

// layersOf lists the acaricides of a tracking and of the earlier edition, each once
// for every baseline. The later edition holds what the earlier one showed, since
// the one after it must know of it too.
func layersOf(t *track.Tracking, previous *Edition) (out []layer) {
	known := func(a against) bool {
		return slices.ContainsFunc(out, func(l layer) bool { return l.against == a })
	}
	bases := map[[2]string]bool{}
	for _, s := range t.Series {
		at := [2]string{s.Acaricide, strconv.Itoa(s.Baseline)}
		if bases[at] {
			continue
		}
		bases[at] = true
		a := against{s.Acaricide, baselineWords(t.Baselines[s.Baseline])}
		if known(a) {
			a.Baseline += ", protocol " + s.Protocol
		}
		for n := 2; known(a); n++ {
			a.Baseline += " (" + strconv.Itoa(n) + ")"
		}
		out = append(out, layer{a, a.Acaricide, s.Baseline})
	}
	for _, a := range previous.layers() {
		if !known(a) {
			out = append(out, layer{a, a.Acaricide, -1})
		}
	}
	slices.SortFunc(out, func(x, y layer) int { return x.compare(y.against) })
	for i, l := range out {
		if i > 0 && out[i-1].Acaricide == l.Acaricide || i+1 < len(out) && out[i+1].Acaricide == l.Acaricide {
			out[i].name += " (" + l.Baseline + ")"
		}
	}
	return out
}

// against is an acaricide and the words for the baseline that it is compared with.
type against struct{ Acaricide, Baseline string }

func (a against) compare(b against) int {
	return cmp.Or(cmp.Compare(a.Acaricide, b.Acaricide), cmp.Compare(a.Baseline, b.Baseline))
}

// baselineWords tell of a baseline without its name, which may be that of an assay
// or of an apiary.
func baselineWords(r track.Reference) string {
	words := "baseline of " + bioassay.Plural(len(r.Assays), "assay")
	if r.Version > 0 {
		words += ", version " + strconv.Itoa(r.Version)
	}
	return words
}
