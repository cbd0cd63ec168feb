package plots

import (
	"image/color"
	"math"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/plot/vg"
)

// mapAt draws a map and returns what lies at a place of the plane.
func mapAt(t *testing.T, m Map) func(x, y float64) color.RGBA {
	t.Helper()
	s, f, err := m.layOut(m.Caption)
	if err != nil {
		t.Fatal(err)
	}
	const scale = 3
	img := blank(int(s.w)*scale, int(s.h)*scale)
	r := &recording{}
	m.draw(pen{r}, f)
	r.replay(&imageCanvas{img: img, scale: scale, h: float64(s.h)})
	return func(x, y float64) color.RGBA {
		at := f.at(XY{x, y})
		return img.RGBAAt(int(float64(at.X)*scale), int(float64(s.h-at.Y)*scale))
	}
}

func rgba(c color.NRGBA) color.RGBA { return color.RGBA(c) }

// Sea, land, lakes and areas have their colours; a ring may turn either way.
func TestMapColoursPlaces(t *testing.T) {
	turned := region()
	for _, polygon := range turned.Land {
		for i := range polygon {
			polygon[i] = slices.Clone(polygon[i])
			slices.Reverse(polygon[i])
		}
	}
	for name, m := range map[string]Map{"as drawn": region(), "turned": turned} {
		m.Extent, m.Areas = MapExtent{-66, -66, 66, 46}, m.Areas[:20] // without the one on the lake
		at := mapAt(t, m)
		for _, k := range []struct {
			what string
			x, y float64
			want color.NRGBA
		}{
			{"sea", -40, -60, sea}, {"land", 50, 42, land}, {"lake", 33, -56.5, sea}, {"island", 45, -53, land},
			{"class 1", -50, 35, classColour(0, 4)}, {"class 4", 3, -17, classColour(3, 4)}, {"class 2", -32, -9, classColour(1, 4)},
		} {
			if got := at(k.x, k.y); got != rgba(k.want) {
				t.Errorf("%s: %s: %v, want %v", name, k.what, got, k.want)
			}
		}
	}
}

// An area with too few results, one without resistance and land without an area
// look different, and so do the three degrees of certainty.
func TestNoDataIsNotNoResistance(t *testing.T) {
	shades := func(draw func(p pen)) string {
		at := picture(func(c canvas) { draw(pen{c}) })
		count := map[color.RGBA]int{}
		for x := 30.0; x < 70; x += 0.25 {
			for y := 30.0; y < 70; y += 0.25 {
				count[at(x, y)]++
			}
		}
		most, all := color.RGBA{}, 0
		for c, n := range count {
			all += n
			if n > count[most] {
				most = c
			}
		}
		return strings.Join([]string{string(rune('A' + most.R/16)), string(rune('A' + most.G/16)), digits(math.Round(10 * float64(count[most]) / float64(all)))}, " ")
	}
	box := []XY{{10, 10}, {90, 10}, {90, 90}, {10, 90}}
	f := mapFrame{area: area{0, 100, 0, 100}, perKM: 1}
	m := Map{Classes: make([]MapClass, 4)}
	looks := map[string]string{}
	for name, a := range map[string]MapArea{
		"few": {Outline: box, Status: MapFew}, "clear": {Outline: box, Certainty: MapClear},
		"likely": {Outline: box, Certainty: MapLikely}, "unsure": {Outline: box, Certainty: MapUnsure},
	} {
		looks[name] = shades(func(p pen) { m.drawArea(p, f, a) })
	}
	if !strings.HasPrefix(looks["few"], "P P ") { // white, of 255 in steps of 16
		t.Errorf("too few results are drawn %s", looks["few"])
	}
	looks["land"] = shades(func(p pen) { p.box(land, 0, 0, 100, 100) })
	for a, x := range looks {
		for b, y := range looks {
			if a < b && x == y {
				t.Errorf("%s and %s look alike: %s", a, b, x)
			}
		}
	}
}

func TestMapTellsTheFinding(t *testing.T) {
	name, got := region().words()
	if name != "Amitraz, spring 2034" {
		t.Errorf("name %q", name)
	}
	for _, want := range []string{
		"Map of Mean resistance ratio at LC50.", "Class 1, susceptible (below 3): 5 areas (2 clear, 1 likely, 2 unsure).",
		"fewer than 3 results: 4 areas.", "Lambert azimuthal equal-area", "invented data.",
	} {
		if !strings.Contains(got, want) {
			t.Errorf("description %q lacks %q", got, want)
		}
	}
	exact := changed(func(m *Map) { m.NotForSharing = true; m.Points = []MapPoint{{At: XY{1, 2}, Class: -1, Label: "a"}} })
	if _, got := exact.words(); !strings.Contains(got, "1 apiary at the exact place. ") || !strings.Contains(got, notForSharing) {
		t.Errorf("description %q", got)
	}
}

// Every side of a map that is not for sharing says so, and no other map does.
func TestNotForSharingOnEverySide(t *testing.T) {
	sides := map[string]int{}
	g, r := drawn(t, changed(func(m *Map) { m.NotForSharing = true }))
	for _, l := range r.texts {
		if l.s != notForSharing {
			continue
		}
		switch {
		case l.up && l.at.X < g.w/2:
			sides["left"]++
		case l.up:
			sides["right"]++
		case l.at.Y < g.h/2:
			sides["bottom"]++
		default:
			sides["top"]++
		}
	}
	if len(sides) != 4 {
		t.Errorf("said at %v, want all four sides", sides)
	}
	_, r = drawn(t, region())
	for _, l := range r.texts {
		if strings.Contains(l.s, "sharing") {
			t.Errorf("a map of areas says %q", l.s)
		}
	}
}

// The bar is as long as it says, by default of a round length that is 0.3 of the
// map or less; a unit of 1, 2 or 5.
func TestScaleBar(t *testing.T) {
	const tolerance = 1e-9
	for width, want := range map[float64]float64{100: 20, 170: 50, 66.6: 10, 66.7: 20, 3.4: 1, 0.7: 0.2} {
		m := Map{Extent: MapExtent{0, 0, width, width}}
		if got := m.scaleBar(); math.Abs(got-want) > tolerance {
			t.Errorf("map of %g km: bar of %g km, want %g", width, got, want)
		}
	}
	m := region()
	m.ScaleKM = 25
	_, f, err := m.layOut(m.Caption)
	if err != nil {
		t.Fatal(err)
	}
	canvas := newStrokes()
	m.drawStrip(pen{canvas}, f)
	wide := vg.Length(0)
	for _, paths := range canvas.paths {
		for _, p := range paths {
			for _, k := range p {
				if k.Pos.X < f.right-20 {
					wide = max(wide, k.Pos.X-f.left)
				}
			}
		}
	}
	if want := f.at(XY{25, 0}).X - f.at(XY{0, 0}).X; math.Abs(float64(wide-want)) > tolerance {
		t.Errorf("bar of %g points, want %g", wide, want)
	}
}

// Where north turns too much across the map, words stand in for the arrow.
func TestNorthArrow(t *testing.T) {
	says := func(m Map) (arrow, words bool) {
		_, r := drawn(t, m)
		for _, l := range r.texts {
			arrow = arrow || l.s == "N"
			words = words || strings.Contains(l.s, "it turns by 26°")
		}
		return arrow, words
	}
	if arrow, words := says(region()); !arrow || words {
		t.Errorf("steady north: arrow %v, words %v", arrow, words)
	}
	if arrow, words := says(changed(func(m *Map) { m.North = [2]float64{-14, 12} })); arrow || !words {
		t.Errorf("turning north: arrow %v, words %v", arrow, words)
	}
}

// Nothing of the map is drawn beyond its frame.
func TestMapStaysInItsFrame(t *testing.T) {
	m := changed(func(m *Map) { m.Extent = MapExtent{-14, -14, 5, 30} })
	_, f, err := m.layOut(m.Caption)
	if err != nil {
		t.Fatal(err)
	}
	r := &recording{}
	m.draw(pen{r}, f)
	const hair = 1e-6
	r.replay(bounds{func(p vg.Point) {
		below := p.Y < f.bottom && p.Y > f.bottom-mapStrip // the scale and north
		if !below && (p.X < f.left-hair || p.X > f.right+hair || p.Y < f.bottom-hair || p.Y > f.top+hair) {
			t.Errorf("a mark at %v beyond %v", p, f.area)
		}
	}})
}

func TestWhatMapsCannotDraw(t *testing.T) {
	for want, m := range map[string]Map{
		"a map without an extent":                {},
		"area 1 of the map: give at least three": {Areas: []MapArea{{Outline: []XY{{0, 0}, {1, 1}}}}},
		"area 21 of the map: class 4 of 4":       changed(func(m *Map) { m.Areas[20].Class = 4 }),
		"point 1 of the map":                     {Points: []MapPoint{{At: XY{nan, 0}}}},
		"without an extent: give areas":          {Extent: MapExtent{1, 1, 1, 2}},
		"leaves no room for its map":             changed(func(m *Map) { m.Height = 50 * vg.Millimeter; m.Extent = MapExtent{-60, -60, 60, 600} }),
	} {
		if _, err := m.page(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("error %v, want one with %q", err, want)
		}
	}
}

// fillsOf is a canvas that keeps the fills.
type fillsOf struct {
	bounds
	paths   []vg.Path
	colours []color.NRGBA
}

func (f *fillsOf) stroke(vg.Path, stroke) {}
func (f *fillsOf) fill(p vg.Path, c color.NRGBA) {
	f.paths, f.colours = append(f.paths, p), append(f.colours, c)
}
