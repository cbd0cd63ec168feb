package geo

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

func TestExtent(t *testing.T) {
	const share = 0.01 // by which the circle may exceed the smallest one
	rng := rand.New(rand.NewPCG(8, 6))
	for _, centre := range centres {
		p := NewProjection(centre)
		places := []Point{}
		for range 300 { // a dense cluster to one side, and three places on the rim
			places = append(places, p.Inverse(XY{200 + 20*rng.Float64(), 20 * rng.Float64()}))
		}
		for _, angle := range []float64{.3, 2.4, 4.5} {
			places = append(places, p.Inverse(XY{300 * math.Cos(angle), 300 * math.Sin(angle)}))
		}
		got := ExtentOf(places)
		if off := Distance(got.Centre, centre); off > 300*2*share || got.KM > 300*(1+share) || got.KM < 300*(1-share) {
			t.Errorf("centre %v: the circle lies %.1f km off and reaches %.1f km", centre, off, got.KM)
		}
		for _, q := range places {
			if Distance(got.Centre, q) > got.KM+1e-6 {
				t.Errorf("centre %v: %v lies outside its circle", centre, q)
			}
		}
	}
	if got := ExtentOf([]Point{{5, 50}}); got.KM > 1e-6 || Distance(got.Centre, Point{5, 50}) > 1e-6 {
		t.Errorf("one place: %+v", got)
	}
	mustPanic(t, func() { ExtentOf(nil) })
}

func TestRegional(t *testing.T) {
	p, warnings, err := Regional([]Point{{179.4, -16.2}, {-178.1, -19.5}, {178.2, -17.9}})
	if err != nil || len(warnings) > 0 || p.Centre() != (Point{-180, -18}) && p.Centre() != (Point{180, -18}) {
		t.Errorf("across the antimeridian: %v, %v, %v", p.Describe(), warnings, err)
	}
	p, _, err = Regional([]Point{{0, 89}, {90, 89}, {180, 89.1}, {-90, 89.2}})
	if err != nil || p.Centre() != (Point{0, 90}) {
		t.Errorf("about the pole: %v, %v", p.Describe(), err)
	}
	p, warnings, err = Regional([]Point{{-60, -40}, {-60, 45}})
	if err != nil || len(warnings) != 1 || warnings[0].Code != TooWide || !strings.Contains(warnings[0].Message, "off by") {
		t.Errorf("a wide region: %v, %v, %v", p.Describe(), warnings, err)
	}
	for name, places := range map[string][]Point{"no place": nil, "the whole globe": {{0, 0}, {120, 0}, {-120, 0}, {0, 90}, {0, -90}}} {
		if _, _, err := Regional(places); err == nil || !strings.Contains(err.Error(), ";") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestScaleBar(t *testing.T) {
	for width, want := range map[float64]float64{4: 1, 7.9: 1, 8: 2, 20: 5, 39: 5, 40: 10, 100: 20, 1234: 200, 2000: 500, .5: .1, .0081: .002} {
		if got := ScaleBar(width); math.Abs(got/want-1) > 1e-12 {
			t.Errorf("a map of %v km has a bar of %v km, want %v", width, got, want)
		}
	}
	for _, width := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		mustPanic(t, func() { ScaleBar(width) })
	}
}
