package atlas

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"

	"vialwise/bioassay"
	"vialwise/bioassay/geo"
)

// Edition is what an atlas has published: its areas and the numbers in them.
type Edition struct {
	Centre geo.Point
	Side   float64
	Top, K int
	Areas  []geo.Cell
	values map[released]map[geo.Cell]Value
}

// released is a layer in a season.
type released struct {
	layer  string
	season bioassay.Season
}

// of returns what was published of a layer in a season, by area.
func (e *Edition) of(layer string, s bioassay.Season) map[geo.Cell]Value {
	if e == nil {
		return nil
	}
	return e.values[released{layer, s}]
}

// layers and seasons list what was published, in order.
func (e *Edition) layers() (out []string) {
	if e == nil {
		return nil
	}
	for key := range e.values {
		if !slices.Contains(out, key.layer) {
			out = append(out, key.layer)
		}
	}
	slices.Sort(out)
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
	memberSide           = "square_km"
	memberTop            = "largest_level"
	memberK              = "fewest_apiaries"
	memberProjection     = "projection"
	memberNote           = "note"
	propArea             = "area"
	propStatus           = "status"
	propAcaricide        = "acaricide"
	propSeason           = "season"
	propYear             = "season_year"
	propSeasonName       = "season_name"
	propApiaries         = "apiaries"
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
// again for every acaricide and season in which it is shown.
func (a *Atlas) FeatureCollection(note string) *geo.FeatureCollection {
	centre := a.Grid.Projection.Centre()
	out := &geo.FeatureCollection{Members: []geo.Property{
		{Name: memberNote, Value: note},
		{Name: memberProjection, Value: a.Grid.Projection.Describe()},
		{Name: memberLon, Value: centre.Lon}, {Name: memberLat, Value: centre.Lat},
		{Name: memberSide, Value: a.Grid.Side}, {Name: memberTop, Value: a.Top}, {Name: memberK, Value: a.K},
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
				out.Features = append(out.Features, geo.Feature{Geometry: outlines[v.Area], Properties: a.properties(l, a.Seasons[s], v)})
			}
		}
	}
	return out
}

func (a *Atlas) properties(l Layer, s bioassay.Season, v Value) []geo.Property {
	list := []geo.Property{
		{Name: propArea, Value: a.Areas[v.Area].String()}, {Name: propStatus, Value: StatusShown},
		{Name: propAcaricide, Value: l.Name}, {Name: propSeason, Value: s.String()}, {Name: propYear, Value: s.Year}, {Name: propSeasonName, Value: s.Name},
		{Name: propBaseline, Value: l.Baseline},
		{Name: propApiaries, Value: v.Apiaries}, {Name: propMites, Value: v.Mites},
		{Name: propRatio, Value: v.Ratio.Estimate}, {Name: propLower, Value: v.Ratio.Lower}, {Name: propUpper, Value: v.Ratio.Upper},
		{Name: propBand, Value: a.Bands[v.Band]}, {Name: propCertainty, Value: v.Certainty.String()},
	}
	for i, name := range a.Bands {
		list = append(list, geo.Property{Name: propShare + name, Value: v.Shares[i]})
	}
	return list
}

// ReadEdition reads what FeatureCollection made, of an atlas with these bands. It
// fails on a collection that is no such thing, and names the feature.
func ReadEdition(c *geo.FeatureCollection, bands *bioassay.RatioBands) (*Edition, error) {
	e := &Edition{
		Centre: geo.Point{Lon: c.Number(memberLon), Lat: c.Number(memberLat)}, Side: c.Number(memberSide),
		values: map[released]map[geo.Cell]Value{},
	}
	top, k := c.Number(memberTop), c.Number(memberK)
	if math.IsNaN(e.Centre.Lon+e.Centre.Lat+e.Side+top+k) || !(top >= 0 && top <= geo.HighestLevel) || k < LeastK {
		return nil, fmt.Errorf("it is not an edition of a map: it lacks one of %s, %s, %s, %s, %s; name the GeoJSON that an earlier map wrote", memberLon, memberLat, memberSide, memberTop, memberK)
	}
	e.Top, e.K = int(top), int(k)
	for i, f := range c.Features {
		if err := e.add(f, bands); err != nil {
			return nil, fmt.Errorf("feature %d: %w", i+1, err)
		}
	}
	return e, nil
}

func (e *Edition) add(f geo.Feature, bands *bioassay.RatioBands) error {
	cell, err := geo.ParseCell(f.Text(propArea))
	if err != nil {
		return err
	}
	switch status := f.Text(propStatus); status {
	case StatusArea:
		e.Areas = append(e.Areas, cell)
		return nil
	case StatusShown:
	default:
		return fmt.Errorf("%s %s is neither %s nor %s", propStatus, strconv.Quote(status), StatusArea, StatusShown)
	}
	year, apiaries := f.Number(propYear), f.Number(propApiaries)
	v := Value{
		Apiaries: int(apiaries), Mites: int(f.Number(propMites)), Band: -1,
		Ratio: bioassay.Interval{Estimate: f.Number(propRatio), Lower: f.Number(propLower), Upper: f.Number(propUpper)},
	}
	for i, b := range bands.Bands {
		share := f.Number(propShare + b.Name)
		if math.IsNaN(share) {
			return fmt.Errorf("it has no %s; read it with the bands that it was made with", propShare+b.Name)
		}
		v.Shares = append(v.Shares, share)
		if b.Name == f.Text(propBand) {
			v.Band = i
		}
	}
	if math.IsNaN(year+apiaries+f.Number(propMites)) || v.Band < 0 || apiaries < LeastK {
		return fmt.Errorf("%s, %s, %s or %s is missing or cannot be", propYear, propApiaries, propMites, propBand)
	}
	for i, name := range certaintyNames {
		if name == f.Text(propCertainty) {
			v.Certainty = Certainty(i)
		}
	}
	key := released{f.Text(propAcaricide), bioassay.Season{Year: int(year), Name: f.Text(propSeasonName)}}
	if e.values[key] == nil {
		e.values[key] = map[geo.Cell]Value{}
	}
	e.values[key][cell] = v
	return nil
}
