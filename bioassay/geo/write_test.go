package geo

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// TestWrittenBytes: the whole of one small file.
func TestWrittenBytes(t *testing.T) {
	clockwise := Ring{{1, 1}, {1, 2}, {2, 2}, {2, 1.123456789}, {1, 1}}
	c := &FeatureCollection{
		Members: []Property{{"side_km", 10.0}, {"note", "<invented>"}},
		Features: []Feature{
			{ID: "a", Properties: []Property{{"n", 3}, {"ratio", math.NaN()}, {"z", "ä\"\n"}}, Geometry: PolygonsOf(Polygon{clockwise})},
			{Geometry: PointsOf(Point{-1e-9, 5})},
			{},
		},
	}
	const want = `{"type":"FeatureCollection","side_km":10,"note":"<invented>","bbox":[0,1,2,5],"features":[
{"type":"Feature","id":"a","properties":{"n":3,"ratio":null,"z":"ä\"\n"},"geometry":{"type":"Polygon","coordinates":[[[2,1.123457],[2,2],[1,2],[1,1],[2,1.123457]]]}},
{"type":"Feature","properties":{},"geometry":{"type":"Point","coordinates":[0,5]}},
{"type":"Feature","properties":{},"geometry":null}
]}
`
	if got := written(t, c); got != want {
		t.Errorf("wrote\n%swant\n%s", got, want)
	}
}

func TestWriteRefuses(t *testing.T) {
	for part, f := range map[string]Feature{
		"features[0].geometry.points[0]: longitude 181":               {Geometry: PointsOf(Point{181, 0})},
		"features[0].geometry.lines[0][1]: longitude 5, latitude NaN": {Geometry: LinesOf([]Point{{1, 2}, {5, math.NaN()}})},
		"features[0].geometry.polygons[0][0]: a ring of 3":            {Geometry: PolygonsOf(Polygon{{{1, 1}, {2, 2}, {1, 1}}})},
		"not closed":                 {Geometry: PolygonsOf(Polygon{{{1, 1}, {2, 2}, {1, 2}, {1, 1.5}}})},
		`"f": JSON cannot hold this`: {Properties: []Property{{"f", func() {}}}},
	} {
		err := (&FeatureCollection{Features: []Feature{f}}).Write(&bytes.Buffer{})
		if err == nil || !strings.Contains(err.Error(), part) {
			t.Errorf("%v, want %q", err, part)
		}
	}
	mustPanic(t, func() { _ = (&FeatureCollection{Members: []Property{{"bbox", 1}}}).Write(&bytes.Buffer{}) })
	if err := (&FeatureCollection{}).Write(broken{}); err == nil {
		t.Error("a full disc goes unnoticed")
	}
}

type broken struct{}

func (broken) Write([]byte) (int, error) { return 0, errors.New("no space left") }

// star returns a polygon with bays around a centre and, where wanted, a hole in
// it, about the given radius in degrees.
func star(rng *rand.Rand, centre Point, radius float64, hole bool) Polygon {
	ring := func(most float64) Ring {
		var r Ring
		for angle := 0.0; angle < 2*math.Pi-.01; angle += math.Pi / 20 {
			by := most * (.45 + .55*rng.Float64())
			r = append(r, Point{turn(centre.Lon + by*math.Cos(angle)), centre.Lat + by*math.Sin(angle)})
		}
		return append(r, r[0])
	}
	p := Polygon{ring(radius)}
	if hole {
		p = append(p, ring(.42*radius))
	}
	return p
}

// TestCutKeepsAll: polygons with bays and holes across the antimeridian keep
// their area, lie within -180 to 180, and follow the right-hand rule.
func TestCutKeepsAll(t *testing.T) {
	const within = 1e-4 // share of the area, for six decimals
	rng := rand.New(rand.NewPCG(8, 7))
	several := 0
	for i := range 500 {
		centre := Point{turn(175 + 10*rng.Float64()), 140*rng.Float64() - 70}
		p := star(rng, centre, 1+6*rng.Float64(), i%2 == 0)
		got := PolygonsOf(p).cut()
		if len(got.Polygons) > 2 {
			several++
		}
		if share := got.Area() / p.Area(); math.Abs(share-1) > within {
			t.Errorf("case %d: the cut polygon has %.6f of the area", i, share)
		}
		rightHanded(t, fmt.Sprintf("case %d", i), got)
		jumpless(t, fmt.Sprintf("case %d", i), got)
	}
	if several < 50 {
		t.Errorf("only %d polygons fell into more than two parts", several)
	}
}

// rightHanded fails when a ring is open, turned wrongly, or leaves the globe.
func rightHanded(t *testing.T, name string, g Geometry) {
	t.Helper()
	for _, p := range g.Polygons {
		for i, r := range p {
			if len(r) < 4 || r[0] != r[len(r)-1] {
				t.Errorf("%s: a ring of %d points is open", name, len(r))
			}
			if signedArea(open(unwrappedAsIs(r))) > 0 != (i == 0) {
				t.Errorf("%s: ring %d is turned wrongly", name, i)
			}
			for _, q := range r {
				if math.Abs(q.Lon) > 180 || math.Abs(q.Lat) > 90 {
					t.Errorf("%s: ring %d leaves the globe at %v", name, i, q)
				}
			}
		}
	}
}

// jumpless fails when a side goes the longer way around the globe, but along a
// parallel all the way. A ring that crosses itself may have such sides.
func jumpless(t *testing.T, name string, g Geometry) {
	t.Helper()
	for _, p := range g.Polygons {
		for i, r := range p {
			for k := 1; k < len(r); k++ {
				if math.Abs(r[k].Lon-r[k-1].Lon) > 180 && r[k].Lat != r[k-1].Lat {
					t.Errorf("%s: ring %d jumps from %v to %v", name, i, r[k-1], r[k])
				}
			}
		}
	}
}

// TestCutAtThePole: squares that hold a pole, and a polygon that was cut by
// another program.
func TestCutAtThePole(t *testing.T) {
	for _, centre := range []Point{{0, 90}, {0, -90}, {-45, 89.9}, {120, -89.95}} {
		g := grid(t, centre, 50)
		for _, c := range []Cell{{0, 0, 0}, {0, -1, 0}, {0, 0, -1}, {0, -1, -1}, {3, 0, 0}} {
			got := PolygonsOf(Polygon{g.Outline(c)}).cut()
			if share := got.Area() / g.Area(c); math.Abs(share-1) > outlineShare {
				t.Errorf("centre %v, %v: the cut square has %.6f of the area", centre, c, share)
			}
			rightHanded(t, fmt.Sprint(centre, c), got)
			jumpless(t, fmt.Sprint(centre, c), got)
		}
	}
	// A side from one end of the antimeridian to the other that changes its
	// latitude runs along it.
	slanting := Ring{{-180, -23}, {180, -60}, {140, -80}, {0, -70}, {-180, -80}, {-180, -23}}
	jumpless(t, "slanting", PolygonsOf(Polygon{slanting}).cut())
	cap := Ring{{-180, -90}, {180, -90}, {180, -80}, {90, -75}, {0, -80}, {-90, -70}, {-180, -80}, {-180, -90}}
	if got := PolygonsOf(Polygon{cap}).cut(); len(got.Polygons) != 1 || got.Polygons[0][0].Area() != cap.Area() {
		t.Errorf("a cap that was cut already: %v", got.Polygons)
	}
}

// TestCutLine: a line to and fro across the antimeridian.
func TestCutLine(t *testing.T) {
	got := LinesOf([]Point{{179, 0}, {-179, 2}, {178, 4}, {-180, 5}, {-180, 6}}).cut()
	want := [][]Point{{{179, 0}, {180, 1}}, {{-180, 1}, {-179, 2}, {-180, 2.666667}}, {{180, 2.666667}, {178, 4}, {180, 5}, {180, 6}}}
	if fmt.Sprint(got.Lines) != fmt.Sprint(want) {
		t.Errorf("%v, want %v", got.Lines, want)
	}
}

// TestTinyRingsGo: what rounding leaves no area is not written as an invalid
// ring.
func TestTinyRingsGo(t *testing.T) {
	tiny := Ring{{5, 5}, {5.0000001, 5}, {5.0000001, 5.0000001}, {5, 5}}
	big := Ring{{1, 1}, {9, 1}, {9, 9}, {1, 1}}
	c := &FeatureCollection{Features: []Feature{{Geometry: PolygonsOf(Polygon{tiny})}, {Geometry: PolygonsOf(Polygon{big, tiny})}}}
	if got := written(t, c); strings.Count(got, "Polygon") != 1 || strings.Contains(got, "5,5") {
		t.Errorf("wrote %s", got)
	}
}
