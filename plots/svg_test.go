package plots

import (
	"bytes"
	"encoding/xml"
	"errors"
	"flag"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/plot/vg"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// file writes the figure or fails the test.
func file(t *testing.T, f Figure, format Format) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, f, format); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func svg(t *testing.T, f Figure) string {
	t.Helper()
	return string(file(t, f, InlineSVG))
}

var (
	tag           = regexp.MustCompile(`<[^>]*>`)
	decimalNumber = regexp.MustCompile(`-?\d+\.\d+`)
)

// rounded rounds the numbers inside tags to one decimal, so that the last bits
// of a processor's arithmetic do not matter; text stays as it is.
func rounded(doc string) string {
	return tag.ReplaceAllStringFunc(doc, func(s string) string {
		return decimalNumber.ReplaceAllStringFunc(s, func(n string) string {
			v, err := strconv.ParseFloat(n, 64)
			if err != nil {
				return n
			}
			return strconv.FormatFloat(v, 'f', 1, 64)
		})
	})
}

var goldens = []string{
	"ordinary", "band", "unbounded", "separated", "six-decades", "twelve-decades", "just-beyond", "all-far-above", "far-below",
	"crowded-left", "on-point", "set-3", "set-12", "set-0-100", "scale", "scale-0-100", "residuals", "forest", "mixture", "density", "timeline",
	"map", "map-exact", "survivors-two", "trend", "times-column",
}

func TestGolden(t *testing.T) {
	for _, name := range goldens {
		got := rounded(svg(t, figures()[name]))
		file := filepath.Join("testdata", name+".golden")
		if *update {
			if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if got != string(want) {
			t.Errorf("%s differs from %s at %s; look at the figure, then run go test -update", name, file, difference(got, string(want)))
		}
	}
}

// difference names the first line that differs.
func difference(got, want string) string {
	g, w := strings.Split(got, "\n"), strings.Split(want, "\n")
	for i := range min(len(g), len(w)) {
		if g[i] != w[i] {
			return "line " + strconv.Itoa(i+1) + ":\n\tgot  " + g[i] + "\n\twant " + w[i]
		}
	}
	return "its end"
}

func TestSameValueSameBytes(t *testing.T) {
	first, second := figures(), figures()
	for name := range first {
		for _, format := range []Format{SVG, PDF} {
			if !bytes.Equal(file(t, first[name], format), file(t, second[name], format)) {
				t.Errorf("%s: drawn twice, the bytes of the %v differ", name, format)
			}
		}
	}
	for _, name := range []string{"ordinary", "set-3", "forest"} { // a picture takes long
		if !bytes.Equal(file(t, first[name], PNG), file(t, second[name], PNG)) {
			t.Errorf("%s: drawn twice, the bytes of the PNG differ", name)
		}
	}
}

// element is an SVG element as encoding/xml sees it.
type element struct {
	name, text string
	attr       map[string]string
}

// parse reads a whole document and returns its elements, or fails the test.
func parse(t *testing.T, doc string) []element {
	t.Helper()
	var out []element
	var open []int
	d := xml.NewDecoder(strings.NewReader(doc))
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return out
		}
		if err != nil {
			t.Fatalf("not well-formed: %v", err)
		}
		switch k := token.(type) {
		case xml.StartElement:
			e := element{name: k.Name.Local, attr: map[string]string{}}
			for _, a := range k.Attr {
				e.attr[a.Name.Local] = a.Value
			}
			open = append(open, len(out))
			out = append(out, e)
		case xml.CharData:
			if len(open) > 0 {
				out[open[len(open)-1]].text += string(k)
			}
		case xml.EndElement:
			open = open[:len(open)-1]
		case xml.ProcInst, xml.Directive, xml.Comment:
			t.Fatalf("unexpected %T in a figure that goes into HTML", token)
		}
	}
}

func TestEveryFigureIsWellFormedAndNamed(t *testing.T) {
	known := map[string]bool{"svg": true, "title": true, "desc": true, "style": true, "path": true, "text": true}
	for name, f := range figures() {
		doc := string(file(t, f, SVG))
		if strings.Contains(doc, "NaN") || strings.Contains(doc, "Inf") {
			t.Errorf("%s: a coordinate is not finite", name)
		}
		short, long := f.words()
		elements := parse(t, doc)
		if e := elements[0]; e.name != "svg" || e.attr["role"] != "img" || e.attr["font-family"] != FontList {
			t.Errorf("%s: first element %+v, want svg with role img", name, e)
		}
		if elements[1].name != "title" || elements[1].text != short || short == "" {
			t.Errorf("%s: second element %+v, want the title", name, elements[1])
		}
		if elements[2].name != "desc" || elements[2].text != long || long == "" {
			t.Errorf("%s: third element %+v, want the description", name, elements[2])
		}
		for _, e := range elements {
			if !known[e.name] {
				t.Errorf("%s: element %q", name, e.name)
			}
		}
	}
}

// Every user's text appears as text, character for character.
func TestHostileTextStaysText(t *testing.T) {
	shown := map[string]bool{}
	for _, e := range parse(t, svg(t, curves()["hostile"])) {
		if e.name == "text" {
			shown[e.text] = true
		}
	}
	for _, want := range []string{`<script>&"'`, `</title><text x="1"/>`, "a\ufffdb c\ufffd]]>"} {
		if !shown[want] {
			t.Errorf("%q is not among the texts %v", want, shown)
		}
	}
}

// Each text carries the width that it was laid out with.
func TestTextLengths(t *testing.T) {
	for _, e := range parse(t, svg(t, ordinary())) {
		if e.name != "text" || e.text != "Apiary 14, spring 2031" {
			continue
		}
		got, err := strconv.ParseFloat(e.attr["textLength"], 64)
		want := float64(width(face(titleSize, true), e.text))
		if err != nil || got < want-0.01 || got > want+0.01 {
			t.Errorf("textLength %q, want %.2f", e.attr["textLength"], want)
		}
		if a, ok := e.attr["text-anchor"]; ok {
			t.Errorf("the title has text-anchor %q, want none", a)
		}
		return
	}
	t.Error("the title is not drawn")
}

// Texts that are centred or end at a place stay so in any font: the reader
// aligns them.
func TestTextAnchors(t *testing.T) {
	_, l, err := ordinary().arrange()
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]struct {
		anchor string
		x      vg.Length
	}{
		"25":      {"end", l.frame.axis - tickLength - 1},
		"control": {"middle", l.frame.control},
		"0.5":     {"middle", l.frame.x(math.Log10(0.5))},
	}
	const tolerance = 0.01 // of a point; the file has five digits
	seen := 0
	for _, e := range parse(t, svg(t, ordinary())) {
		w, ok := want[e.text]
		if !ok || e.name != "text" {
			continue
		}
		seen++
		x, err := strconv.ParseFloat(e.attr["x"], 64)
		if err != nil || e.attr["text-anchor"] != w.anchor || math.Abs(x-float64(w.x)) > tolerance {
			t.Errorf("%q: text-anchor %q at %s, want %q at %.2f", e.text, e.attr["text-anchor"], e.attr["x"], w.anchor, w.x)
		}
	}
	if seen != len(want) {
		t.Errorf("%d of the %d texts are drawn", seen, len(want))
	}
}

func TestWhatCannotBeDrawn(t *testing.T) {
	for want, change := range map[string]func(*Curve){
		"point 2: concentration -1":   func(c *Curve) { c.Points[1].Concentration = -1 },
		"point 1: concentration NaN":  func(c *Curve) { c.Points[0].Concentration = nan },
		"point 3: concentration +Inf": func(c *Curve) { c.Points[2].Concentration = inf },
		"41 dead of 40 exposed":       func(c *Curve) { c.Points[1].Dead = 41 },
		"-1 dead of 40 exposed":       func(c *Curve) { c.Points[1].Dead = -1 },
		"natural mortality 5":         func(c *Curve) { c.NaturalMortality = 5 },
		"LC50 -1":                     func(c *Curve) { c.LC50 = -1 },
		"LC50 +Inf":                   func(c *Curve) { c.LC50 = inf },
		"limits 3 to 2":               func(c *Curve) { c.Lower, c.Upper = 3, 2 },
		"bracket 2 to 1":              func(c *Curve) { c.Bracket = [2]float64{2, 1} },
		"bracket NaN to 1":            func(c *Curve) { c.Bracket = [2]float64{nan, 1} },
		"20 mm wide and 70 mm high":   func(c *Curve) { c.Width = 20 * vg.Millimeter },
		"85 mm wide and 30 mm high":   func(c *Curve) { c.Height = 30 * vg.Millimeter },
		"-85 mm wide":                 func(c *Curve) { c.Width = -85 * vg.Millimeter },
	} {
		var b bytes.Buffer
		err := Write(&b, with(ordinary(), change), SVG)
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("error %v, want one with %q", err, want)
		}
		if b.Len() > 0 {
			t.Errorf("%s: %d bytes written before the error", want, b.Len())
		}
	}
}

// full is a writer without room.
type full struct{}

var errFull = errors.New("disk full")

func (full) Write([]byte) (int, error) { return 0, errFull }

func TestWriteErrorIsPassedOn(t *testing.T) {
	if err := Write(full{}, ordinary(), SVG); !errors.Is(err, errFull) {
		t.Errorf("error %v, want %v", err, errFull)
	}
}

func BenchmarkWrite(b *testing.B) {
	c := ordinary()
	for _, format := range []Format{SVG, InlineSVG, PDF, PNG} {
		b.Run(format.String(), func(b *testing.B) {
			for b.Loop() {
				if err := Write(io.Discard, c, format); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
