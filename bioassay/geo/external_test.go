package geo

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"vialwise/internal/needs"
)

// needPython returns a Python that has the libraries shapely and pyproj
// (Debian: python3-shapely and python3-pyproj). Debian's own is tried first,
// since another Python does not see Debian's libraries.
func needPython(t *testing.T) string {
	t.Helper()
	for _, name := range []string{"/usr/bin/python3", "python3"} {
		if exec.Command(name, "-c", "import shapely, pyproj").Run() == nil {
			return name
		}
	}
	needs.Missing(t, "python3 with shapely and pyproj", "measures with it")
	return ""
}

// measured is what testdata/measure.py says of a feature.
type measured struct {
	ID, Type  string
	Valid     bool
	RightHand bool `json:"right_hand"`
	Closed    bool
	SquareKM  float64 `json:"km2"`
	XY        XY
}

func measure(t *testing.T, python string, c *FeatureCollection, centre Point) []measured {
	t.Helper()
	name := filepath.Join(t.TempDir(), "cells.geojson")
	if err := os.WriteFile(name, []byte(written(t, c)), 0o600); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(python, filepath.Join("testdata", "measure.py"), name, fmt.Sprint(centre.Lon), fmt.Sprint(centre.Lat))
	var out, remarks bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &remarks
	if err := cmd.Run(); err != nil {
		t.Fatalf("%v\n%s", err, &remarks)
	}
	var answer struct{ Features []measured }
	if err := json.Unmarshal(out.Bytes(), &answer); err != nil {
		t.Fatalf("%v in %s", err, &out)
	}
	if len(answer.Features) != len(c.Features) {
		t.Fatalf("%d features were measured, not %d", len(answer.Features), len(c.Features))
	}
	return answer.Features
}

func (m measured) check(t *testing.T, name string) {
	t.Helper()
	if !m.Valid || !m.RightHand || !m.Closed {
		t.Errorf("%s, %s: %s, valid %v, right-hand rule %v, closed %v", name, m.ID, m.Type, m.Valid, m.RightHand, m.Closed)
	}
}

// TestAreasByLibrary opens written squares with shapely and measures their
// geodesic area with pyproj. The purpose asks for squares equal within 0.1 %,
// Outline states 0.01 %.
func TestAreasByLibrary(t *testing.T) {
	python := needPython(t)
	for _, h := range hardGrids {
		g := grid(t, h.centre, h.side)
		c := &FeatureCollection{}
		cells := someCells(g, h.half)
		for _, cell := range cells {
			c.Features = append(c.Features, Feature{ID: cell.String(), Geometry: PolygonsOf(Polygon{g.Outline(cell)})})
		}
		worst := 0.0
		for i, m := range measure(t, python, c, h.centre) {
			m.check(t, h.name)
			worst = max(worst, math.Abs(m.SquareKM/g.Area(cells[i])-1))
		}
		t.Logf("%s: areas by library are right within %.1e", h.name, worst)
		if worst > outlineShare*(1+1/h.side) { // the six decimals of the file count for small squares
			t.Errorf("%s: areas by library are off by %.1e", h.name, worst)
		}
	}
}

// TestCutByLibrary: land with bays and holes that was cut at the antimeridian
// is valid, and measures what it should.
func TestCutByLibrary(t *testing.T) {
	const share = 1e-2 // sides of up to a degree are geodesics there, and straight in degrees here
	python := needPython(t)
	rng := rand.New(rand.NewPCG(8, 11))
	c := &FeatureCollection{}
	for i := range 200 {
		centre := Point{turn(176 + 8*rng.Float64()), 100*rng.Float64() - 50}
		c.Features = append(c.Features, Feature{ID: fmt.Sprint(i), Geometry: PolygonsOf(star(rng, centre, 1+4*rng.Float64(), i%2 == 0))})
	}
	for i, m := range measure(t, python, c, Point{}) {
		m.check(t, "cut")
		if want := c.Features[i].Geometry.Area(); math.Abs(m.SquareKM/want-1) > share {
			t.Errorf("polygon %d has %.3f km² by library, %.3f here", i, m.SquareKM, want)
		}
	}
}

// nearPole is a centre 1 m from a pole. There the library loses digits (it
// takes the cosine of the authalic latitude from its sine) and its plane is 1 %
// too wide; TestNearThePole compares with the plane about the pole instead.
var nearPole = Point{12, 89.99999}

// TestProjectionByLibrary compares the plane with that of pyproj.
func TestProjectionByLibrary(t *testing.T) {
	const within = 1e-6 // km; the file has six decimals, so both start from the same places
	python := needPython(t)
	rng := rand.New(rand.NewPCG(8, 12))
	for _, centre := range centres {
		if centre == nearPole {
			continue
		}
		p := NewProjection(centre)
		c := &FeatureCollection{}
		for range 200 {
			q := p.Inverse(XY{8000 * (rng.Float64() - .5), 8000 * (rng.Float64() - .5)})
			c.Features = append(c.Features, Feature{Geometry: PointsOf(Point{rounded(q.Lon), rounded(q.Lat)})})
		}
		worst := 0.0
		for i, m := range measure(t, python, c, centre) {
			got := p.Forward(c.Features[i].Geometry.Points[0])
			worst = max(worst, math.Hypot(got[0]-m.XY[0], got[1]-m.XY[1]))
		}
		t.Logf("centre %v: planes agree within %.1e km", centre, worst)
		if worst > within {
			t.Errorf("centre %v: planes differ by %.1e km", centre, worst)
		}
	}
}
