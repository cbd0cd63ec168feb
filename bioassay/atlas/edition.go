package atlas

import (
	"cmp"
	"slices"

	"vialwise/bioassay"
	"vialwise/bioassay/geo"
)

// Edition is what an atlas has published: its areas and the numbers in them. The
// zero values of its maps stand for nothing published.
type Edition struct {
	Centre   geo.Point
	Side     float64
	Top, K   int
	Calendar bioassay.Calendar
	Level    float64 // of limits; 0 where nothing was published
	Areas    []geo.Cell
	values   map[released]map[geo.Cell]Value
	sums     map[use]int
}

// released is a layer in a season.
type released struct {
	against
	season bioassay.Season
}

// use is an acaricide in a season, against whatever baseline.
type use struct {
	acaricide string
	season    bioassay.Season
}

// of returns what was published of a layer in a season, by area.
func (e *Edition) of(layer against, s bioassay.Season) map[geo.Cell]Value {
	if e == nil {
		return nil
	}
	return e.values[released{layer, s}]
}

// spent is the number of apiaries in all values that were ever published.
func (e *Edition) spent(u use) int {
	if e == nil {
		return 0
	}
	return e.sums[u]
}

// layers and seasons list what was published, in order.
func (e *Edition) layers() (out []against) {
	if e == nil {
		return nil
	}
	for key := range e.values {
		if !slices.Contains(out, key.against) {
			out = append(out, key.against)
		}
	}
	slices.SortFunc(out, against.compare)
	return out
}

func (e *Edition) seasons() (out []bioassay.Season) {
	if e == nil {
		return nil
	}
	for key := range e.values {
		if !slices.Contains(out, key.season) {
			out = append(out, key.season)
		}
	}
	slices.SortFunc(out, func(a, b bioassay.Season) int {
		return cmp.Or(cmp.Compare(a.Year, b.Year), cmp.Compare(a.Name, b.Name))
	})
	return out
}

// Names of the members and properties of a published GeoJSON.
const (
	memberLon, memberLat = "centre_longitude", "centre_latitude"
	memberSide           = "side_km"
	memberTop            = "largest_level"
	memberK              = "fewest_apiaries"
	memberSeasons        = "seasons_of" // north or south, or the first days of the programme's own
	memberProjection     = "projection"
	memberLevel          = "level"
	memberBands          = "bands"
	memberNote           = "note"
	propArea             = "area"
	propStatus           = "status"
	propAcaricide        = "acaricide"
	propSeason           = "season"
	propYear             = "season_year"
	propSeasonName       = "season_name"
	propApiaries         = "apiaries"
	propSpent            = "apiaries_published" // see Layer.Spent
	propMites            = "mites"
	propRatio            = "ratio"
	propLower            = "ratio_lower"
	propUpper            = "ratio_upper"
	propBand             = "band"
	propCertainty        = "certainty"
	propBaseline         = "baseline"
	propShare            = "share_" // followed by the name of a band
)

// The words of propStatus.
const (
	StatusArea  = "area"  // the outline alone
	StatusShown = "shown" // an area in a season
)

// FeatureCollection returns the atlas as GeoJSON: every area once, then each area
// again for every acaricide and season in which it is shown. ReadEdition reads it.
func (a *Atlas) FeatureCollection(note string) *geo.FeatureCollection {
	centre := a.Grid.Projection.Centre()
	out := &geo.FeatureCollection{Members: []geo.Property{
		{Name: memberNote, Value: note},
		{Name: memberProjection, Value: a.Grid.Projection.Describe()},
		{Name: memberLon, Value: centre.Lon}, {Name: memberLat, Value: centre.Lat},
		{Name: memberSide, Value: a.Grid.Side}, {Name: memberTop, Value: a.Top}, {Name: memberK, Value: a.K},
		{Name: memberSeasons, Value: writeCalendar(a.Calendar)},
		{Name: memberLevel, Value: a.Level}, {Name: memberBands, Value: a.Rule},
	}}
	outlines := make([]geo.Geometry, len(a.Areas))
	for i, c := range a.Areas {
		outlines[i] = geo.PolygonsOf(geo.Polygon{a.Grid.Outline(c)})
		out.Features = append(out.Features, geo.Feature{
			ID: c.String(), Geometry: outlines[i],
			Properties: []geo.Property{{Name: propArea, Value: c.String()}, {Name: propStatus, Value: StatusArea}},
		})
	}
	for _, l := range a.Layers {
		for s, values := range l.Values {
			for _, v := range values {
				out.Features = append(out.Features, geo.Feature{Geometry: outlines[v.Area], Properties: a.properties(l, s, v)})
			}
		}
	}
	return out
}

func (a *Atlas) properties(l Layer, season int, v Value) []geo.Property {
	s := a.Seasons[season]
	list := []geo.Property{
		{Name: propArea, Value: a.Areas[v.Area].String()}, {Name: propStatus, Value: StatusShown},
		{Name: propAcaricide, Value: l.Acaricide}, {Name: propSeason, Value: s.String()}, {Name: propYear, Value: s.Year}, {Name: propSeasonName, Value: s.Name},
		{Name: propBaseline, Value: l.Baseline},
		{Name: propApiaries, Value: v.Apiaries}, {Name: propMites, Value: v.Mites},
		{Name: propRatio, Value: v.Ratio.Estimate}, {Name: propLower, Value: v.Ratio.Lower}, {Name: propUpper, Value: v.Ratio.Upper},
		{Name: propBand, Value: a.Bands[v.Band]}, {Name: propCertainty, Value: v.Certainty.String()},
	}
	for i, name := range a.Bands {
		list = append(list, geo.Property{Name: propShare + name, Value: v.Shares[i]})
	}
	return append(list, geo.Property{Name: propSpent, Value: l.Spent[season]})
}
