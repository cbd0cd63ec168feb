package atlas

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"vialwise/bioassay"
	"vialwise/bioassay/geo"
)

// ReadEdition reads what FeatureCollection made, of an atlas with these bands. It
// fails on a collection that is no such thing, and names the feature.
func ReadEdition(c *geo.FeatureCollection, bands *bioassay.RatioBands) (*Edition, error) {
	e := &Edition{
		Centre: geo.Point{Lon: c.Number(memberLon), Lat: c.Number(memberLat)}, Side: c.Number(memberSide),
		values: map[released]map[geo.Cell]Value{}, sums: map[use]int{},
	}
	top, k := c.Number(memberTop), c.Number(memberK)
	if math.IsNaN(e.Centre.Lon + e.Centre.Lat + e.Side + top + k) {
		return nil, fmt.Errorf("it is not an edition of a map: it lacks one of %s, %s, %s, %s, %s; name the GeoJSON that an earlier map wrote", memberLon, memberLat, memberSide, memberTop, memberK)
	}
	e.Top, e.K = int(top), int(k)
	if float64(e.Top) != top || float64(e.K) != k || top < 0 || top > geo.HighestLevel || k < LeastK || math.Abs(e.Centre.Lon) > 180 || math.Abs(e.Centre.Lat) > 90 {
		return nil, fmt.Errorf("its %s, %s, %s or %s cannot be; name the GeoJSON as an earlier map wrote it", memberLon, memberLat, memberTop, memberK)
	}
	if e.Level = c.Number(memberLevel); !(e.Level > 0 && e.Level < 1) {
		return nil, fmt.Errorf("its %s is missing or cannot be; name the GeoJSON as an earlier map wrote it", memberLevel)
	}
	if was, is := c.Value(memberBands), bandsOf(bands); was != is {
		return nil, fmt.Errorf("its bands are %v, and those asked for are %s: what was published in one would stand under the other; name the bands that the edition was made with", was, is)
	}
	var err error
	if e.Calendar, err = readCalendar(c.Value(memberSeasons)); err != nil {
		return nil, err
	}
	for i, f := range c.Features {
		if err := e.add(f, bands); err != nil {
			return nil, fmt.Errorf("feature %d: %w", i+1, err)
		}
	}
	return e, e.check()
}

// add takes in one feature.
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
	v, err := readValue(f, bands)
	if err != nil {
		return err
	}
	year, name, acaricide := f.Number(propYear), f.Text(propSeasonName), f.Text(propAcaricide)
	if math.IsNaN(year) || e.Calendar.Begin(bioassay.Season{Name: name}).IsZero() || acaricide == "" {
		return fmt.Errorf("%s, %s or %s is missing or cannot be", propAcaricide, propYear, propSeasonName)
	}
	season := bioassay.Season{Year: int(year), Name: name}
	spent := f.Number(propSpent)
	if !(spent >= float64(v.Apiaries)) {
		return fmt.Errorf("%s is less than %s of the area, or missing", propSpent, propApiaries)
	}
	at := use{acaricide, season}
	e.sums[at] = max(e.sums[at], int(spent))
	key := released{against{acaricide, f.Text(propBaseline)}, season}
	if e.values[key] == nil {
		e.values[key] = map[geo.Cell]Value{}
	}
	if _, twice := e.values[key][cell]; twice {
		return fmt.Errorf("area %v has a second value for %s in %v", cell, acaricide, season)
	}
	e.values[key][cell] = v
	return nil
}

func readValue(f geo.Feature, bands *bioassay.RatioBands) (Value, error) {
	apiaries, mites := f.Number(propApiaries), f.Number(propMites)
	v := Value{
		Apiaries: int(apiaries), Mites: int(mites), Band: -1,
		Ratio: bioassay.Interval{Estimate: f.Number(propRatio), Lower: f.Number(propLower), Upper: f.Number(propUpper)},
	}
	for i, b := range bands.Bands {
		share := f.Number(propShare + b.Name)
		if !(share >= 0 && share <= 1) {
			return v, fmt.Errorf("it has no %s; name the bands that the edition was made with", propShare+b.Name)
		}
		v.Shares = append(v.Shares, share)
		if b.Name == f.Text(propBand) {
			v.Band = i
		}
	}
	certainty := slices.Index(certaintyNames[:], f.Text(propCertainty))
	if !(apiaries >= LeastK) || !(mites >= 0) || v.Band < 0 || certainty < 0 {
		return v, fmt.Errorf("%s, %s, %s or %s is missing or cannot be", propApiaries, propMites, propBand, propCertainty)
	}
	v.Certainty = Certainty(certainty)
	return v, nil
}

// check reports what keeps areas and values from being those of one atlas.
func (e *Edition) check() error {
	areas := map[geo.Cell]bool{}
	for _, c := range e.Areas {
		if areas[c] {
			return fmt.Errorf("it has area %v twice", c)
		}
		if c.Level > e.Top {
			return fmt.Errorf("area %v is larger than %s %d allows", c, memberTop, e.Top)
		}
		areas[c] = true
	}
	for _, c := range e.Areas {
		for up := c; up.Level < e.Top; {
			if up = up.Parent(); areas[up] {
				return fmt.Errorf("area %v lies in area %v", c, up)
			}
		}
	}
	for key, values := range e.values {
		for c := range values {
			if !areas[c] {
				return fmt.Errorf("%s in %v has a value for %v, which is no area", key.Acaricide, key.season, c)
			}
		}
	}
	return nil
}
