package plots

import "gonum.org/v1/plot/vg"

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
	return keySwatch + gap + room(face(keySize, false), k.name)
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
	corners := diamond(vg.Point{X: x + keySwatch/2, Y: y}, diamondRad*0.8)
	p.shape(white, corners...)
	p.outline(vermilion, diamondLine, corners...)
}
