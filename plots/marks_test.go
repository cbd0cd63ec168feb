package plots

import (
	"image/color"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/plot/vg"
)

// strokes records the stroked paths by their colours.
type strokes struct {
	recording
	paths map[color.NRGBA][]vg.Path
}

func newStrokes() *strokes { return &strokes{paths: map[color.NRGBA][]vg.Path{}} }

func (c *strokes) stroke(p vg.Path, s stroke) { c.paths[s.colour] = append(c.paths[s.colour], p) }

// hundred is a frame of 100 by 100 points over 0.1 to 10.
var hundred = frame{right: 100, top: 100, across: span{-1, 1}, up: span{0, 1}}

// placeTolerance is rounding, in points.
const placeTolerance = 1e-9

// near reports whether the point lies at (x, y).
func near(p vg.Point, x, y vg.Length) bool {
	return math.Hypot(float64(p.X-x), float64(p.Y-y)) <= placeTolerance
}

// A curve from the outside that leaves 0 to 100 % stays within the figure.
func TestCurveStaysWithinTheFigure(t *testing.T) {
	c := Population{Response: func(d float64) float64 { return 3 * math.Log10(d) }}
	canvas := newStrokes()
	c.drawCurve(pen{canvas}, hundred, soleStyle)
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
	c := Population{Response: probit(1, 2, 0)}
	canvas := newStrokes()
	c.drawCurve(pen{canvas}, hundred, soleStyle)
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
	f.across = c.axisSpan()
	c.drawCurve(pen{canvas}, f, soleStyle)
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
	c := Population{LC50: 1, Lower: 0.1, Upper: math.Sqrt(10), NaturalMortality: 0.2}
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

// stack records what is painted over one place, from the bottom up.
type stack struct {
	recording
	at   vg.Point
	what []string
}

func (c *stack) note(what string, k color.NRGBA) {
	names := map[color.NRGBA]string{white: "white", blue: "blue", vermilion: "vermilion", ink: "ink"}
	c.what = append(c.what, what+" "+names[k])
}

// fill notes a filled shape that is centred on the place.
func (c *stack) fill(p vg.Path, k color.NRGBA) {
	low, high := p[0].Pos, p[0].Pos
	for _, one := range p[:len(p)-1] {
		low = vg.Point{X: min(low.X, one.Pos.X), Y: min(low.Y, one.Pos.Y)}
		high = vg.Point{X: max(high.X, one.Pos.X), Y: max(high.Y, one.Pos.Y)}
	}
	if near(vg.Point{X: (low.X + high.X) / 2, Y: (low.Y + high.Y) / 2}, c.at.X, c.at.Y) {
		c.note("fill", k)
	}
}

// stroke notes a closed outline.
func (c *stack) stroke(p vg.Path, s stroke) {
	if p[len(p)-1].Type == vg.CloseComp {
		c.note("outline", s.colour)
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
		curve := Population{LC50: 1, Lower: 0.5, Upper: 2, NaturalMortality: nan, Points: c.points}
		canvas := &stack{at: vg.Point{X: 50, Y: 50}}
		curve.drawMarks(pen{canvas}, hundred)
		if got := strings.Join(canvas.what, ", "); got != c.want {
			t.Errorf("%s: painted %q, want %q", c.what, got, c.want)
		}
	}
}
