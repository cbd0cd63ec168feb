package geo

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
)

// Write writes a collection as GeoJSON (RFC 7946), a feature a line, and the
// same bytes for the same collection: first the type, the members and the
// bounding box, then the features, everything in the order given. Coordinates
// have six decimals at most. Rings are closed and follow the right-hand rule,
// and what crosses the antimeridian is cut there; sides are taken to go the
// shorter way around the globe. A ring that six decimals leave no area is left
// out.
//
// It fails on a coordinate that is no place, on a ring of fewer than four
// points, and on a property that JSON cannot hold.
func (c *FeatureCollection) Write(w io.Writer) error {
	var b bytes.Buffer
	b.WriteString(`{"type":"FeatureCollection",`)
	for _, m := range c.Members {
		if slices.Contains([]string{"type", "features", "bbox", "crs", "coordinates", "geometries", "geometry", "properties"}, m.Name) {
			panic("geo: " + m.Name + " is no foreign member of a FeatureCollection")
		}
		if err := property(&b, m); err != nil {
			return err
		}
		b.WriteByte(',')
	}
	cut := make([]Geometry, len(c.Features))
	for i, f := range c.Features {
		if err := f.Geometry.check(); err != nil {
			return fmt.Errorf("features[%d].%w", i, err)
		}
		cut[i] = f.Geometry.cut()
	}
	if box, ok := boxOf(cut); ok {
		fmt.Fprintf(&b, `"bbox":[%s,%s,%s,%s],`, number(box[0]), number(box[1]), number(box[2]), number(box[3]))
	}
	b.WriteString(`"features":[`)
	for i, f := range c.Features {
		if i > 0 {
			b.WriteByte(',')
		}
		b.WriteByte('\n')
		if err := f.write(&b, cut[i]); err != nil {
			return fmt.Errorf("features[%d].%w", i, err)
		}
	}
	b.WriteString("\n]}\n")
	_, err := b.WriteTo(w)
	return err
}

func (f Feature) write(b *bytes.Buffer, cut Geometry) error {
	b.WriteString(`{"type":"Feature",`)
	if f.ID != "" {
		if err := property(b, Property{"id", f.ID}); err != nil {
			return err
		}
		b.WriteByte(',')
	}
	b.WriteString(`"properties":{`)
	for i, p := range f.Properties {
		if i > 0 {
			b.WriteByte(',')
		}
		if err := property(b, p); err != nil {
			return err
		}
	}
	b.WriteString(`},"geometry":`)
	cut.write(b)
	b.WriteByte('}')
	return nil
}

func property(b *bytes.Buffer, p Property) error {
	value := p.Value
	if v, ok := value.(float64); ok && (math.IsNaN(v) || math.IsInf(v, 0)) {
		value = nil
	}
	for i, part := range [...]any{p.Name, value} {
		var one bytes.Buffer
		encoder := json.NewEncoder(&one)
		encoder.SetEscapeHTML(false)
		if err := encoder.Encode(part); err != nil {
			return fmt.Errorf("%s: JSON cannot hold this value: %w", strconv.Quote(p.Name), err)
		}
		b.Write(bytes.TrimSuffix(one.Bytes(), []byte{'\n'}))
		if i == 0 {
			b.WriteByte(':')
		}
	}
	return nil
}

// check says which coordinates are no place, by their path.
func (g Geometry) check() error {
	points := func(path string, list []Point) error {
		for i, q := range list {
			if !(math.Abs(q.Lon) <= 180 && math.Abs(q.Lat) <= 90) {
				return fmt.Errorf("geometry%s[%d]: longitude %v, latitude %v is no place; longitudes go from -180 to 180, latitudes from -90 to 90", path, i, q.Lon, q.Lat)
			}
		}
		return nil
	}
	var first error
	keep := func(err error) {
		if first == nil {
			first = err
		}
	}
	g.each(func(g *Geometry) {
		keep(points(".points", g.Points))
		for i, line := range g.Lines {
			keep(points(fmt.Sprintf(".lines[%d]", i), line))
		}
		for i, p := range g.Polygons {
			for j, ring := range p {
				path := fmt.Sprintf(".polygons[%d][%d]", i, j)
				keep(points(path, ring))
				if len(ring) < 4 || ring[0] != ring[len(ring)-1] {
					keep(fmt.Errorf("geometry%s: a ring of %d points that is not closed or too short; it needs four, the last of which repeats the first", path, len(ring)))
				}
			}
		}
	})
	return first
}
