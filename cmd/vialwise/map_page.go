package main

import (
	"fmt"
	"math"

	"vialwise/bioassay"
	"vialwise/bioassay/atlas"
	"vialwise/bioassay/geo"
	"vialwise/cmd/vialwise/internal/mappage"
	"vialwise/plots"
)

// region is everything that a map shows.
type region struct {
	atlas               *atlas.Atlas
	exact               *atlas.Exact // nil unless exact places were asked for
	land, shores, lines []mappage.Path
	frame               geo.Frame
	name                string // of the programme, blank where it has none
	bands               string // what the bands are and where they come from
	mark                string
}

// frameMargin is how far a map reaches beyond its areas, as a share of their
// extent.
const frameMargin = 0.08

// framed sets the rectangle of the map: the areas with a margin, and the land
// where there is no area.
func (r *region) framed(places []geo.XY) {
	var corners []geo.XY
	for _, c := range r.atlas.Areas {
		f := r.atlas.Grid.Square(c)
		corners = append(corners, geo.XY{f.West, f.South}, geo.XY{f.East, f.North})
	}
	corners = append(corners, places...)
	f := geo.FrameOf(corners...)
	r.frame = f.Wider(max(frameMargin*max(f.Width(), f.Height()), r.atlas.Grid.Side/2))
}

// fewWords is what an area without facts is called.
func fewWords(k int) string { return fmt.Sprintf("fewer than %d apiaries tested", k) }

// page turns a region into a page of HTML.
func (r *region) page(links []mappage.Link) *mappage.Page {
	a := r.atlas
	colours := plots.ClassColours(len(a.Bands))
	p := &mappage.Page{
		Title: titled("Resistance map", r.name), Lead: mapLead(a), Mark: r.mark, NotForSharing: r.exact != nil, Version: version,
		Frame: mappage.Frame(r.frame), Land: r.land, Shores: r.shores, Lines: r.lines,
		Few: fewWords(a.K), Level: fmt.Sprintf("%g %%", 100*a.Level), ScaleKM: geo.ScaleBar(r.frame.Width()),
		Projection: projectionWords(r), Notes: r.notes(), Links: links,
	}
	order := risingBands(a)
	for i, band := range order {
		p.Classes = append(p.Classes, mappage.Class{Name: bandName(a, band), Colour: colours[i]})
	}
	for _, c := range a.Areas {
		p.Areas = append(p.Areas, mappage.Area{ID: c.String(), Name: areaName(a, c), Path: mappage.Path{a.Grid.Path(c)}})
	}
	for _, s := range a.Seasons {
		p.Seasons = append(p.Seasons, s.String())
	}
	for _, l := range a.Layers {
		p.Acaricides, p.Baselines = append(p.Acaricides, l.Name), append(p.Baselines, l.Baseline)
		p.Facts = append(p.Facts, layerFacts(l, order))
	}
	if r.exact != nil {
		for _, x := range r.exact.Apiaries {
			xy := a.Grid.Projection.Forward(x.Place)
			p.Points = append(p.Points, mappage.Point{X: xy[0], Y: xy[1], Name: x.Code})
		}
	}
	return p
}

// bandName is the name of a band with its bounds.
func bandName(a *atlas.Atlas, band int) string {
	above := ""
	if band > 0 {
		above = fmt.Sprintf("%g", a.From[band-1])
	}
	switch {
	case band == 0:
		return fmt.Sprintf("%s (from %g)", a.Bands[band], a.From[band])
	case a.From[band] == 0:
		return fmt.Sprintf("%s (below %s)", a.Bands[band], above)
	}
	return fmt.Sprintf("%s (%g to %s)", a.Bands[band], a.From[band], above)
}

// risingBands are the positions of the bands from the lowest ratio up.
func risingBands(a *atlas.Atlas) []int {
	order := make([]int, len(a.Bands))
	for i := range order {
		order[i] = len(order) - 1 - i // rule sets list them from the highest down
	}
	return order
}

func layerFacts(l atlas.Layer, order []int) [][]mappage.Fact {
	var out [][]mappage.Fact
	for _, values := range l.Values {
		facts := []mappage.Fact{}
		for _, v := range values {
			f := mappage.Fact{
				Area: v.Area, Apiaries: v.Apiaries, Ratio: v.Ratio.Estimate, Lower: v.Ratio.Lower, Upper: v.Ratio.Upper,
				Certainty: mappage.Certainty(v.Certainty),
			}
			for i, band := range order {
				f.Shares = append(f.Shares, v.Shares[band])
				if band == v.Band {
					f.Class = i
				}
			}
			facts = append(facts, f)
		}
		out = append(out, facts)
	}
	return out
}

// areaName says where an area lies, by its middle.
func areaName(a *atlas.Atlas, c geo.Cell) string {
	f := a.Grid.Square(c)
	at := a.Grid.Projection.Inverse(geo.XY{(f.West + f.East) / 2, (f.South + f.North) / 2})
	return fmt.Sprintf("%s %s, %g km wide", halves(at.Lat, "N", "S"), halves(at.Lon, "E", "W"), a.Grid.SideOf(c))
}

// halves writes an angle with two decimals and its half of the globe.
func halves(x float64, plus, minus string) string {
	if x < 0 {
		plus = minus
	}
	return fmt.Sprintf("%.2f° %s", math.Abs(x), plus)
}

func mapLead(a *atlas.Atlas) string {
	if len(a.Seasons) == 0 {
		return "No area of the region has enough results."
	}
	return fmt.Sprintf("Where varroa mites still die of %s, %s to %s.", bioassay.Listed(layerNames(a)), a.Seasons[0], a.Seasons[len(a.Seasons)-1])
}

func layerNames(a *atlas.Atlas) (out []string) {
	for _, l := range a.Layers {
		out = append(out, l.Name)
	}
	return out
}

// projectionWords names the projection and how far lengths are off at the edge.
func projectionWords(r *region) string {
	p := r.atlas.Grid.Projection
	stretch := 100 * p.Stretch(r.frame.Reach())
	if stretch < 0.1 {
		return p.Describe() + ", lengths right within 0.1 %"
	}
	return fmt.Sprintf("%s, lengths at the edge off by up to %.1f %%", p.Describe(), stretch)
}

// titled is a title with the name of a programme.
func titled(title, name string) string {
	if name == "" {
		return title
	}
	return title + ", " + name
}

// notes say how to read a map, and what it keeps back.
func (r *region) notes() []string {
	a := r.atlas
	notes := []string{
		fmt.Sprintf("Areas are squares, %g km wide or two, four, eight times as wide. A square is divided where at least three quarters of its apiaries lie in parts with %d of them or more.", a.Grid.Side, a.K),
		fmt.Sprintf("An area shows an acaricide and season only where at least %d of its apiaries have a result. A dotted area says that as many apiaries are registered there, and nothing of their mites. Outside of the areas nothing is told, neither that there are apiaries nor that there are none; and nowhere does no result mean that mites are susceptible.", a.K),
		r.bands,
		"Mean ratio: random-effects mean over the apiaries of the area, LC50 over that of susceptible mites; no limits below four apiaries. Expected in each band: the mean of the apiaries' probabilities.",
		"A minority of resistant mites shows late in the mean ratio. The table of the programme (vialwise track) tells the resistant fraction.",
		"Clear: 80 % or more of the apiaries are expected in one band, and the mean has limits. Likely: 60 % or more. Unsure: fewer.",
	}
	if a.Redrawn {
		notes = append(notes, "The areas of this edition were drawn anew. Another edition of the same region with other areas can be subtracted from it, and may then tell of single apiaries: publish the next one with these areas.")
	}
	if a.Kept > 0 {
		notes = append(notes, fmt.Sprintf("%s stand as they were published; a season that was published changes only when at least %d results have come in beyond all that were published of it.", bioassay.Plural(a.Kept, "value"), a.K))
	}
	return notes
}
