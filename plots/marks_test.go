package plots

import (
	"image/color"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/vgsvg"
)

// strokeCanvas records the stroked paths and their colours.
type strokeCanvas struct {
	*vgsvg.Canvas
	colour color.Color
	paths  map[color.Color][]vg.Path
}

func newStrokes() *strokeCanvas {
	return &strokeCanvas{Canvas: vgsvg.New(100, 100), paths: map[color.Color][]vg.Path{}}
}

func (c *strokeCanvas) SetColor(k color.Color) { c.colour = k; c.Canvas.SetColor(k) }
func (c *strokeCanvas) Stroke(p vg.Path)       { c.paths[c.colour] = append(c.paths[c.colour], p) }

// hundred is a frame of 100 by 100 points over 0.1 to 10.
var hundred = frame{right: 100, top: 100, dose: span{-1, 1}}

// placeTolerance is rounding, in points.
const placeTolerance = 1e-9

// near reports whether the point lies at (x, y).
func near(p vg.Point, x, y vg.Length) bool {
	return math.Hypot(float64(p.X-x), float64(p.Y-y)) <= placeTolerance
}

// A curve from the outside that leaves 0 to 100 % stays within the figure.
func TestCurveStaysWithinTheFigure(t *testing.T) {
	c := Curve{Response: func(d float64) float64 { return 3 * math.Log10(d) }}
	canvas := newStrokes()
	c.drawCurve(pen{canvas}, hundred)
	if len(canvas.paths[ink]) != 1 {
		t.Fatalf("%d curves, want 1", len(canvas.paths[ink]))
	}
	for _, p := range canvas.paths[ink][0] {
		if p.Pos.Y < 0 || p.Pos.Y > 100 {
			t.Errorf("curve at %v", p.Pos)
		}
	}
}

// The samples are equally far apart in log concentration.
func TestCurveIsSampledEvenlyInLogConcentration(t *testing.T) {
	c := Curve{Response: probit(1, 2, 0)}
	canvas := newStrokes()
	c.drawCurve(pen{canvas}, hundred)
	curve := canvas.paths[ink][0]
	if len(curve) != curveSteps+1 {
		t.Fatalf("%d samples, want %d", len(curve), curveSteps+1)
	}
	for i, p := range curve {
		if want := vg.Length(i) * 100 / curveSteps; math.Abs(float64(p.Pos.X-want)) > placeTolerance {
			t.Errorf("sample %d at %g, want %g", i, p.Pos.X, want)
		}
	}
	if middle := curve[curveSteps/2].Pos.Y; math.Abs(float64(middle-50)) > placeTolerance {
		t.Errorf("mortality at the LC50 drawn at %g, want 50", middle)
	}
}

// The curve is solid where doses were tested and dashed beyond: two paths.
func TestExtrapolationIsSeparate(t *testing.T) {
	c := beyond(30, 12, inf)
	canvas := newStrokes()
	f := hundred
	f.dose = c.axisSpan()
	c.drawCurve(pen{canvas}, f)
	paths := canvas.paths[ink]
	if len(paths) != 2 {
		t.Fatalf("%d stretches, want the extrapolated and the tested", len(paths))
	}
	want := f.x(math.Log10(8) + minPad)
	if got := paths[0][0].Pos.X; math.Abs(float64(got-want)) > placeTolerance {
		t.Errorf("extrapolation starts at %g, want %g, just beyond the top dose", got, want)
	}
}

// The bar of limits ends at the limits, at the height of the LC50.
func TestLimitsAreDrawnToScale(t *testing.T) {
	c := Curve{LC50: 1, Lower: 0.1, Upper: math.Sqrt(10), NaturalMortality: 0.2}
	canvas := newStrokes()
	c.drawLC50(pen{canvas}, hundred)
	drop, bar := canvas.paths[vermilion][0], canvas.paths[vermilion][1]
	if !near(drop[0].Pos, 50, 60) || !near(drop[1].Pos, 50, 0) {
		t.Errorf("drop line %v, want from (50, 60) to the axis", drop)
	}
	if !near(bar[0].Pos, 0, 60) || !near(bar[1].Pos, 75, 60) {
		t.Errorf("bar %v, want from (0, 60) to (75, 60)", bar)
	}
}

// stackCanvas records what is painted over one place, from the bottom up.
type stackCanvas struct {
	*vgsvg.Canvas
	at     vg.Point
	colour color.Color
	stack  []string
}

func (c *stackCanvas) SetColor(k color.Color) { c.colour = k; c.Canvas.SetColor(k) }

func (c *stackCanvas) note(what string) {
	names := map[color.Color]string{white: "white", blue: "blue", vermilion: "vermilion", ink: "ink"}
	c.stack = append(c.stack, what+" "+names[c.colour])
}

// Fill notes a filled shape that is centred on the place.
func (c *stackCanvas) Fill(p vg.Path) {
	x, y, n := vg.Length(0), vg.Length(0), vg.Length(0)
	for _, k := range p {
		switch k.Type {
		case vg.ArcComp:
			x, y, n = k.Pos.X, k.Pos.Y, 1
		case vg.MoveComp, vg.LineComp:
			x, y, n = x+k.Pos.X, y+k.Pos.Y, n+1
		}
	}
	if near(vg.Point{X: x / n, Y: y / n}, c.at.X, c.at.Y) {
		c.note("fill")
	}
}

// Stroke notes a closed outline.
func (c *stackCanvas) Stroke(p vg.Path) {
	if p[len(p)-1].Type == vg.CloseComp {
		c.note("outline")
	}
}

// The diamond is white inside, but a point at the LC50 lies above the white and
// below nothing but the outline.
func TestDiamondLeavesThePointInSight(t *testing.T) {
	for _, c := range []struct {
		what   string
		points []Point
		want   string
	}{
		{"no point at the LC50", []Point{{0.1, 20, 0}, {10, 20, 20}}, "fill white, outline white, outline vermilion"},
		{"a point at the LC50", []Point{{0.1, 20, 0}, {1, 20, 10}, {10, 20, 20}},
			"fill white, fill white, fill blue, outline white, outline vermilion"},
	} {
		curve := Curve{LC50: 1, Lower: 0.5, Upper: 2, NaturalMortality: nan, Points: c.points}
		canvas := &stackCanvas{Canvas: vgsvg.New(100, 100), at: vg.Point{X: 50, Y: 50}}
		curve.drawMarks(pen{canvas}, hundred)
		if got := strings.Join(canvas.stack, ", "); got != c.want {
			t.Errorf("%s: painted %q, want %q", c.what, got, c.want)
		}
	}
}
