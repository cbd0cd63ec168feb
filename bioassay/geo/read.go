package geo

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"

	"vialwise/bioassay"
)

// LargestFile is the size in bytes beyond which a file is refused. It holds
// about four million points, far more than a map can show.
const LargestFile = 128 << 20

// Read reads GeoJSON (RFC 7946): a FeatureCollection, a Feature or a geometry;
// the latter two make a collection of one feature. Heights, bounding boxes and
// foreign members of features are passed over. Rings may run either way, as
// section 3.1.6 asks of readers; an open ring is closed, with a warning.
//
// The error is of type Errors, each with line, column and its place in the
// structure.
func Read(file string, from io.Reader) (*FeatureCollection, []bioassay.Warning, error) {
	r := &reader{file: file, doubts: map[bioassay.WarningCode]int{}}
	data, err := io.ReadAll(io.LimitReader(from, LargestFile+1))
	if err != nil {
		return nil, nil, Errors{{File: file, Message: "cannot be read: " + err.Error(), Remedy: "check that the file is complete and may be read"}}
	}
	r.text = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	var c *FeatureCollection
	if r.usable() {
		c = r.collection(r.text.space(0))
	}
	if len(r.errs) > 0 {
		return nil, nil, r.errs
	}
	return c, r.finish(), nil
}

// reader walks through one file.
type reader struct {
	file     string
	text     text
	path     []step // from the top to what is read now
	errs     Errors
	warnings []bioassay.Warning
	doubts   map[bioassay.WarningCode]int // how often each was met
	nesting  int                          // of geometry collections
}

// step is one step of a path: a member of an object or an element of a list.
type step struct {
	name  string
	index int
}

func (r *reader) enter(name string) { r.path = append(r.path, step{name, -1}) }
func (r *reader) item(index int)    { r.path = append(r.path, step{"", index}) }
func (r *reader) leave()            { r.path = r.path[:len(r.path)-1] }

// where returns the path in words.
func (r *reader) where() string {
	var b strings.Builder
	for i, s := range r.path {
		switch {
		case s.name == "":
			fmt.Fprintf(&b, "[%d]", s.index)
		case i > 0:
			b.WriteString("." + s.name)
		default:
			b.WriteString(s.name)
		}
	}
	return b.String()
}

// full reports whether so many errors are known that reading on is idle.
func (r *reader) full() bool { return len(r.errs) >= MostErrors }

// fail notes an error about the value at a place.
func (r *reader) fail(at int, message, remedy string) {
	if r.full() {
		return
	}
	e := &Error{File: r.file, Path: r.where(), Message: message, Remedy: remedy}
	e.Line, e.Column = lineOf(r.text, at)
	if at < len(r.text) {
		e.Found = shown(r.text[at:r.text.end(at)])
	}
	r.errs = append(r.errs, e)
}

// doubt notes a warning about a place, the first of its kind.
func (r *reader) doubt(at int, code bioassay.WarningCode, message, cure string) {
	if r.doubts[code]++; r.doubts[code] > 1 {
		return
	}
	line, _ := lineOf(r.text, at)
	w := bioassay.Warning{Code: code, Message: message, Cure: cure, Origin: bioassay.Origin{File: r.file, Line: line}}
	if path := r.where(); path != "" {
		w.Message = path + ": " + message
	}
	r.warnings = append(r.warnings, w)
}

// finish adds to each warning how often it was met.
func (r *reader) finish() []bioassay.Warning {
	for i := range r.warnings {
		if n := r.doubts[r.warnings[i].Code]; n > 1 {
			r.warnings[i].Message += fmt.Sprintf(" (and %d more like it)", n-1)
		}
	}
	return r.warnings
}

// usable reports whether the file is JSON at all, and says why it is not.
func (r *reader) usable() bool {
	whole := func(message, remedy string) bool {
		r.errs = Errors{{File: r.file, Message: message, Remedy: remedy}}
		return false
	}
	t := r.text
	switch {
	case len(t) > LargestFile:
		return whole(fmt.Sprintf("the file is larger than %d MB", LargestFile>>20), "leave out what lies outside the region, or simplify its lines")
	case bytes.HasPrefix(t, []byte("\xff\xfe")), bytes.HasPrefix(t, []byte("\xfe\xff")):
		return whole("the file is encoded in UTF-16", "save it as UTF-8")
	case bytes.HasPrefix(t, []byte("PK\x03\x04")), bytes.HasPrefix(t, []byte("\x1f\x8b")):
		return whole("the file is compressed", "unpack it first")
	case t.space(0) == len(t):
		return whole("the file is empty", "give a GeoJSON file")
	}
	var raw json.RawMessage
	err := json.Unmarshal(t, &raw)
	if err == nil {
		return true
	}
	at := len(t)
	var syntax *json.SyntaxError
	if errors.As(err, &syntax) {
		at = max(0, int(syntax.Offset)-1)
	}
	e := &Error{File: r.file}
	e.Line, e.Column = lineOf(t, at)
	e.Message, e.Remedy = r.notJSON(at, err)
	r.errs = Errors{e}
	return false
}

// notJSON says what is wrong with a text that encoding/json refuses at a byte.
func (r *reader) notJSON(at int, err error) (message, remedy string) {
	rest := r.text[min(at, len(r.text)):]
	for _, word := range [...]string{"NaN", "nan", "Infinity", "-Infinity", "inf"} {
		if bytes.HasPrefix(rest, []byte(word)) || at > 0 && bytes.HasPrefix(r.text[at-1:], []byte(word)) {
			return word + " is no number of JSON", "leave the point out, or give its coordinates"
		}
	}
	switch {
	case strings.Contains(err.Error(), "unexpected end"):
		return "the file ends in the middle of a value", "copy it again from its source, it is not complete"
	case strings.Contains(err.Error(), "max depth"):
		return "values are nested too deeply", "give a GeoJSON file, in which nothing lies deeper than a few levels"
	case strings.Contains(err.Error(), "after top-level value"):
		return "something follows the end of the GeoJSON text", "put all features into one FeatureCollection"
	}
	return "this is not JSON: " + printable(err.Error()), "write the file again as GeoJSON with the program that made it"
}
