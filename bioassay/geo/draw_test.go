package geo

import (
	"math"
	"math/rand/v2"
	"testing"
)

// planeArea is the area of a drawing's land in km², by the even-odd rule for
// rings of which none but holes lie in others.
func planeArea(land [][][]XY) (sum float64) {
	for _, rings := range land {
		for i, r := range rings {
			if area := math.Abs(signedArea(open(r))); i == 0 {
				sum += area
			} else {
				sum -= area
			}
		}
	}
	return sum
}

// box is a polygon between two meridians and two parallels.
func box(w, s, e, n float64) Polygon {
	return Polygon{{{w, s}, {e, s}, {e, n}, {w, n}, {w, s}}}
}

// TestDrawnAreas: land keeps its area in the plane, long sides along a parallel
// included, and a frame cuts it exactly.
func TestDrawnAreas(t *testing.T) {
	const share = 1e-4
	p := NewProjection(Point{180, 65})
	island := box(170, 60, -170, 70)
	c := &FeatureCollection{Features: []Feature{{Geometry: PolygonsOf(island)}}}
	all := Frame{-3000, -3000, 3000, 3000}
	d := p.Draw(c, all, 0)
	if got := planeArea(d.Land) / island.Area(); math.Abs(got-1) > share {
		t.Errorf("drawn with %.6f of its area", got)
	}
	if len(d.Shores) != 1 {
		t.Errorf("%d shores", len(d.Shores))
	}
	small := Frame{-100, -50, 60, 70} // inside the island
	if got := planeArea(p.Draw(c, small, .1).Land); math.Abs(got-160*120) > 1e-6 {
		t.Errorf("a frame inside the island shows %.3f km² of land, not all of %v", got, 160*120)
	}
	west := p.Draw(c, Frame{-3000, -3000, 0, 3000}, 0)
	if got := planeArea(west.Land) / island.Area(); math.Abs(got-.5) > share {
		t.Errorf("the western half has %.6f of the area", got)
	}
	outside := p.Draw(c, Frame{1500, 1500, 1600, 1600}, 0)
	if len(outside.Land)+len(outside.Shores) != 0 {
		t.Errorf("beside the island there is %+v", outside)
	}
}

// TestSeamIsNoShore: an island that was cut at the antimeridian, as it must be
// in a file, has no shore along the cut.
func TestSeamIsNoShore(t *testing.T) {
	p := NewProjection(Point{180, 65})
	c := &FeatureCollection{Features: []Feature{{Geometry: PolygonsOf(box(170, 60, -170, 70)).cut()}}}
	d := p.Draw(c, Frame{-3000, -3000, 3000, 3000}, 0)
	if len(d.Land) != 2 || len(d.Shores) < 2 {
		t.Fatalf("%d parts, %d shores", len(d.Land), len(d.Shores))
	}
	for _, shore := range d.Shores {
		for i := 1; i < len(shore); i++ {
			if a, b := shore[i-1], shore[i]; math.Abs(a[0]) < 1e-6 && math.Abs(b[0]) < 1e-6 {
				t.Errorf("a shore along the cut, from %v to %v", a, b)
			}
		}
	}
}

// TestWorldCoastOnRegionalMap: land that reaches round the globe and holds no
// antipode leaves the right land in the frame, whichever way its rings run.
func TestWorldCoastOnRegionalMap(t *testing.T) {
	p := NewProjection(Point{-45, 41})
	frame := Frame{-300, -300, 300, 300}
	// North of 41 the world is land, in one ring; its antipode is sea.
	north := Polygon{{{-180, 41}, {180, 41}, {180, 90}, {-180, 90}, {-180, 41}}}
	reversed := Polygon{{{-180, 41}, {-180, 90}, {180, 90}, {180, 41}, {-180, 41}}}
	// The land of the far side alone, about the antipode.
	far := box(90, -80, 170, 10)
	for name, c := range map[string]struct {
		land Polygon
		want float64
	}{
		"north":    {north, p.landNorthOf(41, frame)},
		"reversed": {reversed, p.landNorthOf(41, frame)},
		"far":      {far, 0},
	} {
		d := p.Draw(&FeatureCollection{Features: []Feature{{Geometry: PolygonsOf(c.land)}}}, frame, 0)
		if got := planeArea(d.Land); math.Abs(got-c.want) > 600*600*1e-3 {
			t.Errorf("%s: %.0f km² of land, want %.0f", name, got, c.want)
		}
	}
}

// landNorthOf counts the points of a raster of the frame that lie north of a
// latitude.
func (p *Projection) landNorthOf(lat float64, f Frame) (area float64) {
	const step = 1.0
	for x := f.West + step/2; x < f.East; x += step {
		for y := f.South + step/2; y < f.North; y += step {
			if p.Inverse(XY{x, y}).Lat > lat {
				area += step * step
			}
		}
	}
	return area
}

// TestLandAcrossTheHorizon: random land that the quarter of the globe cuts, and
// a raster that says which places near the centre are land.
func TestLandAcrossTheHorizon(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 8))
	p := NewProjection(Point{20, 30})
	cut := 0
	for range 60 {
		land := star(rng, Point{turn(20 + 120*(rng.Float64()-.5)), 30 * (rng.Float64() - .5)}, 50, false)
		land[0] = Ring(simpler(land[0]))
		g := PolygonsOf(land).cut()
		d := p.Draw(&FeatureCollection{Features: []Feature{{Geometry: g}}}, Frame{-9000, -9000, 9000, 9000}, 0)
		if far(p, land) {
			cut++
		}
		for range 200 {
			angle, rho := 2*math.Pi*rng.Float64(), 8500*rng.Float64()
			xy := XY{rho * math.Cos(angle), rho * math.Sin(angle)}
			q := p.Inverse(xy)
			if got, want := landAt(d.Land, xy), landOf(g, q); got != want && !nearShore(d.Shores, xy, 20) {
				t.Fatalf("%v at %.0f is drawn as land: %v, and is: %v", q, xy, got, want)
			}
		}
	}
	if cut < 20 {
		t.Errorf("only %d of 60 lands reach beyond the horizon", cut)
	}
}

// simpler keeps latitudes on the globe.
func simpler(r Ring) (out []Point) {
	for _, q := range r {
		out = append(out, Point{q.Lon, max(-85, min(85, q.Lat))})
	}
	return out
}

func far(p *Projection, land Polygon) bool {
	for _, q := range land[0] {
		if Distance(p.Centre(), q) > 10100 {
			return true
		}
	}
	return false
}

func landAt(land [][][]XY, q XY) (in bool) {
	for _, rings := range land {
		for _, r := range rings {
			in = in != holds(open(r), q)
		}
	}
	return in
}

func landOf(g Geometry, q Point) (in bool) {
	for _, p := range g.Polygons {
		for _, r := range p {
			in = in != holds(open(unwrappedAsIs(r)), XY{q.Lon, q.Lat})
		}
	}
	return in
}

func nearShore(shores [][]XY, q XY, km float64) bool {
	for _, line := range shores {
		for i := 1; i < len(line); i++ {
			if distanceTo(q, line[i-1], line[i]) < km {
				return true
			}
		}
	}
	return false
}

func TestDrawLinesAndPoints(t *testing.T) {
	p := NewProjection(Point{0, 0})
	g := Geometry{Kind: Collection, Parts: []Geometry{
		LinesOf([]Point{{-5, 0}, {5, 0}, {5, 5}, {0, 5}, {0, -5}}),
		PointsOf(Point{0.1, 0.1}, Point{40, 0}),
	}}
	d := p.Draw(&FeatureCollection{Features: []Feature{{Geometry: g}}}, Frame{-100, -100, 100, 100}, .01)
	if len(d.Lines) != 2 || len(d.Points) != 1 {
		t.Fatalf("%d pieces, %d points", len(d.Lines), len(d.Points))
	}
	for _, line := range d.Lines {
		if n := len(line); n != 2 || math.Abs(math.Hypot(line[0][0]-line[1][0], line[0][1]-line[1][1])-200) > 1e-6 {
			t.Errorf("a piece %v", line)
		}
	}
}

func TestClipLine(t *testing.T) {
	f := Frame{0, 0, 10, 10}
	for name, c := range map[string]struct {
		line   []XY
		pieces int
		length float64
	}{
		"inside":         {[]XY{{1, 1}, {9, 1}, {9, 9}}, 1, 16},
		"across":         {[]XY{{-5, 5}, {15, 5}}, 1, 10},
		"outside":        {[]XY{{-5, 12}, {15, 12}}, 0, 0},
		"past a corner":  {[]XY{{-3, 8}, {2, 15}}, 0, 0},
		"out and in":     {[]XY{{5, 5}, {15, 5}, {15, 6}, {5, 6}}, 2, 10},
		"along the edge": {[]XY{{-5, 0}, {15, 0}}, 1, 10},
		"a corner alone": {[]XY{{-5, 5}, {5, -5}}, 0, 0},
		"no line":        {[]XY{{5, 5}}, 0, 0},
	} {
		got := clipLine(c.line, f)
		length := 0.0
		for _, piece := range got {
			for i := 1; i < len(piece); i++ {
				length += math.Hypot(piece[i][0]-piece[i-1][0], piece[i][1]-piece[i-1][1])
			}
		}
		if len(got) != c.pieces || math.Abs(length-c.length) > 1e-9 {
			t.Errorf("%s: %v", name, got)
		}
	}
}

// TestSimplifyKeepsToTheLine: no point dropped is farther from what is left
// than the tolerance, and much is dropped.
func TestSimplifyKeepsToTheLine(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 9))
	var line []XY
	at := XY{}
	for i := range 5000 {
		at[0] += .05 * rng.Float64()
		at[1] += .05 * math.Sin(float64(i)/100) * rng.NormFloat64()
		line = append(line, at)
	}
	for _, tolerance := range []float64{.01, .1, 1} {
		got := Simplify(line, tolerance)
		if got[0] != line[0] || got[len(got)-1] != line[len(line)-1] || tolerance > .05 && len(got) > len(line)/2 {
			t.Errorf("%d points of %d remain at %v km", len(got), len(line), tolerance)
		}
		for _, q := range line {
			if !nearShore([][]XY{got}, q, tolerance*(1+1e-9)) {
				t.Fatalf("%v is farther than %v km from what remains", q, tolerance)
			}
		}
	}
	if got := Simplify(line, 0); len(got) != len(line) {
		t.Errorf("without tolerance %d points remain", len(got))
	}
}

func TestSmallRingsGo(t *testing.T) {
	p := NewProjection(Point{0, 0})
	c := &FeatureCollection{Features: []Feature{{Geometry: PolygonsOf(box(0, 0, .001, .001), box(.2, .2, .3, .3))}}}
	if d := p.Draw(c, Frame{-100, -100, 100, 100}, 1); len(d.Land) != 1 {
		t.Errorf("%d islands, want that of 11 km alone", len(d.Land))
	}
}
