package geo

import (
	"bytes"
	"math"
	"math/rand/v2"
	"testing"
	"time"
)

// jagged returns an invented coast of n points about a centre: a circle of a
// radius in degrees with bays of every size.
func jagged(n int, centre Point, radius float64) Polygon {
	rng := rand.New(rand.NewPCG(8, 10))
	var phases [12]float64
	for i := range phases {
		phases[i] = 2 * math.Pi * rng.Float64()
	}
	r := make(Ring, 0, n+1)
	for i := range n {
		angle := 2 * math.Pi * float64(i) / float64(n)
		by := radius
		for k, phase := range phases {
			by += radius * .3 / float64(int(1)<<k) * math.Sin(float64(int(2)<<k)*angle+phase)
		}
		by += radius * 1e-5 * rng.Float64()
		r = append(r, Point{centre.Lon + by*math.Cos(angle), centre.Lat + by*math.Sin(angle)})
	}
	return Polygon{append(r, r[0])}
}

func coastFile(tb testing.TB, n int) []byte {
	tb.Helper()
	var b bytes.Buffer
	c := &FeatureCollection{Features: []Feature{{Properties: []Property{{"note", "invented"}}, Geometry: PolygonsOf(jagged(n, Point{-45, 41}, 4))}}}
	if err := c.Write(&b); err != nil {
		tb.Fatal(err)
	}
	return b.Bytes()
}

// TestMillionPoints: a coast of a million points is read in under 3 s, drawn in
// under 2 s, and little of it enters the drawing. The times are twice those
// asked for, since a machine may be busy; the benchmarks say what it takes.
func TestMillionPoints(t *testing.T) {
	if testing.Short() {
		t.Skip("takes some seconds; run without -short")
	}
	file := coastFile(t, 1e6)
	begin := time.Now()
	c, _, err := Read("coast", bytes.NewReader(file))
	reading := time.Since(begin)
	if err != nil {
		t.Fatal(err)
	}
	begin = time.Now()
	d := NewProjection(Point{-45, 41}).Draw(c, Frame{-600, -600, 600, 600}, .5)
	drawing := time.Since(begin)
	points := 0
	for _, rings := range d.Land {
		for _, r := range rings {
			points += len(r)
		}
	}
	t.Logf("%d MB read in %v, drawn in %v with %d points", len(file)>>20, reading.Round(1e6), drawing.Round(1e6), points)
	if reading > 6*time.Second || drawing > 4*time.Second {
		t.Errorf("read in %v, drawn in %v", reading, drawing)
	}
	if points < 500 || points > 20000 {
		t.Errorf("the land has %d points", points)
	}
}

func BenchmarkReadMillionPoints(b *testing.B) {
	file := coastFile(b, 1e6)
	b.SetBytes(int64(len(file)))
	b.ReportAllocs()
	for b.Loop() {
		if _, _, err := Read("coast", bytes.NewReader(file)); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkDrawMillionPoints(b *testing.B) {
	c := &FeatureCollection{Features: []Feature{{Geometry: PolygonsOf(jagged(1e6, Point{-45, 41}, 4))}}}
	p := NewProjection(Point{-45, 41})
	for b.Loop() {
		p.Draw(c, Frame{-600, -600, 600, 600}, .5)
	}
}

func BenchmarkOutline(b *testing.B) {
	g := grid(b, Point{-45, 41}, 10)
	for b.Loop() {
		g.Outline(Cell{0, 31, 17})
	}
}
