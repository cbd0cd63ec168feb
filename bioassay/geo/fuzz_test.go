package geo

import (
	"bytes"
	"errors"
	"math"
	"strings"
	"testing"
)

// FuzzReadGeoJSON: a file either gives errors with a message, a remedy and a
// line of the file, or a collection that can be drawn and written, and that is
// the same when it is read again.
func FuzzReadGeoJSON(f *testing.F) {
	for _, c := range rfcGeometries {
		f.Add(c.text)
	}
	f.Add(rfcCollection)
	f.Add(ringWith("[50,-120]"))
	f.Add(`{"type":"Polygon","coordinates":[[[179,80],[-60,85],[60,80],[179,80]]]}`)
	f.Add(`{"type":"Polygon","coordinates":[[[-180,-90],[180,-90],[180,-80],[0,-70],[-180,-80]]]}`)
	f.Add(`{"type":"Polygon","coordinates":[[[-180,-23],[180,-90],[140,-80],[0,-70],[-180,-80]]]}`)
	f.Add("\xef\xbb\xbf{\"type\":\"Feature\",\"id\":1,\"geometry\":null,\"properties\":{\"a\":[]}}")
	f.Fuzz(func(t *testing.T, text string) {
		c, _, err := Read("f", strings.NewReader(text))
		if err != nil {
			fuzzedErrors(t, text, err)
			return
		}
		frame := Frame{-500, -500, 500, 500}
		for _, centre := range []Point{{0, 0}, {180, 85}} {
			d := NewProjection(centre).Draw(c, frame, 1)
			for _, rings := range d.Land {
				for _, r := range rings {
					inFrame(t, r, frame)
				}
			}
		}
		var first, second bytes.Buffer
		if err := c.Write(&first); err != nil {
			t.Fatalf("cannot write what was read: %v", err)
		}
		again, warnings, err := Read("g", bytes.NewReader(first.Bytes()))
		if err != nil || len(warnings) > 0 {
			t.Fatalf("cannot read what was written: %v, %v\n%s", err, warnings, &first)
		}
		for _, feature := range again.Features {
			rightHanded(t, text, feature.Geometry)
		}
		if err := again.Write(&second); err != nil || len(again.Features) != len(c.Features) {
			t.Fatalf("%v, %d features of %d", err, len(again.Features), len(c.Features))
		}
	})
}

func fuzzedErrors(t *testing.T, text string, err error) {
	t.Helper()
	var list Errors
	if !errors.As(err, &list) || len(list) == 0 || len(list) > MostErrors {
		t.Fatalf("%v", err)
	}
	for _, e := range list {
		if e.Message == "" || e.Remedy == "" || e.Line < 0 || e.Line > strings.Count(text, "\n")+1 || strings.ContainsAny(e.Error(), "\x1b\r\n") {
			t.Errorf("%+v", e)
		}
	}
}

func inFrame(t *testing.T, r []XY, f Frame) {
	t.Helper()
	for _, q := range r {
		if !f.Wider(1e-6).holds(q) || math.IsNaN(q[0]+q[1]) {
			t.Fatalf("%v lies outside the frame", q)
		}
	}
}
