package plots

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/plot/vg"
)

const (
	keySwatch  vg.Length = 12
	keyLeading vg.Length = 9
	keySpace   vg.Length = 7
)

// keyItem explains one kind of mark: a sample of it and a name.
type keyItem struct {
	name   string
	sample func(p pen, x, y vg.Length) // draws keySwatch wide from x, centred on y
}

// width is the room the item takes, without the space after it.
func (k keyItem) width() vg.Length {
	return keySwatch + gap + width(face(keySize, false), k.name)
}

// key returns the items for the marks that the figure has.
func (c Curve) key() []keyItem {
	var items []keyItem
	controls, treated := c.split()
	if len(controls)+len(treated) > 0 {
		items = append(items, keyItem{"observed", samplePoint})
	}
	if c.Response != nil && !c.axisSpan().empty() {
		items = append(items, keyItem{"fitted", sampleCurve})
	}
	if c.hasLC50() {
		name := "LC50"
		if c.hasLimits() {
			name = "LC50 and limits"
		}
		items = append(items, keyItem{name, c.sampleLC50})
	}
	if c.hasBracket() {
		items = append(items, keyItem{"LC50 lies here", sampleBand})
	}
	if c.hasNatural() && len(controls)+len(treated) > 0 {
		items = append(items, keyItem{"natural mortality", sampleNatural})
	}
	return items
}

// keyRows breaks the items into rows no wider than limit.
func keyRows(items []keyItem, limit vg.Length) [][]keyItem {
	var rows [][]keyItem
	var used vg.Length
	for _, k := range items {
		if need := keySpace + k.width(); len(rows) > 0 && used+need <= limit {
			last := len(rows) - 1
			rows[last] = append(rows[last], k)
			used += need
			continue
		}
		rows = append(rows, []keyItem{k})
		used = k.width()
	}
	return rows
}

func samplePoint(p pen, x, y vg.Length) {
	mid := vg.Point{X: x + keySwatch/2, Y: y}
	p.line(blue, barLine, nil, vg.Point{X: mid.X, Y: y - 4}, vg.Point{X: mid.X, Y: y + 4})
	p.disc(blue, mid, maxRadius*0.7)
}

func sampleCurve(p pen, x, y vg.Length) {
	p.line(ink, curveLine, nil, vg.Point{X: x, Y: y}, vg.Point{X: x + keySwatch, Y: y})
}

func sampleNatural(p pen, x, y vg.Length) {
	p.line(grey, barLine, natural, vg.Point{X: x, Y: y}, vg.Point{X: x + keySwatch, Y: y})
}

func sampleBand(p pen, x, y vg.Length) {
	p.box(orangeTint, x, y-3.5, x+keySwatch, y+3.5)
	for _, at := range []vg.Length{x, x + keySwatch} {
		p.line(vermilion, barLine, bandEdge, vg.Point{X: at, Y: y - 3.5}, vg.Point{X: at, Y: y + 3.5})
	}
}

func (c Curve) sampleLC50(p pen, x, y vg.Length) {
	if c.hasLimits() {
		p.line(vermilion, limitLine, nil, vg.Point{X: x, Y: y}, vg.Point{X: x + keySwatch, Y: y})
	}
	p.diamond(vermilion, vg.Point{X: x + keySwatch/2, Y: y}, diamondRad*0.85)
}

// footer says how the marks are to be read; f gives the concentration axis.
func (c Curve) footer(f frame) string {
	var say []string
	if least, most := c.fewestAndMost(); most > 0 {
		s := "area of points by number of mites"
		if least < most {
			s += fmt.Sprintf(" (%d to %d)", least, most)
		}
		say = append(say, "bars: exact 95\u00a0% binomial limits", s)
	}
	if c.hasLC50() && c.hasNatural() && c.NaturalMortality > 0 {
		say = append(say, "LC50: kills half of those that natural mortality spares")
	}
	return strings.Join(append(say, c.arrowWords(f)...), "; ")
}

// arrowWords explains the arrow heads at the ends of the axis.
func (c Curve) arrowWords(f frame) []string {
	if !c.hasLC50() || f.dose.empty() {
		return nil
	}
	var say []string
	if !f.dose.holds(math.Log10(c.LC50)) {
		say = append(say, "arrow: LC50 beyond the axis")
	}
	if !c.hasLimits() {
		return say
	}
	if c.Lower <= 0 && math.IsInf(c.Upper, 1) {
		return append(say, "arrows: no limits exist")
	}
	switch low := math.Log10(max(c.Lower, 0)); {
	case math.IsInf(low, -1):
		say = append(say, "arrow: no lower limit")
	case low < f.dose.lo:
		say = append(say, "arrow: lower limit beyond the axis")
	}
	switch high := math.Log10(c.Upper); {
	case math.IsInf(high, 1):
		say = append(say, "arrow: no upper limit")
	case high > f.dose.hi:
		say = append(say, "arrow: upper limit beyond the axis")
	}
	return say
}
