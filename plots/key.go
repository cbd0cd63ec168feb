package plots

import "gonum.org/v1/plot/vg"

const (
	keySwatch  vg.Length = 12
	keyLeading vg.Length = 9
	keySpace   vg.Length = 7
	keyLines             = 2 // of a name at most
)

// keyItem explains one kind of mark: a sample of it and a name.
type keyItem struct {
	name   string
	sample func(p pen, x, y vg.Length) // draws keySwatch wide from x, centred on y
	lines  block                       // the name as set
}

// width is the room the item takes, without the space after it.
func (k keyItem) width() vg.Length {
	w := vg.Length(0)
	for _, s := range k.lines.lines {
		w = max(w, room(k.lines.face, s))
	}
	return keySwatch + gap + w
}

// height is the room the item takes, including the space below it.
func (k keyItem) height() vg.Length {
	return keyLeading + vg.Length(max(1, len(k.lines.lines))-1)*k.lines.leading()
}

// keyBox is the key under the data. A grid sets its items in columns.
type keyBox struct {
	items []keyItem
	grid  bool
	rows  [][]keyItem // once fitted
	each  vg.Length   // width of a column of the grid
}

// fit breaks the items into rows no wider than limit.
func (k keyBox) fit(limit vg.Length) keyBox {
	k.rows, k.each = nil, 0
	items := make([]keyItem, len(k.items))
	for i, item := range k.items {
		item.lines = fitName(clean(item.name), limit-keySwatch-gap, keySize, footSize, keyLines)
		items[i] = item
		k.each = max(k.each, item.width())
	}
	if k.grid {
		k.columns(items, limit)
		return k
	}
	var used vg.Length
	for _, item := range items {
		if need := keySpace + item.width(); len(k.rows) > 0 && used+need <= limit {
			last := len(k.rows) - 1
			k.rows[last] = append(k.rows[last], item)
			used += need
			continue
		}
		k.rows = append(k.rows, []keyItem{item})
		used = item.width()
	}
	return k
}

// columns sets the items in as many columns as fit, reading down each.
func (k *keyBox) columns(items []keyItem, limit vg.Length) {
	n := max(1, min(len(items), int((limit+keySpace)/(k.each+keySpace))))
	high := (len(items) + n - 1) / n
	k.rows = make([][]keyItem, high)
	for i, item := range items {
		k.rows[i%high] = append(k.rows[i%high], item)
	}
}

// height is the height of the key, with the gap below it.
func (k keyBox) height() vg.Length {
	if len(k.rows) == 0 {
		return 0
	}
	sum := gap
	for _, row := range k.rows {
		sum += rowHeight(row)
	}
	return sum
}

func rowHeight(row []keyItem) vg.Length {
	h := vg.Length(0)
	for _, item := range row {
		h = max(h, item.height())
	}
	return h
}

// draw sets the fitted key downwards from top.
func (k keyBox) draw(p pen, left, top vg.Length) {
	for _, row := range k.rows {
		x, y := left, top-keyLeading/2
		for _, item := range row {
			item.sample(p, x, y)
			baseline := y - keySize*0.35
			for _, s := range item.lines.lines {
				p.write(item.lines.face, text, x+keySwatch+gap, baseline, atStart, s)
				baseline -= item.lines.leading()
			}
			if k.grid {
				x += k.each + keySpace
			} else {
				x += item.width() + keySpace
			}
		}
		top -= rowHeight(row)
	}
}
