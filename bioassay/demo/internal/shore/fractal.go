package shore

import (
	"math"

	"vialwise/doseresp/sim"
)

const (
	seed      = 4106
	roughness = 0.16 // the farthest that a midpoint moves, as a fraction of the segment
	shortest  = 3.0  // km; shorter segments are not divided

	// Kilometres in a degree of latitude and, at 40.6 N, of longitude: the same
	// roughness in both directions needs no more than two digits.
	kmNorth = 111.0
	kmEast  = 84.5

	grain = 1e-4 // degrees, about ten metres
)

// drawer roughens lines.
type drawer struct{ source *sim.Source }

func newDrawer() drawer { return drawer{sim.NewSource(seed, 0)} }

// line draws a line through corners.
func (d drawer) line(corners []Point) []Point {
	line := []Point{corners[0]}
	for _, corner := range corners[1:] {
		line = d.roughen(line, corner)
	}
	return line
}

// roughen goes on to a point with the midpoint moved aside at random, and so on
// for both halves: random midpoint displacement (common practice for drawing
// coasts). The corners stay where they are.
func (d drawer) roughen(line []Point, to Point) []Point {
	from := line[len(line)-1]
	east, north := kmEast*(to.Longitude-from.Longitude), kmNorth*(to.Latitude-from.Latitude)
	if math.Hypot(east, north) < shortest {
		return append(line, to)
	}
	aside := roughness * (2*d.source.Float64() - 1)
	middle := Point{
		Longitude: (from.Longitude+to.Longitude)/2 - aside*north/kmEast,
		Latitude:  (from.Latitude+to.Latitude)/2 + aside*east/kmNorth,
	}
	return d.roughen(d.roughen(line, middle.rounded()), to)
}

// rounded returns the nearest point that four decimals can write.
func (p Point) rounded() Point {
	round := func(x float64) float64 { return math.Round(x/grain) / math.Round(1/grain) }
	return Point{round(p.Longitude), round(p.Latitude)}
}
