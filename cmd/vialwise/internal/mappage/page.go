// Package mappage writes the map of a region as one page of HTML that needs no
// network: the areas of every acaricide and season, a table of the same facts,
// and a short script that changes between them. Without scripts the page shows
// one acaricide and season.
//
// The package draws what it is given and knows nothing of apiaries.
package mappage

import (
	"bytes"
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"html/template"
	"io"
	"math"
	"strconv"
	"strings"
)

//go:embed page.tmpl
var pageText string

//go:embed style.css
var styleText string

//go:embed script.js
var scriptText string

var pageTemplate = template.Must(template.New("map").Funcs(template.FuncMap{"number": func(class int) int { return class + 1 }}).Parse(pageText))

// Page is a map before it is written.
type Page struct {
	Title, Lead   string
	Mark          string // a remark on everything, such as "Invented data."
	NotForSharing bool   // it holds exact places
	Version       string
	Frame         Frame
	Land          []Path // filled, holes as further rings of one path
	Shores        []Path // outlines of the land
	Lines         []Path // boundaries
	Areas         []Area
	Points        []Point // only of an exact map
	Acaricides    []string
	Seasons       []string
	Classes       []Class
	Facts         [][][]Fact // by acaricide and season, only of areas that are shown, by rising area
	Few           string     // what an area without facts is called
	Level         string     // of the limits, such as "95 %"
	ScaleKM       float64
	Projection    string
	Baselines     []string // by acaricide: what ratios are against
	Notes         []string // a paragraph each
	Links         []Link
}

// Frame is the rectangle of the plane that the map shows, in km.
type Frame struct{ West, South, East, North float64 }

// Path is one or more rings or lines in the plane, x east and y north in km.
type Path [][][2]float64

// Area is a part of the region.
type Area struct {
	ID   string
	Name string // in words
	Path Path
}

// Point is an apiary at its exact place.
type Point struct {
	X, Y float64
	Name string
}

// Class is a band of the resistance ratio with its colour on the map.
type Class struct{ Name, Colour string }

// Link leads to a file beside the page.
type Link struct{ File, Name string }

// Certainty is how sure the class of an area is.
type Certainty uint8

// The degrees of certainty.
const (
	Unsure Certainty = iota
	Likely
	Clear
)

var certaintyWords = [...]string{Unsure: "unsure", Likely: "likely", Clear: "clear"}

// String returns the word for the degree.
func (c Certainty) String() string { return certaintyWords[c] }

// Fact is what is known of one area. What does not exist is NaN.
type Fact struct {
	Area                int // position among Page.Areas
	Apiaries            int
	Ratio, Lower, Upper float64
	Class               int // likeliest one, position among Page.Classes
	Certainty           Certainty
	Shares              []float64 // of the apiaries in each class
}

// Write writes the page. It fails on facts that fit no area, class or season.
func (p *Page) Write(w io.Writer) error {
	if err := p.check(); err != nil {
		return err
	}
	v, err := p.view()
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := pageTemplate.Execute(&b, v); err != nil {
		return fmt.Errorf("the map: %w", err)
	}
	_, err = w.Write(b.Bytes())
	return err
}

func (p *Page) check() error {
	if len(p.Acaricides) == 0 || len(p.Seasons) == 0 || len(p.Areas) == 0 {
		return fmt.Errorf("the map has no acaricide, season or area to show")
	}
	if len(p.Facts) != len(p.Acaricides) || len(p.Baselines) != len(p.Acaricides) {
		panic("mappage: facts or baselines do not match the acaricides")
	}
	for _, seasons := range p.Facts {
		if len(seasons) != len(p.Seasons) {
			panic("mappage: facts do not match the seasons")
		}
		for _, facts := range seasons {
			for _, f := range facts {
				if f.Area < 0 || f.Area >= len(p.Areas) || f.Class < 0 || f.Class >= len(p.Classes) || len(f.Shares) != len(p.Classes) {
					panic("mappage: a fact of no area or class")
				}
			}
		}
	}
	return nil
}

// view is what the template shows.
type view struct {
	*Page
	Style         template.CSS
	Script        template.JS
	Data          template.JS
	Policy        string
	ViewBox       string
	LandPath      string
	ShorePath     string
	LinePath      string
	Shapes        []shape
	Dots          []dot
	First         int    // acaricide shown without scripts
	Last          int    // season likewise
	LastSeason    int    // of all
	Unit          string // of hatching, in km
	Rows          []row
	Scale         scale
	Width, Height float64
	Baseline      string
	Summary       string
}

// shape is an area with the number of its class, blank without facts, in its middle.
type shape struct{ D, Class, Name, Number, X, Y, Size string }

type dot struct{ X, Y, R, Name string }

type row struct{ Name, Apiaries, Ratio, Class, Certainty, Shares string }

type scale struct{ X1, X2, Y, Text string }

func (p *Page) view() (*view, error) {
	data, err := p.data()
	if err != nil {
		return nil, err
	}
	hash := sha256.Sum256([]byte(scriptText))
	v := &view{
		Page: p, Style: template.CSS(p.colours() + styleText), Script: template.JS(scriptText), Data: template.JS(data),
		Policy: "default-src 'none'; style-src 'unsafe-inline'; script-src 'sha256-" + base64.StdEncoding.EncodeToString(hash[:]) + "'",
		Width:  p.Frame.East - p.Frame.West, Height: p.Frame.North - p.Frame.South,
		First: p.fullestAcaricide(), LastSeason: len(p.Seasons) - 1,
	}
	v.Last = p.newestSeason(v.First)
	v.ViewBox = fmt.Sprintf("0 0 %s %s", km(v.Width), km(v.Height))
	v.LandPath, v.ShorePath, v.LinePath = p.paths(p.Land, true), p.paths(p.Shores, false), p.paths(p.Lines, false)
	v.Unit = km(v.Width / 900)
	v.Baseline = p.Baselines[v.First]
	facts := p.Facts[v.First][v.Last]
	v.Shapes, v.Rows = p.shapes(facts), p.rows(facts)
	v.Summary = p.summary(facts)
	for _, d := range p.Points {
		v.Dots = append(v.Dots, dot{km(d.X - p.Frame.West), km(p.Frame.North - d.Y), km(v.Width / 200), d.Name})
	}
	v.Scale = p.scale(v)
	return v, nil
}

// fullestAcaricide is the one that shows the most areas in its newest season.
func (p *Page) fullestAcaricide() (first int) {
	most := -1
	for i, seasons := range p.Facts {
		if n := len(seasons[p.newestSeason(i)]); n > most {
			first, most = i, n
		}
	}
	return first
}

// newestSeason is the last one that has a fact, the last of all without any.
func (p *Page) newestSeason(acaricide int) int {
	for s := len(p.Seasons) - 1; s >= 0; s-- {
		if len(p.Facts[acaricide][s]) > 0 {
			return s
		}
	}
	return len(p.Seasons) - 1
}

// colours makes a rule for each class.
func (p *Page) colours() string {
	var b strings.Builder
	for i, c := range p.Classes {
		fmt.Fprintf(&b, ".c%d{fill:%s}.k%d{background:%[2]s}", i, c.Colour, i)
	}
	return b.String()
}

// km writes a distance in the plane, with a metre's detail.
func km(x float64) string { return strconv.FormatFloat(math.Round(x*1000)/1000, 'f', -1, 64) }

// paths writes paths as those of SVG, y downwards from the north of the frame.
func (p *Page) paths(list []Path, closed bool) string {
	var b strings.Builder
	for _, path := range list {
		p.path(&b, path, closed)
	}
	return b.String()
}

func (p *Page) path(b *strings.Builder, path Path, closed bool) {
	for _, ring := range path {
		for i, at := range ring {
			b.WriteByte("ML"[min(i, 1)])
			b.WriteString(coarse(at[0] - p.Frame.West))
			b.WriteByte(' ')
			b.WriteString(coarse(p.Frame.North - at[1]))
		}
		if closed {
			b.WriteByte('Z')
		}
	}
}

// coarse writes a distance for drawing, where ten metres do.
func coarse(x float64) string { return strconv.FormatFloat(math.Round(x*100)/100, 'f', -1, 64) }

// shapes draws the areas as the script will, for readers without scripts.
func (p *Page) shapes(facts []Fact) []shape {
	class, number := make([]string, len(p.Areas)), make([]string, len(p.Areas))
	for i := range class {
		class[i] = "few"
	}
	for _, f := range facts {
		class[f.Area], number[f.Area] = fmt.Sprintf("c%d %s", f.Class, f.Certainty), strconv.Itoa(f.Class+1)
	}
	out := make([]shape, len(p.Areas))
	for i, a := range p.Areas {
		var b strings.Builder
		p.path(&b, a.Path, true)
		x, y, size := p.middle(a.Path)
		out[i] = shape{b.String(), class[i], a.Name, number[i], x, y, size}
	}
	return out
}

// middle is where the number of an area stands, and its size: that of the text of
// the page where the map is 600 px wide, less in a small area.
func (p *Page) middle(path Path) (x, y, size string) {
	west, south, east, north := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, ring := range path {
		for _, at := range ring {
			west, east = min(west, at[0]), max(east, at[0])
			south, north = min(south, at[1]), max(north, at[1])
		}
	}
	return coarse((west+east)/2 - p.Frame.West), coarse(p.Frame.North - (south+north)/2), coarse(min((p.Frame.East-p.Frame.West)/32, (north-south)*0.7))
}

func (p *Page) rows(facts []Fact) []row {
	out := make([]row, len(facts))
	for i, f := range facts {
		ratio := significant(f.Ratio)
		if !math.IsNaN(f.Lower) && !math.IsNaN(f.Upper) {
			ratio += " (" + significant(f.Lower) + "–" + significant(f.Upper) + ")"
		}
		var shares []string
		for k, share := range f.Shares {
			shares = append(shares, fmt.Sprintf("%s %.0f %%", p.Classes[k].Name, 100*share))
		}
		out[i] = row{p.Areas[f.Area].Name, strconv.Itoa(f.Apiaries), ratio, p.Classes[f.Class].Name, f.Certainty.String(), strings.Join(shares, ", ")}
	}
	return out
}

// summary says how many areas are shown, and of which class.
func (p *Page) summary(facts []Fact) string {
	counts := make([]int, len(p.Classes))
	for _, f := range facts {
		counts[f.Class]++
	}
	var words []string
	for i, n := range counts {
		words = append(words, fmt.Sprintf("%s in %d", p.Classes[i].Name, n))
	}
	return fmt.Sprintf("%d of %d areas are shown: %s.", len(facts), len(p.Areas), strings.Join(words, ", "))
}

// significant writes a ratio with three digits.
func significant(x float64) string {
	switch {
	case math.IsNaN(x):
		return "–"
	case math.IsInf(x, 1):
		return "∞"
	case x == 0:
		return "0"
	}
	rounded, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'e', 2, 64), 64)
	return strconv.FormatFloat(rounded, 'f', max(0, 2-int(math.Floor(math.Log10(math.Abs(rounded))+1e-12))), 64)
}

func (p *Page) scale(v *view) scale {
	if p.ScaleKM <= 0 {
		return scale{}
	}
	left, y := v.Width*0.03, v.Height*0.965
	return scale{km(left), km(left + p.ScaleKM), km(y), fmt.Sprintf("%g km", p.ScaleKM)}
}

// data is what the script reads: names once, and facts as short lists.
func (p *Page) data() (string, error) {
	type facts struct {
		Areas      []string    `json:"areas"`
		Acaricides []string    `json:"acaricides"`
		Baselines  []string    `json:"baselines"`
		Seasons    []string    `json:"seasons"`
		Classes    []string    `json:"classes"`
		Certainty  []string    `json:"certainty"`
		Few        string      `json:"few"`
		Facts      [][][][]any `json:"facts"`
	}
	out := facts{Acaricides: p.Acaricides, Baselines: p.Baselines, Seasons: p.Seasons, Certainty: certaintyWords[:], Few: p.Few}
	for _, a := range p.Areas {
		out.Areas = append(out.Areas, a.Name)
	}
	for _, c := range p.Classes {
		out.Classes = append(out.Classes, c.Name)
	}
	for _, seasons := range p.Facts {
		byseason := [][][]any{}
		for _, list := range seasons {
			short := [][]any{}
			for _, f := range list {
				short = append(short, f.short())
			}
			byseason = append(byseason, short)
		}
		out.Facts = append(out.Facts, byseason)
	}
	b, err := json.Marshal(out) // which escapes < and >
	return string(b), err
}

// short is a fact as a list: area, apiaries, ratio and limits as written for
// people, class, certainty, shares in per cent.
func (f Fact) short() []any {
	limits := [2]any{nil, nil}
	if !math.IsNaN(f.Lower) && !math.IsNaN(f.Upper) {
		limits = [2]any{significant(f.Lower), significant(f.Upper)}
	}
	list := []any{f.Area, f.Apiaries, significant(f.Ratio), limits[0], limits[1], f.Class, int(f.Certainty)}
	for _, share := range f.Shares {
		list = append(list, math.Round(100*share))
	}
	return list
}
