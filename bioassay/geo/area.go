package geo

import "math"

// gauss are the nodes and weights of the Gauss-Legendre rule with five points
// on [-1, 1] (Abramowitz and Stegun 1964, table 25.4).
var gauss = [...][2]float64{
	{0, 0.568888888888889},
	{-0.538469310105683, 0.478628670499366}, {0.538469310105683, 0.478628670499366},
	{-0.906179845938664, 0.236926885056189}, {0.906179845938664, 0.236926885056189},
}

// Area returns the area inside a ring in km², on the ellipsoid, its sides
// being straight in longitude and latitude as RFC 7946, section 3.1.1, has it:
// Rq² times the integral of sin β dλ around the ring, β the authalic latitude.
// The sides go the shorter way around the globe; a ring that goes all the way
// around holds the pole it is nearer to. The direction of the ring does not
// matter. Accurate to 1e-10 of the area, or 1e-9 km².
func (r Ring) Area() float64 {
	r = poled(r)
	integral, around := 0.0, 0.0
	for i := 1; i < len(r); i++ {
		along := stride(r[i-1], r[i])
		around += along
		integral += beneath(r[i-1].Lat, r[i].Lat, along)
	}
	if math.Abs(around) > 180 {
		return wgs84.radius * wgs84.radius * (2*math.Pi - math.Abs(integral))
	}
	return wgs84.radius * wgs84.radius * math.Abs(integral)
}

// beneath integrates sin β over one side, in parts of a degree at most.
func beneath(from, to, along float64) float64 {
	if along == 0 {
		return 0
	}
	parts := math.Ceil(max(math.Abs(along), math.Abs(to-from)))
	sum := 0.0
	for i := range int(parts) {
		for _, g := range gauss {
			t := (float64(i) + (1+g[0])/2) / parts
			sin, _ := wgs84.authalic((from + t*(to-from)) * degree)
			sum += g[1] / 2 * sin
		}
	}
	return sum / parts * along * degree
}

// Area returns the area of a polygon in km²: that of its exterior without its
// holes.
func (p Polygon) Area() float64 {
	area := 0.0
	for i, r := range p {
		if i == 0 {
			area = r.Area()
		} else {
			area -= r.Area()
		}
	}
	return area
}

// Area returns the area of the polygons of a geometry in km².
func (g Geometry) Area() (area float64) {
	g.each(func(part *Geometry) {
		for _, p := range part.Polygons {
			area += p.Area()
		}
	})
	return area
}
