package atlas

import (
	"fmt"
	"math"
	"slices"

	"vialwise/bioassay"
	"vialwise/bioassay/geo"
)

// frame chooses the grid: that of the earlier edition, or one about the apiaries.
func frame(apiaries []bioassay.Apiary, o Options) (*Atlas, []bioassay.Warning, error) {
	a := &Atlas{Top: o.Top, K: o.K, Redrawn: o.Previous == nil}
	if a.K == 0 && o.Previous != nil {
		a.K = o.Previous.K
	}
	if a.K == 0 {
		a.K = LeastK
	}
	if a.K < LeastK {
		return nil, nil, fmt.Errorf("an area of %d apiaries would tell of single ones; show at least %d", a.K, LeastK)
	}
	if o.Previous != nil {
		return a, nil, a.takeGrid(o, apiaries)
	}
	switch {
	case a.Top == 0:
		a.Top = DefaultTop
	case a.Top < 0:
		a.Top = 0
	}
	projection, warnings, err := geo.Regional(crowded(apiaries, a.K))
	if err != nil {
		return nil, nil, err
	}
	side := o.Side
	if side == 0 {
		side = DefaultSide
	}
	if a.Grid, err = geo.NewGrid(projection, side); err != nil {
		return nil, nil, err
	}
	return a, warnings, a.withinReach(apiaries)
}

// takeGrid takes over the grid of the earlier edition.
func (a *Atlas) takeGrid(o Options, apiaries []bioassay.Apiary) (err error) {
	p := o.Previous
	switch {
	case a.K < p.K:
		return fmt.Errorf("the earlier edition shows areas of at least %d apiaries, and %d would undo that; keep to %d or more, or draw the map anew", p.K, a.K, p.K)
	case o.Side != 0 && o.Side != p.Side:
		return fmt.Errorf("the earlier edition has squares of %g km, and others of %g km could be subtracted from them; leave the side out, or draw the map anew", p.Side, o.Side)
	}
	a.Top = p.Top
	if a.Grid, err = geo.NewGrid(geo.NewProjection(p.Centre), p.Side); err != nil {
		return err
	}
	return a.withinReach(apiaries)
}

// withinReach refuses apiaries that the plane has no square for.
func (a *Atlas) withinReach(apiaries []bioassay.Apiary) error {
	for _, p := range apiaries {
		if !p.Located() {
			continue
		}
		if km := geo.Distance(a.Grid.Projection.Centre(), place(p)); km > widestReach {
			return fmt.Errorf("apiary %s lies %.0f km from the centre of the map (%s), too far to be drawn with it; correct its place, or map each region on its own", bioassay.Codes([]bioassay.Apiary{p}), km, a.Grid.Projection.Describe())
		}
	}
	return nil
}

// widestReach in km is a little less than a quarter of the globe.
const widestReach = 9000

// onTheGlobe refuses areas that reach out of the plane's disc of the whole globe.
func (a *Atlas) onTheGlobe() error {
	const disc = 12000 // km; geo.Grid.Outline ends at 12,600
	for _, c := range a.Areas {
		if a.Grid.Square(c).Reach() > disc {
			return fmt.Errorf("area %v, of %g km, reaches beyond the globe; choose a smaller side, or name the earlier edition as it was written", c, a.Grid.SideOf(c))
		}
	}
	return nil
}

func place(a bioassay.Apiary) geo.Point {
	return geo.Point{Lon: a.Longitude.Value, Lat: a.Latitude.Value}
}

// crowded returns the places of apiaries that do not stand by themselves: those
// that share a box of whole degrees with k or more. Were the centre of a map to
// depend on the others, it would say on which side of the region they are. Boxes
// grow until one holds k; without any, nothing is shown but the centre.
func crowded(apiaries []bioassay.Apiary, k int) []geo.Point {
	var all []geo.Point
	for _, a := range apiaries {
		if a.Located() {
			all = append(all, place(a))
		}
	}
	for _, degrees := range []float64{1, 2, 5, 10, 30} {
		boxes := map[[2]float64]int{}
		box := func(p geo.Point) [2]float64 {
			return [2]float64{math.Floor(p.Lon / degrees), math.Floor(p.Lat / degrees)}
		}
		for _, p := range all {
			boxes[box(p)]++
		}
		kept := slices.DeleteFunc(slices.Clone(all), func(p geo.Point) bool { return boxes[box(p)] < k })
		if len(kept) > 0 {
			return kept
		}
	}
	return all
}

func (a *Atlas) sites(apiaries []bioassay.Apiary) (sites []Site, unplaced int) {
	for _, p := range apiaries {
		if !p.Located() {
			unplaced++
			continue
		}
		sites = append(sites, Site{p.Code, a.Grid.Of(place(p))})
	}
	return sites, unplaced
}
