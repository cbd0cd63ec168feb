package shore

import (
	"bytes"
	"encoding/json"
	"slices"
	"testing"
)

// area is twice the signed area in square degrees, positive counterclockwise.
func area(r Ring) (sum float64) {
	for i, a := range r {
		b := r[(i+1)%len(r)]
		sum += a.Longitude*b.Latitude - b.Longitude*a.Latitude
	}
	return sum
}

// outlines are all rings of the land with a name for each.
func outlines(l Land) []Region {
	return slices.Concat([]Region{{"mainland", l.Mainland}}, l.Regions, l.Islands)
}

func TestRingsRunCounterclockwiseWithoutCrossing(t *testing.T) {
	l, points := Draw(), 0
	for _, r := range outlines(l) {
		if area(r.Outline) <= 0 {
			t.Errorf("%s runs clockwise", r.Name)
		}
		if at, ok := crossing(r.Outline); ok {
			t.Errorf("%s crosses itself near %v", r.Name, at)
		}
	}
	for _, r := range append(l.Islands, Region{Outline: l.Mainland}) {
		points += len(r.Outline)
	}
	if points < 300 || points > 600 {
		t.Errorf("the coast has %d points, want 300 to 600", points)
	}
}

// crossing returns a corner of an outline near which two of its sides meet that
// are not neighbours.
func crossing(r Ring) (Point, bool) {
	n := len(r)
	for i := range r {
		for j := i + 2; j < n; j++ {
			if (j+1)%n != i && meet(r[i], r[i+1], r[j], r[(j+1)%n]) {
				return r[i], true
			}
		}
	}
	return Point{}, false
}

// meet reports whether the segments ab and cd cross.
func meet(a, b, c, d Point) bool {
	left := func(p, q, r Point) bool { return area(Ring{p, q, r}) > 0 }
	return left(a, b, c) != left(a, b, d) && left(c, d, a) != left(c, d, b)
}

func TestCrossingIsSeen(t *testing.T) {
	if _, ok := crossing(Ring{{0, 0}, {2, 2}, {2, 0}, {0, 2}}); !ok {
		t.Error("a bow tie was not seen to cross itself")
	}
	if at, ok := crossing(Ring{{0, 0}, {2, 0}, {2, 2}, {0, 2}}); ok {
		t.Errorf("a square crosses itself near %v", at)
	}
}

// The regions make up the mainland.
func TestRegionsFillTheMainland(t *testing.T) {
	const roundingError = 1e-9
	l := Draw()
	whole := area(l.Mainland)
	for _, r := range l.Regions {
		whole -= area(r.Outline)
	}
	if whole > roundingError || whole < -roundingError {
		t.Errorf("the mainland is %g square degrees larger than its regions", whole/2)
	}
	for _, island := range l.Islands {
		for _, p := range island.Outline {
			if l.Mainland.Contains(p) {
				t.Fatalf("%v of an island lies on the mainland", p)
			}
		}
	}
}

func TestContains(t *testing.T) {
	horseshoe := Ring{{0, 0}, {3, 0}, {3, 3}, {2, 3}, {2, 1}, {1, 1}, {1, 3}, {0, 3}}
	for p, want := range map[Point]bool{{0.5, 2}: true, {1.5, 2}: false, {2.5, 2}: true, {1.5, 0.5}: true, {3.5, 2}: false, {-1, 2}: false, {1.5, 4}: false} {
		if horseshoe.Contains(p) != want {
			t.Errorf("%v inside: %v", p, !want)
		}
	}
	l := Draw()
	for p, want := range map[Point]string{{-45.5, 41.4}: "Yrdemoor", {-45, 40.6}: "Cormavelle", {-44.8, 39.8}: "Saskellan", {-43.9, 40.6}: "Cormavelle", {-43, 40}: ""} {
		if got := l.Region(p); got != want {
			t.Errorf("%v lies in %q, want %q", p, got, want)
		}
	}
}

// The file as any reader sees it: types, closed rings, the names, the note.
func TestGeoJSON(t *testing.T) {
	var file struct {
		Type     string
		Features []struct {
			Type       string
			Properties map[string]string
			Geometry   struct {
				Type        string
				Coordinates json.RawMessage
			}
		}
	}
	text := Draw().GeoJSON()
	if !bytes.Equal(text, Draw().GeoJSON()) {
		t.Error("the land differs from one drawing to the next")
	}
	if err := json.Unmarshal(text, &file); err != nil || file.Type != "FeatureCollection" {
		t.Fatalf("%q, %v", file.Type, err)
	}
	kinds := map[string]int{}
	for _, f := range file.Features {
		kinds[f.Properties["kind"]+" "+f.Geometry.Type]++
		if f.Type != "Feature" || f.Properties["name"] == "" || f.Properties["note"] != "invented data" {
			t.Errorf("%s with %v", f.Type, f.Properties)
		}
		var rings [][][2]float64
		if f.Geometry.Type != "Polygon" {
			continue
		}
		if err := json.Unmarshal(f.Geometry.Coordinates, &rings); err != nil || len(rings) != 1 {
			t.Fatalf("%d rings, %v", len(rings), err)
		}
		if r := rings[0]; r[0] != r[len(r)-1] || r[0][0] > 0 || r[0][1] < 0 {
			t.Errorf("%v begins at %v and ends at %v", f.Properties, r[0], r[len(r)-1])
		}
	}
	if kinds["land Polygon"] != 3 || kinds["boundary LineString"] != 2 || len(file.Features) != 5 {
		t.Errorf("features %v", kinds)
	}
}
