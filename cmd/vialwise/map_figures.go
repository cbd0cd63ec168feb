package main

import (
	"fmt"
	"strconv"

	"vialwise/bioassay"
	"vialwise/bioassay/atlas"
	"vialwise/bioassay/geo"
	"vialwise/cmd/vialwise/internal/mappage"
	"vialwise/plots"
)

// allSeasons asks for a printed map of every season.
const allSeasons = "all"

// thinPen is the width of a line on a map, as a share of the map's: nothing finer
// is drawn.
const thinPen = 1.0 / 1500

// draw takes over land and boundaries.
func (r *region) draw(c *geo.FeatureCollection) {
	around := r.frame.Wider(max(r.frame.Width(), r.frame.Height())) // a window may be wider or higher than the map
	d := r.atlas.Grid.Projection.Draw(c, around, thinPen*r.frame.Width())
	for _, polygon := range d.Land {
		r.land = append(r.land, mappage.Path(polygon))
	}
	for _, line := range d.Shores {
		r.shores = append(r.shores, mappage.Path{line})
	}
	for _, line := range d.Lines {
		r.lines = append(r.lines, mappage.Path{line})
	}
}

// printed is a map for print.
type printed struct {
	name, file string
	figure     plots.Map
}

// figures are the maps for print: of each acaricide the season that was asked
// for, or its newest one.
func (f *mapFlags) figures(r *region) (out []printed, err error) {
	a := r.atlas
	var names []string
	for l, layer := range a.Layers {
		seasons, err := f.seasons(a, layer)
		if err != nil {
			return nil, err
		}
		for _, s := range seasons {
			name := layer.Name + ", " + a.Seasons[s].String()
			names = append(names, f.prefix()+"map "+layer.Name+" "+a.Seasons[s].String())
			out = append(out, printed{name: name, figure: r.figure(l, s)})
		}
	}
	for i, file := range fileNames(names) {
		out[i].file = file
	}
	return out, nil
}

// seasons are the positions of the seasons to print.
func (f *mapFlags) seasons(a *atlas.Atlas, l atlas.Layer) (out []int, err error) {
	for i, s := range a.Seasons {
		if shown := len(l.Values[i]) > 0; f.season == s.String() || f.season == allSeasons && shown {
			out = append(out, i)
		}
	}
	if f.season == "" {
		for i := len(a.Seasons) - 1; i >= 0; i-- {
			if len(l.Values[i]) > 0 {
				return []int{i}, nil
			}
		}
		return nil, nil
	}
	if out == nil && f.season != allSeasons {
		return nil, usageError{fmt.Errorf("season %q is not among those of the map: %s", f.season, bioassay.Listed(seasonNames(a.Seasons)))}
	}
	return out, nil
}

func seasonNames(seasons []bioassay.Season) (out []string) {
	for _, s := range seasons {
		out = append(out, s.String())
	}
	return out
}

// figure is the map of a layer in a season.
func (r *region) figure(layer, season int) plots.Map {
	a := r.atlas
	l := a.Layers[layer]
	m := plots.Map{
		Quantity: "Resistance ratio at LC50", Fewest: a.K, ScaleKM: geo.ScaleBar(r.frame.Width()),
		Extent: plots.MapExtent(r.frame), Projection: projectionWords(r), NotForSharing: r.exact != nil,
	}
	m.Title, m.Subtitle, m.Mark, m.Width = l.Name+", "+a.Seasons[season].String(), "Ratios against "+l.Baseline, r.mark, plots.TwoColumns
	m.North[0], m.North[1] = r.north()
	order := risingBands(a)
	for _, band := range order {
		m.Classes = append(m.Classes, plots.MapClass{Name: bandName(a, band)})
	}
	for _, path := range r.land {
		m.Land = append(m.Land, path)
	}
	for _, path := range r.lines {
		m.Lines = append(m.Lines, path...)
	}
	shown := map[int]atlas.Value{}
	for _, v := range l.Values[season] {
		shown[v.Area] = v
	}
	for i, c := range a.Areas {
		area := plots.MapArea{Outline: a.Grid.Path(c), Status: plots.MapFew}
		if v, ok := shown[i]; ok {
			area.Status, area.Certainty, area.Label = plots.MapShown, plots.MapCertainty(v.Certainty), strconv.Itoa(v.Apiaries)
			for k, band := range order {
				if band == v.Band {
					area.Class = k
				}
			}
		}
		m.Areas = append(m.Areas, area)
	}
	if r.exact != nil {
		for _, x := range r.exact.Apiaries {
			m.Points = append(m.Points, plots.MapPoint{At: a.Grid.Projection.Forward(x.Place), Class: -1, Label: x.Code})
		}
	}
	return m
}

// north is the range of the direction of true north over the corners of the map.
func (r *region) north() (least, most float64) {
	p, f := r.atlas.Grid.Projection, r.frame
	for i, xy := range []geo.XY{{f.West, f.South}, {f.East, f.South}, {f.East, f.North}, {f.West, f.North}} {
		c := p.Convergence(p.Inverse(xy))
		if i == 0 {
			least, most = c, c
		}
		least, most = min(least, c), max(most, c)
	}
	return least, most
}

// notForSharingNote begins every file that holds exact places.
const notForSharingNote = "Not for sharing: this file holds the exact places and codes of apiaries."

// collection is the map as GeoJSON, with the apiaries where they are asked for.
func (r *region) collection() *geo.FeatureCollection {
	note := "Areas of " + strconv.Itoa(r.atlas.K) + " apiaries or more. " + r.mark
	if r.exact != nil {
		note = notForSharingNote + " " + r.mark
	}
	c := r.atlas.FeatureCollection(note)
	if r.exact != nil {
		for _, x := range r.exact.Apiaries {
			c.Features = append(c.Features, geo.Feature{
				Geometry:   geo.PointsOf(x.Place),
				Properties: []geo.Property{{Name: "status", Value: "exact"}, {Name: "apiary", Value: x.Code}, {Name: "note", Value: notForSharingNote}},
			})
		}
	}
	return c
}

// mapLinks lead from the page to the other files.
func mapLinks(figures []printed, prefix string) []mappage.Link {
	links := []mappage.Link{{File: prefix + mapGeoJSON, Name: "Areas for programs of geography (GeoJSON)"}}
	for _, f := range figures {
		links = append(links, mappage.Link{File: f.file + ".pdf", Name: "For print: " + f.name + " (PDF)"}, mappage.Link{File: f.file + ".svg", Name: "For print: " + f.name + " (SVG)"})
	}
	return links
}
