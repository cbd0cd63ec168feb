package plots

import (
	"image/color"
	"math"
	"strconv"

	"gonum.org/v1/plot/vg"
)

// key explains the classes, the degrees of certainty and areas without enough
// results; what the map does not hold is left out.
func (m Map) key() []keyItem {
	var items []keyItem
	for i, class := range m.Classes {
		fill := classColour(i, len(m.Classes))
		items = append(items, keyItem{name: clean(class.Name), sample: func(p pen, x, y vg.Length) {
			areaInks{fill: fill}.draw(p, swatchShape(x, y))
			p.write(face(keySize, true), on(fill), x+keySwatch/2, y-keySize*0.36, atMiddle, strconv.Itoa(i+1))
		}})
	}
	for i := range mapCertaintyNames {
		if certainty := MapClear - MapCertainty(i); m.has(certainty) {
			k := inks(color.NRGBA{R: 0x70, G: 0x70, B: 0x70, A: 0xFF}, certainty)
			items = append(items, keyItem{name: "class " + certainty.String(), sample: func(p pen, x, y vg.Length) { k.draw(p, swatchShape(x, y)) }})
		}
	}
	if m.few() > 0 {
		items = append(items, keyItem{name: m.fewWords(), sample: func(p pen, x, y vg.Length) { drawFew(p, swatchShape(x, y)) }})
	}
	if len(m.Points) > 0 {
		items = append(items, keyItem{name: "apiary at its exact place", sample: func(p pen, x, y vg.Length) {
			p.disc(ink, vg.Point{X: x + keySwatch/2, Y: y}, placeDot)
		}})
	}
	return items
}

func (m Map) has(c MapCertainty) bool {
	for _, a := range m.Areas {
		if a.Status == MapShown && a.Certainty == c {
			return true
		}
	}
	return false
}

// swatchShape is the outline of a sample of an area.
func swatchShape(x, y vg.Length) []vg.Point {
	return corners(area{x, x + keySwatch, y - keyLeading*0.42, y + keyLeading*0.42})
}

// footerWords say how the map is to be read; small says that some areas have no
// room for their number.
func (m Map) footerWords(small bool) [][]string {
	how := []string{"Colour and number: likeliest class of " + lowerFirst(m.quantity()) + "."}
	for _, a := range m.Areas {
		if clean(a.Label) != "" {
			how = append(how, "Small number: apiaries with a result.")
			break
		}
	}
	if small {
		how = append(how, "Areas too small for a number: see the table.")
	}
	if m.few() > 0 {
		how = append(how, "White with dots: not known, which is not the same as no resistance.")
	}
	var where []string
	if s := clean(m.Projection); s != "" {
		where = append(where, "Projection: "+s+".")
	}
	if !m.steady() {
		where = append(where, "North is not everywhere up: it turns by "+digits(math.Round(m.North[1]-m.North[0]))+"° across the map.")
	}
	return [][]string{how, where}
}

// lowerFirst writes s as within a sentence, unless its first word is an
// abbreviation.
func lowerFirst(s string) string {
	r := []rune(s)
	if len(r) > 1 && r[1] >= 'a' && r[1] <= 'z' && r[0] >= 'A' && r[0] <= 'Z' {
		r[0] += 'a' - 'A'
	}
	return string(r)
}

// steady reports whether one arrow can show north.
func (m Map) steady() bool { return m.North[1]-m.North[0] <= steadyNorth }

// drawStrip draws the scale bar and the north arrow under the map.
func (m Map) drawStrip(p pen, f mapFrame) {
	middle := f.bottom - mapStrip/2
	length := vg.Length(m.scaleBar()) * f.perKM
	const half = 1.6
	x := f.left
	p.box(ink, x, middle-half, x+length/2, middle+half)
	p.outline(ink, hairline, corners(area{x, x + length, middle - half, middle + half})...)
	p.write(face(keySize, false), text, x+length+gap, middle-keySize*0.36, atStart, digits(m.scaleBar())+" km")
	if m.steady() {
		drawNorth(p, vg.Point{X: f.right - 8, Y: middle}, (m.North[0]+m.North[1])/2)
	}
}

// drawNorth draws a needle that points the given degrees clockwise from up, with
// its letter beside it.
func drawNorth(p pen, at vg.Point, degrees float64) {
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	turn := func(across, up float64) vg.Point {
		return vg.Point{X: at.X + vg.Length(across*cos+up*sin), Y: at.Y + vg.Length(up*cos-across*sin)}
	}
	p.shape(ink, turn(0, 7.5), turn(2.6, -6), turn(0, -3.5))
	p.outline(ink, hairline, turn(0, 7.5), turn(0, -3.5), turn(-2.6, -6))
	p.write(face(keySize, true), text, at.X-8, at.Y-keySize*0.36, atEnd, "N")
}

// shifted is a canvas with its origin moved.
type shifted struct {
	canvas
	by vg.Point
}

func (s shifted) stroke(p vg.Path, k stroke)    { s.canvas.stroke(s.path(p), k) }
func (s shifted) fill(p vg.Path, c color.NRGBA) { s.canvas.fill(s.path(p), c) }
func (s shifted) point(at vg.Point) vg.Point    { return vg.Point{X: at.X + s.by.X, Y: at.Y + s.by.Y} }
func (s shifted) write(l lettering)             { l.at = s.point(l.at); s.canvas.write(l) }

// path returns the path moved.
func (s shifted) path(p vg.Path) vg.Path {
	out := append(vg.Path(nil), p...)
	for i, k := range out {
		out[i].Pos = s.point(k.Pos)
		if len(k.Control) > 0 {
			out[i].Control = make([]vg.Point, len(k.Control))
			for j, c := range k.Control {
				out[i].Control[j] = s.point(c)
			}
		}
	}
	return out
}

// drawSharingBand draws a frame around the page that says on every side that the
// page is not for sharing.
func drawSharingBand(p pen, w, h vg.Length) {
	const b = sharingBand
	for _, a := range []area{{0, w, h - b, h}, {0, w, 0, b}, {0, b, b, h - b}, {w - b, w, b, h - b}} {
		p.box(warning, a.left, a.bottom, a.right, a.top)
	}
	f := face(keySize, true)
	baseline := (b - keySize*0.72) / 2
	for _, y := range []vg.Length{baseline, h - b + baseline} {
		p.write(f, white, w/2, y, atMiddle, shortened(f, notForSharing, w-2*b))
	}
	for _, x := range []vg.Length{b - baseline, w - baseline} {
		p.writeUp(f, white, vg.Point{X: x, Y: h / 2}, shortened(f, notForSharing, h-2*b))
	}
}
