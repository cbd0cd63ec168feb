package geo

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
)

// object collects the places of the members of an object, and of those that
// the reader acts upon each name once: which of two is meant cannot be known.
func (r *reader) object(at int, acted ...string) (map[string]int, bool) {
	if r.text[at] != '{' {
		r.fail(at, r.text.kind(at)+" where an object of GeoJSON belongs", "give a FeatureCollection, a Feature or a geometry")
		return nil, false
	}
	places := map[string]int{}
	for name, value := range r.text.members(at) {
		if _, twice := places[name]; twice && slices.Contains(acted, name) {
			r.enter(name)
			r.fail(value, "an object has this member twice", "keep the one that is meant")
			r.leave()
			return nil, false
		}
		places[name] = value
	}
	return places, true
}

// typeOf returns the type that an object says it is.
func (r *reader) typeOf(at int, members map[string]int) (string, bool) {
	value, given := members["type"]
	if !given {
		r.fail(at, `no member "type"`, "GeoJSON names the type of every object; other kinds of JSON must be converted")
		return "", false
	}
	if r.text[value] != '"' {
		r.enter("type")
		r.fail(value, r.text.kind(value)+" where the name of a type belongs", `write a type such as "Polygon"`)
		r.leave()
		return "", false
	}
	return r.text.string(value), true
}

// collection reads the text as a whole.
func (r *reader) collection(at int) *FeatureCollection {
	members, ok := r.object(at, "type", "features", "crs")
	if !ok {
		return nil
	}
	kind, ok := r.typeOf(at, members)
	if !ok || !r.reference(members) {
		return nil
	}
	switch kind {
	case "FeatureCollection":
		return r.features(at, members)
	case "Feature":
		return &FeatureCollection{Features: []Feature{r.feature(at)}}
	}
	return &FeatureCollection{Features: []Feature{{Geometry: r.geometry(at)}}}
}

func (r *reader) features(at int, members map[string]int) *FeatureCollection {
	c := &FeatureCollection{}
	list, given := members["features"]
	if !given {
		r.fail(at, `no member "features"`, "a FeatureCollection lists its features there")
		return c
	}
	r.enter("features")
	defer r.leave()
	if r.text[list] != '[' {
		r.fail(list, r.text.kind(list)+" where a list of features belongs", "write the features between [ and ]")
		return c
	}
	for i, value := range r.text.elements(list) {
		r.item(i)
		c.Features = append(c.Features, r.feature(value))
		r.leave()
		if r.full() {
			return c
		}
	}
	c.Members = r.properties(at, "type", "features", "crs", "bbox")
	return c
}

func (r *reader) feature(at int) Feature {
	members, ok := r.object(at, "type", "geometry", "properties", "id")
	if !ok {
		return Feature{}
	}
	kind, ok := r.typeOf(at, members)
	if !ok {
		return Feature{}
	}
	if kind != "Feature" {
		r.fail(members["type"], "a FeatureCollection holds objects of the type Feature alone", "wrap a geometry as the geometry of a Feature")
		return Feature{}
	}
	var f Feature
	if id, given := members["id"]; given && r.text[id] != 'n' {
		f.ID = r.id(id)
	}
	if list, given := members["properties"]; given && r.text[list] == '{' {
		f.Properties = r.properties(list)
	}
	if g, given := members["geometry"]; given && r.text[g] != 'n' {
		r.enter("geometry")
		f.Geometry = r.geometry(g)
		r.leave()
	}
	return f
}

// id returns text or number as text.
func (r *reader) id(at int) string {
	if r.text[at] == '"' {
		return r.text.string(at)
	}
	return string(r.text[at:r.text.end(at)])
}

// properties decodes the members of an object in their order, the last of two
// of one name.
func (r *reader) properties(at int, without ...string) (list []Property) {
	known := map[string]int{}
	for name, value := range r.text.members(at) {
		if slices.Contains(without, name) {
			continue
		}
		var v any
		if err := json.Unmarshal(r.text[value:r.text.end(value)], &v); err != nil { // a number beyond the largest
			r.enter(name)
			r.fail(value, "a number that is too large", "write a smaller one, or text")
			r.leave()
		}
		if i, twice := known[name]; twice {
			list[i].Value = v
			continue
		}
		known[name] = len(list)
		list = append(list, Property{name, v})
	}
	return list
}

// reference judges the member crs of GeoJSON before RFC 7946 (section 4): it
// may name what is the rule since.
func (r *reader) reference(members map[string]int) bool {
	at, given := members["crs"]
	if !given {
		return true
	}
	r.enter("crs")
	defer r.leave()
	raw := strings.ToUpper(string(r.text[at:r.text.end(at)]))
	switch {
	case strings.Contains(raw, "CRS84\""):
		return true
	case r.text[at] == 'n', strings.Contains(raw, "EPSG:4326\""), strings.Contains(raw, "EPSG::4326\""):
		r.doubt(at, OldReference, fmt.Sprintf("%s is taken for longitude and latitude on WGS 84, in this order", shown(r.text[at:r.text.end(at)])), "leave crs out, RFC 7946 does without it")
		return true
	}
	r.fail(at, "the coordinates are in another reference system than WGS 84", "convert the file to longitude and latitude on WGS 84, and leave crs out")
	return false
}
