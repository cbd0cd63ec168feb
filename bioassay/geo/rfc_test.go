package geo

import (
	"bytes"
	"encoding/json"
	"reflect"
	"strings"
	"testing"
)

// The examples of RFC 7946, Appendix A, and sections 1.5, 3.1.9 and 5.2. What
// is written has no spaces and no zeros behind the decimal point, and its
// rings begin where those of the RFC do.
var rfcGeometries = []struct{ section, text string }{
	{"A.1", `{"type": "Point", "coordinates": [100.0, 0.0]}`},
	{"A.2", `{"type": "LineString", "coordinates": [[100.0, 0.0], [101.0, 1.0]]}`},
	{"A.3, no holes", `{"type": "Polygon", "coordinates": [[[100.0, 0.0], [101.0, 0.0], [101.0, 1.0], [100.0, 1.0], [100.0, 0.0]]]}`},
	{"A.3, with holes", `{"type": "Polygon", "coordinates": [[[100.0, 0.0], [101.0, 0.0], [101.0, 1.0], [100.0, 1.0], [100.0, 0.0]], [[100.8, 0.8], [100.8, 0.2], [100.2, 0.2], [100.2, 0.8], [100.8, 0.8]]]}`},
	{"A.4", `{"type": "MultiPoint", "coordinates": [[100.0, 0.0], [101.0, 1.0]]}`},
	{"A.5", `{"type": "MultiLineString", "coordinates": [[[100.0, 0.0], [101.0, 1.0]], [[102.0, 2.0], [103.0, 3.0]]]}`},
	{"A.6", `{"type": "MultiPolygon", "coordinates": [[[[102.0, 2.0], [103.0, 2.0], [103.0, 3.0], [102.0, 3.0], [102.0, 2.0]]], [[[100.0, 0.0], [101.0, 0.0], [101.0, 1.0], [100.0, 1.0], [100.0, 0.0]], [[100.2, 0.2], [100.2, 0.8], [100.8, 0.8], [100.8, 0.2], [100.2, 0.2]]]]}`},
	{"A.7", `{"type": "GeometryCollection", "geometries": [{"type": "Point", "coordinates": [100.0, 0.0]}, {"type": "LineString", "coordinates": [[101.0, 0.0], [102.0, 1.0]]}]}`},
	{"3.1.9, line", `{"type": "MultiLineString", "coordinates": [[[170.0, 45.0], [180.0, 45.0]], [[-180.0, 45.0], [-170.0, 45.0]]]}`},
	{"3.1.9, rectangle", `{"type": "MultiPolygon", "coordinates": [[[[180.0, 40.0], [180.0, 50.0], [170.0, 50.0], [170.0, 40.0], [180.0, 40.0]]], [[[-170.0, 40.0], [-170.0, 50.0], [-180.0, 50.0], [-180.0, 40.0], [-170.0, 40.0]]]]}`},
}

const rfcCollection = `{
       "type": "FeatureCollection",
       "features": [{
           "type": "Feature",
           "geometry": {"type": "Point", "coordinates": [102.0, 0.5]},
           "properties": {"prop0": "value0"}
       }, {
           "type": "Feature",
           "geometry": {
               "type": "LineString",
               "coordinates": [[102.0, 0.0], [103.0, 1.0], [104.0, 0.0], [105.0, 1.0]]
           },
           "properties": {"prop0": "value0", "prop1": 0.0}
       }, {
           "type": "Feature",
           "geometry": {
               "type": "Polygon",
               "coordinates": [[[100.0, 0.0], [101.0, 0.0], [101.0, 1.0], [100.0, 1.0], [100.0, 0.0]]]
           },
           "properties": {"prop0": "value0", "prop1": {"this": "that"}}
       }]
   }`

func read(t *testing.T, text string) *FeatureCollection {
	t.Helper()
	c, warnings, err := Read("test.geojson", strings.NewReader(text))
	if err != nil || len(warnings) > 0 {
		t.Fatalf("%v, %v", err, warnings)
	}
	return c
}

func written(t *testing.T, c *FeatureCollection) string {
	t.Helper()
	var b bytes.Buffer
	if err := c.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// same reports whether two texts hold the same JSON but for bounding boxes.
func same(t *testing.T, a, b string) bool {
	t.Helper()
	var x, y map[string]any
	for text, to := range map[string]*map[string]any{a: &x, b: &y} {
		if err := json.Unmarshal([]byte(text), to); err != nil {
			t.Fatalf("%v in %s", err, text)
		}
		delete(*to, "bbox")
	}
	return reflect.DeepEqual(x, y)
}

func TestRFCGeometries(t *testing.T) {
	for _, c := range rfcGeometries {
		got := written(t, read(t, c.text))
		want := `{"type":"FeatureCollection","features":[{"type":"Feature","properties":{},"geometry":` + c.text + `}]}`
		if !same(t, got, want) {
			t.Errorf("section %s: wrote %s", c.section, got)
		}
	}
}

func TestRFCCollection(t *testing.T) {
	c := read(t, rfcCollection)
	if got := written(t, c); !same(t, got, rfcCollection) {
		t.Errorf("section 1.5: wrote %s", got)
	}
	if c.Features[1].Text("prop0") != "value0" || c.Features[1].Number("prop1") != 0 || c.Features[2].Value("prop2") != nil {
		t.Errorf("properties: %+v", c.Features)
	}
}

// TestRFCAntimeridian: what section 3.1.9 says in words, "a line extending
// from 45 degrees N, 170 degrees E across the antimeridian to 45 degrees N,
// 170 degrees W", and a rectangle likewise, is cut in two.
func TestRFCAntimeridian(t *testing.T) {
	line := LinesOf([]Point{{170, 45}, {-170, 45}})
	rectangle := PolygonsOf(Polygon{{{170, 40}, {-170, 40}, {-170, 50}, {170, 50}, {170, 40}}})
	for i, g := range []Geometry{line, rectangle} {
		got := g.cut()
		want := read(t, rfcGeometries[8+i].text).Features[0].Geometry
		if got.Area() == want.Area() && sameRings(got, want) {
			continue
		}
		t.Errorf("section %s: %+v", rfcGeometries[8+i].section, got)
	}
}

// sameRings compares geometries whose rings may begin anywhere.
func sameRings(a, b Geometry) bool {
	if len(a.Polygons) != len(b.Polygons) || len(a.Lines) != len(b.Lines) {
		return false
	}
	for i := range a.Lines {
		if !reflect.DeepEqual(a.Lines[i], b.Lines[i]) {
			return false
		}
	}
	for i := range a.Polygons {
		x, y := a.Polygons[i][0], b.Polygons[i][0]
		if len(x) != len(y) || signedArea(open(unwrapped(x))) != signedArea(open(unwrapped(y))) {
			return false
		}
		for _, q := range x {
			if !bytes.Contains([]byte(written1(y)), []byte(written1(Ring{q}))) {
				return false
			}
		}
	}
	return true
}

func written1(r Ring) string {
	var b bytes.Buffer
	for _, q := range r {
		q.write(&b)
	}
	return b.String()
}

// TestRFCBoundingBox: section 5.2, "Consider a set of point Features within
// the Fiji archipelago, straddling the antimeridian between 16 degrees S and
// 20 degrees S", whose box is [177.0, -20.0, -178.0, -16.0].
func TestRFCBoundingBox(t *testing.T) {
	c := &FeatureCollection{Features: []Feature{{Geometry: PointsOf(Point{177, -20})}, {Geometry: PointsOf(Point{-178, -16})}, {Geometry: PointsOf(Point{179, -18})}}}
	if box, ok := c.Box(); !ok || box != [4]float64{177, -20, -178, -16} {
		t.Errorf("section 5.2: %v", box)
	}
	if got := written(t, c); !strings.Contains(got, `"bbox":[177,-20,-178,-16],`) {
		t.Errorf("section 5.2: wrote %s", got)
	}
	if _, ok := (&FeatureCollection{}).Box(); ok {
		t.Error("an empty collection has a box")
	}
}
