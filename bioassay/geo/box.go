package geo

import (
	"cmp"
	"math"
	"slices"
)

// Box returns the bounding box of a collection as RFC 7946, section 5, has it:
// west, south, east, north. Of the boxes that hold everything it is the
// narrowest, so one across the antimeridian has its west greater than its east
// (section 5.2). It reports false for a collection without a place.
func (c *FeatureCollection) Box() ([4]float64, bool) {
	cut := make([]Geometry, len(c.Features))
	for i, f := range c.Features {
		cut[i] = f.Geometry.cut()
	}
	return boxOf(cut)
}

// boxOf returns the box of geometries that were cut.
func boxOf(cut []Geometry) ([4]float64, bool) {
	var spans [][2]float64
	south, north := math.Inf(1), math.Inf(-1)
	add := func(points []Point) {
		west, east := math.Inf(1), math.Inf(-1)
		for _, q := range points {
			west, east = min(west, q.Lon), max(east, q.Lon)
			south, north = min(south, q.Lat), max(north, q.Lat)
		}
		spans = append(spans, [2]float64{west, east})
	}
	for i := range cut {
		cut[i].each(func(g *Geometry) {
			for i := range g.Points {
				add(g.Points[i : i+1])
			}
			for _, line := range g.Lines {
				add(line)
			}
			for _, p := range g.Polygons {
				add(p[0])
			}
		})
	}
	if len(spans) == 0 {
		return [4]float64{}, false
	}
	west, east := widestGap(spans)
	return [4]float64{west, south, east, north}, true
}

// widestGap returns the ends of what is left of the circle of longitudes when
// the widest gap between spans is taken out. Of gaps of one width it takes the
// one that holds the antimeridian.
func widestGap(spans [][2]float64) (west, east float64) {
	slices.SortFunc(spans, func(a, b [2]float64) int { return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1])) })
	west, east = spans[0][0], spans[0][1]
	for _, s := range spans {
		east = max(east, s[1])
	}
	widest := west + 360 - east
	reached := spans[0][1]
	for _, s := range spans[1:] {
		if gap := s[0] - reached; gap > widest {
			widest, west, east = gap, s[0], reached
		}
		reached = max(reached, s[1])
	}
	return west, east
}
