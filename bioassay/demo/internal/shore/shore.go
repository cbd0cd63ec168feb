// Package shore draws the land that the apiaries of the demo stand on: a
// mainland of three regions and two islands in the open North Atlantic. Corners
// were chosen by hand around the apiaries; the coast between them is random.
// Neither was traced from a map, and there is no land where it lies.
package shore

// Point is a position in degrees, WGS 84.
type Point struct{ Longitude, Latitude float64 }

// Ring is the outline of an area, counterclockwise, its first point not
// repeated at the end.
type Ring []Point

// Region is a part of the mainland.
type Region struct {
	Name    string
	Outline Ring
}

// Boundary is the line between two regions, from the western to the eastern
// coast.
type Boundary struct {
	Name string
	Line []Point
}

// Land is all of it.
type Land struct {
	Mainland   Ring
	Regions    []Region   // from north to south
	Boundaries []Boundary // likewise
	Islands    []Region
}

// Draw draws the land, the same every time.
func Draw() Land {
	d := newDrawer()
	var (
		northern = d.line(yrdemoorCoast) // from the eastern end of the northern boundary to its western one
		western  = d.line(cormavelleWest)
		southern = d.line(saskellanCoast)
		eastern  = d.line(cormavelleEast)
		upper    = d.line(upperBoundary)
		lower    = d.line(lowerBoundary)
	)
	land := Land{
		Mainland: ring(northern, western, southern, eastern),
		Regions: []Region{
			{"Yrdemoor", ring(northern, upper)},
			{"Cormavelle", ring(western, lower, eastern, reversed(upper))},
			{"Saskellan", ring(southern, reversed(lower))},
		},
		Boundaries: []Boundary{{"between Yrdemoor and Cormavelle", upper}, {"between Cormavelle and Saskellan", lower}},
	}
	for _, island := range islands {
		land.Islands = append(land.Islands, Region{island.Name, ring(d.line(closed(island.Outline)))})
	}
	return land
}

// ring joins lines, each of which begins where the one before it ends.
func ring(lines ...[]Point) (r Ring) {
	for _, line := range lines {
		r = append(r, line[:len(line)-1]...)
	}
	return r
}

// closed returns a ring as a line that ends where it began.
func closed(r Ring) []Point { return append(r[:len(r):len(r)], r[0]) }

func reversed(line []Point) (back []Point) {
	for i := range line {
		back = append(back, line[len(line)-1-i])
	}
	return back
}

// Contains reports whether a point lies within a ring, by the number of times
// that the parallel east of it crosses the outline.
func (r Ring) Contains(p Point) bool {
	inside := false
	for i, a := range r {
		b := r[(i+1)%len(r)]
		if a.Latitude > p.Latitude == (b.Latitude > p.Latitude) {
			continue
		}
		east := a.Longitude + (p.Latitude-a.Latitude)/(b.Latitude-a.Latitude)*(b.Longitude-a.Longitude)
		if east > p.Longitude {
			inside = !inside
		}
	}
	return inside
}

// Region returns the name of the region or island that holds a point, blank in
// the sea.
func (l Land) Region(p Point) string {
	for _, areas := range [][]Region{l.Regions, l.Islands} {
		for _, a := range areas {
			if a.Outline.Contains(p) {
				return a.Name
			}
		}
	}
	return ""
}
