package geo

import (
	"errors"
	"strings"
	"testing"

	"vialwise/bioassay"
)

// feature wraps a geometry, so that errors have a path.
func feature(geometry string) string {
	return `{"type":"FeatureCollection","features":[
{"type":"Feature","properties":{},"geometry":null},
{"type":"Feature","properties":{},"geometry":` + geometry + `}
]}`
}

// ring is a polygon with the given second position.
func ringWith(position string) string {
	return feature(`{"type":"Polygon","coordinates":[[[1,1],` + position + `,[2,2],[1,2],[1,1]]]}`)
}

func TestReadRefuses(t *testing.T) {
	const at = "features[1].geometry.coordinates[0][1]"
	for _, c := range []struct {
		name, text string
		line       int
		path       string
		parts      []string // of the message, the remedy and what was found
	}{
		{"latitude", ringWith("[120,95.5]"), 3, at, []string{"found [120,95.5]", "latitude is beyond 90", "from -90 to 90"}},
		{"exchanged", ringWith("[50,-120]"), 3, at, []string{"probably exchanged", "[longitude, latitude]"}},
		{"longitude", ringWith("[190,10]"), 3, at, []string{"longitude is beyond 180", "190 becomes -170"}},
		{"longitude west", ringWith("[-190.5,10]"), 3, at, []string{"-190.5 becomes 169.5"}},
		{"metres", ringWith("[2500000,450000]"), 3, at, []string{"probably metres", "convert"}},
		{"huge number", ringWith("[1e999,5]"), 3, at + "[0]", []string{"found 1e999", "too large"}},
		{"text", ringWith(`["5",5]`), 3, at + "[0]", []string{`found "5"`, "no number"}},
		{"null", ringWith(`[null,5]`), 3, at + "[0]", []string{"found null"}},
		{"one number", ringWith("[5]"), 3, at, []string{"without latitude"}},
		{"empty position", ringWith("[]"), 3, at, []string{"without latitude"}},
		{"no position", ringWith("5"), 3, at, []string{"found 5", "a number where a position belongs"}},
		{"deep position", ringWith("[[1,2],[3,4]]"), 3, at + "[0]", []string{"no number"}},
		{"short ring", feature(`{"type":"Polygon","coordinates":[[[1,1],[2,2],[1,1]]]}`), 3, "features[1].geometry.coordinates[0]", []string{"a ring of 3 positions", "at least four"}},
		{"short line", feature(`{"type":"LineString","coordinates":[[1,1]]}`), 3, "features[1].geometry.coordinates", []string{"a line of 1 positions"}},
		{"bracket", feature(`{"type":"MultiPolygon","coordinates":[[[1,1],[2,1],[2,2],[1,1]]]}`), 3, "features[1].geometry.coordinates[0][0][0]", []string{"a number where a position belongs"}},
		{"no list", feature(`{"type":"Polygon","coordinates":7}`), 3, "features[1].geometry.coordinates", []string{"a list of rings", "count the brackets"}},
		{"no coordinates", feature(`{"type":"Polygon"}`), 3, "features[1].geometry", []string{`no member "coordinates"`}},
		{"case", feature(`{"type":"polygon","coordinates":[]}`), 3, "features[1].geometry.type", []string{`found "polygon"`, "use Polygon"}},
		{"unknown type", feature(`{"type":"Circle","coordinates":[]}`), 3, "features[1].geometry.type", []string{"GeometryCollection"}},
		{"type is no text", feature(`{"type":5}`), 3, "features[1].geometry.type", []string{"a number where the name of a type"}},
		{"geometry as feature", `{"type":"FeatureCollection","features":[{"type":"Point","coordinates":[1,2]}]}`, 1, "features[0]", []string{"Feature alone", "wrap"}},
		{"no features", `{"type":"FeatureCollection"}`, 1, "", []string{`no member "features"`}},
		{"features is no list", `{"type":"FeatureCollection","features":{}}`, 1, "features", []string{"a list of features"}},
		{"twice", feature(`{"type":"Point","coordinates":[1,2],"coordinates":[3,4]}`), 3, "features[1].geometry.coordinates", []string{"twice"}},
		{"other JSON", `{"objects":{}}`, 1, "", []string{`no member "type"`}},
		{"list", `[1,2]`, 1, "", []string{"a list where an object"}},
		{"number", `17`, 1, "", []string{"a number where an object"}},
		{"reference system", "{\"type\":\"FeatureCollection\",\n\"crs\":{\"type\":\"name\",\"properties\":{\"name\":\"urn:ogc:def:crs:EPSG::3857\"}},\"features\":[]}", 2, "crs", []string{"3857", "another reference system", "convert"}},
		{"NaN", ringWith("[NaN,5]"), 3, "", []string{"NaN is no number"}},
		{"infinity", ringWith("[5,-Infinity]"), 3, "", []string{"Infinity is no number"}},
		{"cut off", feature(`{"type":"Point","coordinates":[1,2]`)[:120], 3, "", []string{"ends in the middle"}},
		{"two texts", "{\"type\":\"FeatureCollection\",\"features\":[]}\n{}", 2, "", []string{"follows the end", "one FeatureCollection"}},
		{"not JSON", "<kml>", 1, "", []string{"this is not JSON"}},
		{"deep", strings.Repeat("[", 20000), 1, "", []string{"nested too deeply"}},
		{"deep collection", feature(strings.Repeat(`{"type":"GeometryCollection","geometries":[`, 9) + strings.Repeat("]}", 9)), 3, "features[1]", []string{"nested more than 8 deep"}},
		{"collection without parts", feature(`{"type":"GeometryCollection","coordinates":[]}`), 3, "features[1].geometry", []string{`no list "geometries"`}},
		{"huge property", `{"type":"FeatureCollection","features":[{"type":"Feature","geometry":null,"properties":{"a":1e999}}]}`, 1, "features[0].a", []string{"too large"}},
		{"empty", " \n", 0, "", []string{"empty"}},
		{"UTF-16", "\xff\xfe{\x00", 0, "", []string{"UTF-16", "UTF-8"}},
		{"zip", "PK\x03\x04xx", 0, "", []string{"compressed"}},
		{"gzip", "\x1f\x8bxx", 0, "", []string{"compressed"}},
	} {
		got, warnings, err := Read("coast.geojson", strings.NewReader(c.text))
		var list Errors
		if got != nil || warnings != nil || !errors.As(err, &list) {
			t.Errorf("%s: %v, %v, %v", c.name, got, warnings, err)
			continue
		}
		e := list[0]
		if e.Line != c.line || !strings.HasPrefix(e.Path, c.path) || e.File != "coast.geojson" || e.Message == "" || e.Remedy == "" {
			t.Errorf("%s: line %d, path %q: %v", c.name, e.Line, e.Path, err)
		}
		for _, part := range c.parts {
			if !strings.Contains(err.Error(), part) {
				t.Errorf("%s: %q is missing in %q", c.name, part, err)
			}
		}
	}
}

// TestErrorLine: the whole of one error.
func TestErrorLine(t *testing.T) {
	_, _, err := Read("coast.geojson", strings.NewReader(ringWith("[50,-120]")))
	const want = "coast.geojson:3:86: features[1].geometry.coordinates[0][1]: found [50,-120]: the latitude is beyond 90 degrees; longitude and latitude are probably exchanged; write a position as [longitude, latitude]"
	if err == nil || err.Error() != want {
		t.Errorf("%v\nwant %s", err, want)
	}
}

func TestErrorsEnd(t *testing.T) {
	_, _, err := Read("f", strings.NewReader(feature(`{"type":"MultiPoint","coordinates":[`+strings.Repeat("[5e5,6e6],", 1000)+`[1,2]]}`)))
	var list Errors
	if !errors.As(err, &list) || len(list) != MostErrors || len(list.Unwrap()) != MostErrors {
		t.Errorf("%d errors", len(list))
	}
	if !strings.Contains(list[19].Path, "coordinates[19]") {
		t.Errorf("the last is at %s", list[19].Path)
	}
}

// TestErrorsCannotSteer: nothing of a hostile file reaches a terminal.
func TestErrorsCannotSteer(t *testing.T) {
	for _, text := range []string{ringWith("[\"\\u001b[2J\x7f\u202e\u009b\",5]"), "{\"type\":\x1b[2J", feature(`{"type":"\u001b[2J"}`)} {
		_, _, err := Read("a\x1b[2J", strings.NewReader(text))
		if err == nil || strings.ContainsAny(err.Error(), "\x1b\x7f\u202e\u009b") {
			t.Errorf("%q", err)
		}
	}
}

func TestReadDoubts(t *testing.T) {
	const open = `[[1,1],[2,1],[2,2],[1,2]]`
	for _, c := range []struct {
		name, text string
		code       bioassay.WarningCode
		part       string
	}{
		{"open ring", feature(`{"type":"Polygon","coordinates":[` + open + `,` + open + `,` + open + `]}`), UnclosedRing, "features[1].geometry.coordinates[0]: the ring does not end where it begins, and was closed (and 2 more like it)"},
		{"old name", `{"type":"FeatureCollection","crs":{"type":"name","properties":{"name":"EPSG:4326"}},"features":[]}`, OldReference, "in this order"},
		{"null", `{"type":"FeatureCollection","crs":null,"features":[]}`, OldReference, "null"},
	} {
		got, warnings, err := Read("f", strings.NewReader(c.text))
		if err != nil || got == nil || len(warnings) != 1 || warnings[0].Code != c.code || !strings.Contains(warnings[0].Message, c.part) || warnings[0].Cure == "" || warnings[0].Line == 0 {
			t.Errorf("%s: %v, %v", c.name, warnings, err)
		}
	}
}

func TestReadTakes(t *testing.T) {
	for name, text := range map[string]string{
		"byte order mark":      "\xef\xbb\xbf" + ringWith("[2,1]"),
		"heights":              ringWith("[2,1,355.5]"),
		"clockwise":            feature(`{"type":"Polygon","coordinates":[[[1,1],[1,2],[2,2],[2,1],[1,1]]]}`),
		"rounded beyond 180":   feature(`{"type":"Point","coordinates":[180.0000000004,-90.0000000004]}`),
		"CRS84":                `{"type":"FeatureCollection","crs":{"type":"name","properties":{"name":"urn:ogc:def:crs:OGC:1.3:CRS84"}},"features":[]}`,
		"members in any order": `{"features":[{"geometry":{"coordinates":[1,2],"type":"Point"},"id":7,"type":"Feature"}],"bbox":[1,2,1,2],"type":"FeatureCollection"}`,
		"white space":          "\r\n\t{ \"type\" : \"Point\" ,\n \"coordinates\" : [ 1 , 2 ] }\n",
		"brackets in text":     `{"type":"Feature","properties":{"a":"]}\\\"[{","b\"]":1},"geometry":{"type":"Point","coordinates":[1,2]}}`,
		"empty":                `{"type":"FeatureCollection","features":[]}`,
		"empty polygon":        feature(`{"type":"Polygon","coordinates":[]}`),
	} {
		c := read(t, text)
		again := read(t, written(t, c))
		if written(t, again) != written(t, c) {
			t.Errorf("%s: a second writing differs", name)
		}
	}
	c := read(t, `{"type":"FeatureCollection","side_km":10,"features":[{"type":"Feature","id":7,"properties":{"z":1,"a":[true,null],"z":2},"geometry":null}]}`)
	f := c.Features[0]
	if c.Number("side_km") != 10 || f.ID != "7" || len(f.Properties) != 2 || f.Properties[0] != (Property{"z", 2.0}) || f.Geometry.Kind != NoGeometry {
		t.Errorf("%+v", c)
	}
}

type failing struct{}

func (failing) Read([]byte) (int, error) { return 0, errors.New("the disc is gone") }

// endless is a file that never ends.
type endless struct{}

func (endless) Read(b []byte) (int, error) {
	for i := range b {
		b[i] = ' '
	}
	return len(b), nil
}

func TestReadLargeAndBroken(t *testing.T) {
	if _, _, err := Read("f", failing{}); err == nil || !strings.Contains(err.Error(), "the disc is gone") {
		t.Errorf("%v", err)
	}
	if _, _, err := Read("f", endless{}); err == nil || !strings.Contains(err.Error(), "larger than 128 MB") {
		t.Errorf("%v", err)
	}
}

func TestDoubtsOfPlace(t *testing.T) {
	coast := &FeatureCollection{Features: []Feature{{Geometry: PolygonsOf(Polygon{{{-46, 40}, {-44, 40}, {-44, 42}, {-46, 40}}})}, {Geometry: LinesOf([]Point{{-44, 40}, {-44, 41}})}}}
	for _, c := range []struct {
		name   string
		places []Point
		code   bioassay.WarningCode
	}{
		{"around them", []Point{{-45, 41}, {-45.2, 41.1}}, ""},
		{"none", nil, ""},
		{"elsewhere", []Point{{100, 41}}, FarAway},
		{"exchanged", []Point{{41, -45}, {41.2, -45.5}}, Exchanged},
	} {
		got := coast.Doubts(c.places)
		if len(got) == 0 && c.code != "" || len(got) > 0 && got[0].Code != c.code {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}
