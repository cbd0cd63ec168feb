package shore

import (
	"bytes"
	"encoding/json"
)

// feature is a Feature of RFC 7946 (section 3.2).
type feature struct {
	Type       string     `json:"type"`
	Properties properties `json:"properties"`
	Geometry   geometry   `json:"geometry"`
}

// properties say of every feature that it was invented.
type properties struct {
	Name string `json:"name"`
	Kind string `json:"kind"` // land or boundary
	Note string `json:"note"`
}

type geometry struct {
	Type        string `json:"type"`
	Coordinates any    `json:"coordinates"`
}

type position [2]float64 // longitude before latitude, RFC 7946 section 3.1.1

// GeoJSON writes the land as a FeatureCollection of RFC 7946, one feature a
// line: a Polygon for the mainland and each island, their rings
// counterclockwise and closed (section 3.1.6), and a LineString for each
// boundary.
func (l Land) GeoJSON() []byte {
	features := []feature{land("Ostrelaine", l.Mainland)}
	for _, island := range l.Islands {
		features = append(features, land("island of "+island.Name, island.Outline))
	}
	for _, b := range l.Boundaries {
		features = append(features, feature{"Feature", properties{b.Name, "boundary", note}, geometry{"LineString", positions(b.Line)}})
	}
	var out bytes.Buffer
	out.WriteString("{\"type\":\"FeatureCollection\",\"features\":[")
	for i, f := range features {
		if i > 0 {
			out.WriteByte(',')
		}
		text, err := json.Marshal(f)
		if err != nil {
			panic(err) // only a number that JSON lacks
		}
		out.WriteByte('\n')
		out.Write(text)
	}
	out.WriteString("\n]}\n")
	return out.Bytes()
}

const note = "invented data"

func land(name string, outline Ring) feature {
	return feature{"Feature", properties{name, "land", note}, geometry{"Polygon", [][]position{positions(closed(outline))}}}
}

func positions(line []Point) (out []position) {
	for _, p := range line {
		out = append(out, position{p.Longitude, p.Latitude})
	}
	return out
}
