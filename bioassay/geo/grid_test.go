package geo

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// outlineShare is the accuracy that Outline states for the area of a square;
// the purpose asks for ten times as much.
const outlineShare = 1e-4

func grid(t testing.TB, centre Point, side float64) Grid {
	t.Helper()
	g, err := NewGrid(NewProjection(centre), side)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// hardGrids are grids across the antimeridian, about the poles and at high
// latitude, each with the half width of the region that is measured.
var hardGrids = []struct {
	name   string
	centre Point
	side   float64
	half   float64 // km
}{
	{"middle latitude", Point{-45, 41}, 10, 600},
	{"equator", Point{10, 0}, 25, 1500},
	{"across the antimeridian", Point{180, -17}, 10, 800},
	{"high latitude", Point{25, 70}, 20, 1500},
	{"near the pole", Point{-100, 85}, 25, 1200},
	{"high latitude across the antimeridian", Point{-179, 72}, 10, 1500},
	{"north pole", Point{0, 90}, 50, 1000},
	{"south pole", Point{0, -90}, 50, 1000},
	{"small squares", Point{-45, 41}, 1, 300},
	{"large squares", Point{30, 60}, 500, 3000},
}

// someCells returns squares of three levels all over the region, those at the
// centre among them.
func someCells(g Grid, half float64) (cells []Cell) {
	rng := rand.New(rand.NewPCG(8, 3))
	for range 60 {
		c := g.At(XY{half * (2*rng.Float64() - 1), half * (2*rng.Float64() - 1)})
		cells = append(cells, c)
		if up := c.Up(2); g.Square(up).Reach() < 6000 {
			cells = append(cells, up)
		}
	}
	return append(cells, Cell{0, 0, 0}, Cell{0, -1, 0}, Cell{0, 0, -1}, Cell{0, -1, -1})
}

// TestAreasOfSquares measures outlines on the ellipsoid by two ways of our
// own; TestAreasByLibrary does it by a library.
func TestAreasOfSquares(t *testing.T) {
	for _, h := range hardGrids {
		g := grid(t, h.centre, h.side)
		worst, other := 0.0, 0.0
		for _, c := range someCells(g, h.half) {
			ring := g.Outline(c)
			if ring[0] != ring[len(ring)-1] {
				t.Fatalf("%s: the outline of %v is open", h.name, c)
			}
			worst = max(worst, math.Abs(ring.Area()/g.Area(c)-1))
			other = max(other, math.Abs(excess(ring)/g.Area(c)-1))
		}
		t.Logf("%s: areas are right within %.1e, by spherical excess within %.1e", h.name, worst, other)
		if worst > outlineShare || other > outlineShare {
			t.Errorf("%s: areas are off by %.1e, by spherical excess by %.1e", h.name, worst, other)
		}
	}
}

// excess returns the area of a ring in km² by another formula: the sum of the
// spherical excesses of the triangles of the authalic sphere with a corner in
// the first point (Eriksson 1990, On the measure of solid angles, Mathematics
// Magazine 63:184-187; from memory).
func excess(r Ring) float64 {
	sum := 0.0
	a := wgs84.vector(r[0])
	for i := 2; i < len(r); i++ {
		b, c := wgs84.vector(r[i-1]), wgs84.vector(r[i])
		cross := vector{b[1]*c[2] - b[2]*c[1], b[2]*c[0] - b[0]*c[2], b[0]*c[1] - b[1]*c[0]}
		sum += 2 * math.Atan2(a.dot(cross), 1+a.dot(b)+b.dot(c)+c.dot(a))
	}
	return math.Abs(sum) * wgs84.radius * wgs84.radius
}

func TestAreaOfKnownRings(t *testing.T) {
	const within = 1e-9
	box := func(w, s, e, n float64) Ring { return Ring{{w, s}, {e, s}, {e, n}, {w, n}, {w, s}} }
	strip := func(lat float64) (r Ring) {
		for lon := -180.0; lon < 180; lon += 10 {
			r = append(r, Point{lon, lat})
		}
		return append(r, r[0])
	}
	// The surface of the ellipsoid, 510,065,621.724 km² (Moritz 1980, Geodetic
	// Reference System 1980, whose ellipsoid differs from WGS 84 by 0.1 mm; from
	// memory), and zones of it.
	whole := 4 * math.Pi * wgs84.radius * wgs84.radius
	if math.Abs(whole/510065621.724-1) > within {
		t.Errorf("the globe has %.3f km²", whole)
	}
	zone := func(s, n float64) float64 {
		a, _ := wgs84.authalic(s * degree)
		b, _ := wgs84.authalic(n * degree)
		return whole / 2 * (b - a)
	}
	for _, c := range []struct {
		name string
		ring Ring
		want float64
	}{
		{"a degree at the equator", box(10, 0, 11, 1), zone(0, 1) / 360},
		{"ten degrees across the antimeridian", box(175, 60, -175, 70), zone(60, 70) / 36},
		{"the cap about the pole", strip(80), zone(80, 90)},
		{"the southern cap", strip(-80), zone(-90, -80)},
		{"the globe cut at the antimeridian", box(-180, -90, 180, 90), whole},
		{"a file's southern cap", Ring{{-180, -90}, {180, -90}, {180, -80}, {90, -80}, {0, -80}, {-90, -80}, {-180, -80}, {-180, -90}}, zone(-90, -80)},
	} {
		if got := c.ring.Area(); math.Abs(got/c.want-1) > within {
			t.Errorf("%s: %.6f km², want %.6f", c.name, got, c.want)
		}
	}
}

// TestNeighboursShareTheirSide: a point of one outline on the common side is a
// point of the other.
func TestNeighboursShareTheirSide(t *testing.T) {
	g := grid(t, Point{178, 71}, 20)
	for _, c := range []Cell{{0, 0, 0}, {0, 12, -9}, {0, -40, 31}, {2, 3, 3}} {
		east := Cell{c.Level, c.Column + 1, c.Row}
		a, b := g.Outline(c), g.Outline(east)
		x := g.Square(c).East
		shared := 0
		for _, q := range a {
			if math.Abs(g.Projection.Forward(q)[0]-x) > 1e-6 {
				continue
			}
			shared++
			if !slices.Contains(b, q) {
				t.Errorf("%v: %v is missing in the outline of its neighbour", c, q)
			}
		}
		if shared < 2 {
			t.Errorf("%v shares %d points with its neighbour", c, shared)
		}
	}
}

func TestNesting(t *testing.T) {
	for _, c := range []Cell{{1, 0, 0}, {1, -1, -1}, {3, 7, -12}, {2, -5, 4}} {
		for _, child := range c.Children() {
			if child.Parent() != c || !c.Holds(child) || child.Holds(c) {
				t.Errorf("%v is a child of %v, and its parent is %v", child, c, child.Parent())
			}
		}
		if back, err := ParseCell(c.String()); err != nil || back != c {
			t.Errorf("%v is read as %v, %v", c, back, err)
		}
	}
	g := grid(t, Point{-45, 41}, 10)
	rng := rand.New(rand.NewPCG(8, 4))
	for range 2000 {
		xy := XY{3000 * (rng.Float64() - .5), 3000 * (rng.Float64() - .5)}
		c := g.At(xy)
		for level := range 6 {
			up := c.Up(level)
			if f := g.Square(up); !f.holds(xy) || !up.Holds(c) {
				t.Fatalf("%v does not lie in %v of level %d", xy, up, level)
			}
		}
		if other := g.Of(g.Projection.Inverse(xy)); other != c {
			t.Fatalf("%v is in %v, and its place in %v", xy, c, other)
		}
	}
}

func TestParseCellRefuses(t *testing.T) {
	for _, s := range []string{"", "L1", "L1C2R", "L1C2R3x", "L-1C2R3", "L01C2R3", "L99C0R0", "l1c2r3", "L1C+2R3", "L1C2R3\n"} {
		if c, err := ParseCell(s); err == nil {
			t.Errorf("%q is read as %v", s, c)
		}
	}
}

func TestGridRefuses(t *testing.T) {
	for _, side := range []float64{0, -5, .5, 1001, math.NaN(), math.Inf(1)} {
		if _, err := NewGrid(NewProjection(Point{}), side); err == nil {
			t.Errorf("a side of %v is taken", side)
		}
	}
	mustPanic(t, func() { Cell{}.Children() })
	mustPanic(t, func() { Cell{Level: 2}.Up(1) })
	mustPanic(t, func() { grid(t, Point{}, 1000).Outline(Cell{0, 13, 0}) })
}

// TestGridStaysWhenAnApiaryComes: the centre is a whole degree, so places that
// come or go inside the region leave every square where it is, and the centre
// tells nothing of a place to better than half a degree.
func TestGridStaysWhenAnApiaryComes(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 5))
	var places []Point
	for range 60 {
		places = append(places, Point{-45 + 3*rng.Float64(), 40 + 2*rng.Float64()})
	}
	first, _, err := Regional(places)
	if err != nil {
		t.Fatal(err)
	}
	moved := 0
	for i := range 200 {
		more := append(slices.Clone(places[i%20:]), Point{-45 + 3*rng.Float64(), 40 + 2*rng.Float64()})
		p, _, err := Regional(more)
		if err != nil {
			t.Fatal(err)
		}
		if c := p.Centre(); c != (Point{math.Round(c.Lon), math.Round(c.Lat)}) {
			t.Fatalf("the centre %v is no whole degree", c)
		}
		if p.Centre() != first.Centre() {
			moved++
		}
	}
	if moved > 40 {
		t.Errorf("the centre moved %d times of 200", moved)
	}
}
