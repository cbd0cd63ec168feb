package plots

import "gonum.org/v1/plot/vg"

// The grid of mites, 20 across and 5 down, in units of the size of the text.
const (
	mitesAcross           = 20
	mitesDown             = mitesShown / mitesAcross
	mitePitch   vg.Length = 0.88 // from mite to mite across
	miteLeading vg.Length = 0.82 // and down
	miteAisle   vg.Length = 0.5  // between the tenth column and the eleventh, in pitches
	besideText  vg.Length = 9    // least width of a caption beside the grid
	gridPart    vg.Length = 0.58 // of the width, where captions stand beside the grid
)

// survivorsLayout is the picture in its place: rows, then the key.
type survivorsLayout struct {
	size   vg.Length // of the text
	rows   []survivorsPlace
	key    []survivorsKey
	height vg.Length
	keyTop vg.Length // below the top
}

// survivorsPlace is a row in its place, down from the top of the picture.
type survivorsPlace struct {
	row      SurvivorsRow
	words    []block // name and caption
	pitch    vg.Length
	top      vg.Length // of the grid
	textLeft vg.Length
	textTop  vg.Length
}

// survivorsKey is one sample of the key.
type survivorsKey struct {
	state miteState
	word  string
	left  vg.Length
	down  int // lines down
}

// layOut sets the rows and the key within a width: captions stand beside the grid
// where there is room, and above it otherwise. The mites are the given part of
// their usual size.
func (s Survivors) layOut(w, size, part vg.Length, room measure) survivorsLayout {
	l := survivorsLayout{size: size}
	grid := size * mitePitch * (mitesAcross + miteAisle)
	beside := w-grid-size >= size*besideText
	if beside {
		grid = max(grid, min(w*gridPart, w-size*(besideText+1)))
	} else {
		grid = min(w, grid*1.4)
	}
	grid *= part
	pitch := grid / (mitesAcross + miteAisle)
	high := pitch / mitePitch * miteLeading * mitesDown
	at := vg.Length(0)
	for _, r := range s.Rows {
		p := survivorsPlace{row: r, pitch: pitch}
		limit := w
		if beside {
			limit = w - grid - size
		}
		p.words = r.blocks(limit, size, room)
		text := vg.Length(0)
		for _, b := range p.words {
			text += b.height()
		}
		if beside {
			p.textLeft = grid + size
			p.top, p.textTop = at+max(0, text-high)/2, at+max(0, high-text)/2
			at += max(high, text)
		} else {
			p.textTop, p.top = at, at+text+size*0.3
			at += text + size*0.3 + high
		}
		at += size * 0.75 * part
		l.rows = append(l.rows, p)
	}
	l.keyTop = at
	lines := 0
	l.key, lines = s.key(w, size, room)
	l.height = at + vg.Length(lines)*size*1.3
	return l
}

// blocks are the name and the caption of a row.
func (r SurvivorsRow) blocks(limit, size vg.Length, room measure) (out []block) {
	if name := clean(r.Name); name != "" {
		out = append(out, setBlock(name, limit, size, true, room))
	}
	if caption := clean(r.Caption); caption != "" {
		out = append(out, setBlock(caption, limit, size, false, room))
	}
	return out
}

// key sets the samples of the key side by side, on as many lines as they need.
func (s Survivors) key(w, size vg.Length, room measure) (key []survivorsKey, lines int) {
	words := s.Words.filled()
	small := size * 0.85
	x, line := vg.Length(0), 0
	for _, k := range []survivorsKey{
		{state: alive, word: words.Survive},
		{state: likelyAlive, word: words.LikelySurvive},
		{state: likelyDead, word: words.LikelyDie},
		{state: dead, word: words.Die},
	} {
		need := size*mitePitch + small*0.4 + room(face(small, false), k.word)
		if x > 0 && x+need > w {
			x, line = 0, line+1
		}
		k.left, k.down = x, line
		key = append(key, k)
		x += need + size*1.4
	}
	return key, line + 1
}

// draw draws the picture down from top.
func (l survivorsLayout) draw(p pen, left, top vg.Length) {
	for _, r := range l.rows {
		at := top - r.textTop
		for i, b := range r.words {
			c := text
			if i == 0 && len(r.words) > 1 {
				c = ink
			}
			at = p.writeBlock(b, c, left+r.textLeft, at, atStart)
		}
		r.drawMites(p, left, top-r.top)
	}
	small := face(l.size*0.85, false)
	pitch := l.size * mitePitch
	for _, k := range l.key {
		y := top - l.keyTop - (vg.Length(k.down)+0.5)*l.size*1.3
		x := left + k.left
		drawMites(p, k.state, []vg.Point{{X: x + pitch/2, Y: y}}, pitch)
		p.write(small, text, x+pitch+l.size*0.34, y-small.Font.Size*0.35, atStart, k.word)
	}
}

// drawMites draws the 100 mites of a row, reading across: survivors first.
func (r survivorsPlace) drawMites(p pen, left, top vg.Length) {
	down := r.pitch / mitePitch * miteLeading
	var places [miteStates][]vg.Point
	for i := range mitesShown {
		column := vg.Length(i%mitesAcross) + 0.5
		if column > mitesAcross/2 {
			column += miteAisle
		}
		at := vg.Point{X: left + column*r.pitch, Y: top - (vg.Length(i/mitesAcross)+0.5)*down}
		state := r.row.state(i)
		places[state] = append(places[state], at)
	}
	for state, at := range places {
		drawMites(p, miteState(state), at, r.pitch)
	}
}

// state returns what becomes of the i-th mite, counted from 0.
func (r SurvivorsRow) state(i int) miteState {
	switch {
	case i < r.Low:
		return alive
	case i < r.Likely:
		return likelyAlive
	case i < r.High:
		return likelyDead
	}
	return dead
}
